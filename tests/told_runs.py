"""Runs of small invented works from empty, and the records they are told as."""

from dataclasses import dataclass, replace
from functools import cache

from pacewright.control.door import door_of
from pacewright.events.fold import refusals, take
from pacewright.events.standing import Standing
from pacewright.events.things import Event
from pacewright.invent.works import invented_works
from pacewright.office.planning import make_plan
from pacewright.parts.tables import FloatHeld
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.heap_engine import run_heap
from pacewright.simulate.problem import FlowOptions
from pacewright.simulate.run import Run
from pacewright.simulate.table import FlowTable
from pacewright.simulate.told import Telling, told
from pacewright.works import Works

SIZES = {"trolleybus": (500, 26), "tramway": (400, 50)}
"""Kind -> vehicles, weeks run."""

INSPECTED_AT = {"body": "scope-body", "chassis": "scope-chassis", "bogie": "scope-bogie"}


@dataclass(frozen=True)
class ToldRun:
    """A works, a run of it, and its record."""

    works: Works
    table: FlowTable
    run: Run
    events: list[Event]


@cache
def told_run(kind: str, seed: int = 1, short: bool = False) -> ToldRun:
    """A run told; short: of two kinds there are not enough."""
    vehicles, weeks = SIZES[kind]
    works = invented_works(kind, vehicles, seed)
    programme = make_plan(works).programme
    if short:
        works = _short(works)
    options = FlowOptions(inside_now=False, weeks=weeks, robbing=True)
    table = compile_flow(works, programme, options)
    run = run_heap(table, seed, 0)
    telling = Telling(inspected_at=INSPECTED_AT)
    return ToldRun(works, table, run, list(told(table, run, works, telling)))


def _short(works: Works) -> Works:
    # Who needs no control unit robs the line breaker of one that waits for its control unit.
    few = {"control-unit": 1, "line-breaker": 2}
    return replace(
        works,
        floats=tuple(
            FloatHeld(one.unit_kind_id, few.get(one.unit_kind_id, 500), 0) for one in works.floats
        ),
        unit_kinds=tuple(
            replace(one, turn_days=3 * one.turn_days) if one.unit_kind_id in few else one
            for one in works.unit_kinds
        ),
    )


def folded(one: ToldRun) -> Standing:
    """Where everything stands, every check and the works' own door asked of every event."""
    now, door = Standing(), door_of(one.works)
    for event in one.events:
        reasons = (*refusals(now, event), *door(now, event))
        assert reasons == (), f"{event}: {[str(reason) for reason in reasons]}"
        take(now, event)
    return now
