"""A run that goes on from the record: exactly where an undisturbed run would have been."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cache, cached_property

import pytest

from flow_works import MONDAY, flow_works
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.heap_engine import run_heap
from pacewright.simulate.live_start import LiveStart
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.start_table import There
from pacewright.simulate.table import FlowTable
from pacewright.works import Works
from rows_told import RowsTold, release_moments

SURE = FlowOptions(
    calls=Calls.EVEN,
    inside_now=False,
    pace_a_day=1.0,
    weeks=20,
    scatter=False,
    absence=False,
    upsets=False,
    late_calls=False,
)


@cache
def works() -> Works:
    """A works of one type with positions and floats a little short, and people in plenty.

    In plenty, because the record does not tell what hours a crew owes others.
    """
    one = flow_works(1.0, people=True)
    plan = replace(one.settings.plan, horizon_weeks=20)
    people = tuple(replace(crew, people=100 * crew.people) for crew in one.people)
    return replace(one, people=people, settings=replace(one.settings, plan=plan))


def first(table: FlowTable, vehicles: int) -> FlowTable:
    """The table with its first vehicles only."""
    rows, pieces = table.vehicles, table.pieces
    mine = pieces.vehicle < vehicles
    return replace(
        table,
        vehicles=type(rows)(**{name: column[:vehicles] for name, column in vars(rows).items()}),
        pieces=type(pieces)(**{name: column[mine] for name, column in vars(pieces).items()}),
    )


def told(options: FlowOptions, vehicles: int = 30, seed: int = 1) -> RowsTold:
    """A run of the works from empty, ready to be told."""
    table = first(compile_flow(works(), None, options), vehicles)
    return RowsTold(works(), table, run_heap(table, seed, 0), MONDAY)


@dataclass(frozen=True)
class GoesOn:
    """The run that goes on from the record at a minute, nobody coming later."""

    one: RowsTold
    minute: int
    options: FlowOptions

    @cached_property
    def live(self) -> LiveStart:
        """The record and the moment."""
        return LiveStart(self.one.until(self.minute), self.one.moment(self.minute))

    @cached_property
    def table(self) -> FlowTable:
        """The table of the vehicles that the record knows."""
        table = compile_flow(works(), None, self.options, self.live)
        return first(table, int((table.vehicles.inside > 0).sum()))

    def released(self, seed: int = 1) -> dict[str, datetime]:
        """Vehicle -> when the live run releases it."""
        run = run_heap(self.table, seed, 0)
        monday = self.live.stretch(works(), 1).monday
        start = datetime.combine(monday, datetime.min.time())
        return {
            name.split("/")[0]: start + timedelta(minutes=int(minute))
            for name, minute in zip(self.table.names.vehicles, run.released, strict=False)
            if minute >= 0
        }


@pytest.mark.parametrize("minute", range(14 * 1440 + 480, 18 * 1440, 173))
def test_without_chance_the_run_goes_on_as_it_would_have(minute: int) -> None:
    """Whatever the moment, every vehicle inside is released in the minute of the first run."""
    one = told(SURE, vehicles=11)
    goes_on = GoesOn(one, minute, SURE)
    inside = {v.vehicle_id for v in goes_on.live.standing.inside()}
    assert inside
    assert (goes_on.table.vehicles.inside == There.INSIDE).sum() == len(inside)
    truth = release_moments(one)
    assert goes_on.released() == {name: truth[name] for name in inside}
