"""Tiny works for tests of the flow simulation: one type, a few stages, times known by hand.

The shop works 8:00 to 16:00, Monday to Friday; day 0 is Monday 2026-03-02. ``at(day, hours)`` is
the minute so many hours after the opening of a day. All here is invented.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, time
from typing import Any

import numpy as np

from pacewright.base.settings import CalendarSettings, PlanSettings, Settings, Shift
from pacewright.events.codes import Code
from pacewright.fleet.tables import Depot, Vehicle, VehicleType
from pacewright.parts.tables import Fit, FloatHeld, Operation, UnitKind
from pacewright.shops.tables import Assembly, Crew, Shop, Stage, Trade
from pacewright.simulate.calendars import Clock
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.heap_engine import run_heap
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.run import Causes, Run
from pacewright.simulate.table import FlowTable, VehicleRows
from pacewright.works import Works

MONDAY = date(2026, 3, 2)


def at(day: int, hours: float) -> int:
    """The minute ``hours`` after the opening of a day (day 0 Monday, day 7 the next one)."""
    return day * 1440 + 480 + round(60 * hours)


def stage(stage_id: str, hours: float, follows: str = "", **more: Any) -> Stage:
    """A stage of fixed hours that needs nobody, with one position."""
    usual = {
        "name": stage_id,
        "shop_id": "hall",
        "assembly_id": "vehicle",
        "positions": 1,
        "crew": 0,
        "follows": tuple(follows.split()),
    }
    return Stage(
        stage_id=stage_id, hours_least=hours, hours_usual=hours, hours_most=hours, **usual | more
    )


def kind(unit_kind_id: str, strip: str, fit: str, turn_days: float, **more: Any) -> UnitKind:
    """A unit kind that always comes off."""
    return UnitKind(
        unit_kind_id=unit_kind_id,
        name=unit_kind_id,
        shop_id="hall",
        strip_stage_id=strip,
        fit_stage_id=fit,
        turn_days=turn_days,
        **more,
    )


def operation(stage_id: str, hours: float, trade_id: str = "fitter", **more: Any) -> Operation:
    """Work of a trade at a stage, always done."""
    return Operation(
        operation_id=f"{stage_id}-{trade_id}-{hours}",
        name="work",
        trade_id=trade_id,
        standard_hours=hours,
        stage_id=stage_id,
        **more,
    )


def crew(people: float, trade_id: str = "fitter", **more: Any) -> Crew:
    """People of one trade in the hall."""
    return Crew("hall", trade_id, people, **more)


def tiny_works(stages: Sequence[Stage], plan: dict[str, Any] | None = None, **more: Any) -> Works:
    """A works of one shop and one type around the stages."""
    usual: dict[str, Any] = {
        "assemblies": (),
        "people": (),
        "unit_kinds": (),
        "fits": (),
        "floats": (),
        "operations": (),
        "upsets": (),
        "vehicles": (),
        "depots": (Depot("north", "North"),),
        "shops": (Shop("hall", "Hall"), Shop("short", "Short day", 4)),
        "vehicle_types": (VehicleType("bus", "Bus", 10, 48),),
    }
    tables = usual | more
    calendar = CalendarSettings(shifts=(Shift("day", time(8), time(16)),))
    horizon = {"today": MONDAY, "start": MONDAY, "horizon_weeks": 4}
    return Works(
        settings=Settings("Tiny", calendar, PlanSettings(**horizon | (plan or {}))),
        readings=(),
        trades=(Trade("fitter", "Fitter"), Trade("painter", "Painter")),
        stages=tuple(stages),
        plant=(),
        plant_loads=(),
        campaigns=(),
        test_items=(),
        **tables,
    )


def fits(*kinds: UnitKind, each: int = 1, type_id: str = "bus") -> tuple[Fit, ...]:
    """The type carries so many of each kind."""
    return tuple(Fit(one.unit_kind_id, type_id, each) for one in kinds)


def held(unit_kind_id: str, serviceable: int, unserviceable: int = 0) -> FloatHeld:
    """Units of the float."""
    return FloatHeld(unit_kind_id, serviceable, unserviceable)


def inside(vehicle_id: str, stage_id: str, gate_in: date = date(2026, 2, 20)) -> Vehicle:
    """A vehicle inside."""
    return Vehicle(
        vehicle_id, "bus", "north", "inside", date(2018, 1, 1), gate_in=gate_in, stage_id=stage_id
    )


BODY_AND_FRAME = (Assembly("bus", "body", "Body"), Assembly("bus", "frame", "Frame"))


def tiny_table(works: Works, arrivals: Sequence[int], **options: Any) -> FlowTable:
    """The table of a works with vehicles that arrive at the given minutes; nothing scatters.

    ``scatter=True`` among the options lets the laws of the works be.
    """
    usual = {"scatter": False, "calls": Calls.EVEN, "pace_a_day": 1.0, "weeks": 4}
    table = compile_flow(works, None, FlowOptions(**usual | options))
    clock = Clock.of(table.days)
    rows = table.vehicles
    first = int(rows.inside.sum())
    count = first + len(arrivals)
    assert count <= len(rows.key), "more vehicles than the even calls give"
    days = [clock.place(0, minute) for minute in arrivals]
    kept = {name: getattr(rows, name)[:count].copy() for name in VehicleRows.__annotations__}
    kept["day"][first:] = [i for i, _ in days]
    kept["slot"][first:] = [into for _, into in days]
    pieces = table.pieces
    few = pieces.vehicle < count
    return replace(
        table,
        vehicles=VehicleRows(**kept),
        pieces=type(pieces)(**{n: getattr(pieces, n)[few] for n in type(pieces).__annotations__}),
    )


@dataclass
class Seen:
    """A run and ways to ask it."""

    table: FlowTable
    run: Run
    causes: Causes = field(init=False)

    def __post_init__(self) -> None:
        self.causes = Causes.of(self.table)

    def rows(self, code: Code, **wanted: int) -> list[tuple[int, int, int, int]]:
        """(minute, vehicle, place, amount) of every row of a code that has the wanted values."""
        events = self.run.events
        assert events is not None
        mask = events.code == code
        for name, value in wanted.items():
            mask &= getattr(events, name) == value
        columns = (events.time, events.vehicle, events.place, events.amount)
        return list(zip(*(column[mask].tolist() for column in columns), strict=True))

    def minutes(self, code: Code, **wanted: int) -> list[int]:
        """When it happened."""
        return [row[0] for row in self.rows(code, **wanted)]

    def waited(self, vehicle: int) -> dict[str, int]:
        """Cause -> worked minutes of a vehicle, where there are any; names as in the works."""
        row = self.run.waits[vehicle]
        return {name: int(row[n]) for n, name in enumerate(self.names()) if row[n]}

    def names(self) -> list[str]:
        """The names of the columns of causes."""
        names = self.table.names
        return [
            "gate",
            *(f"position {one}" for one in names.stages),
            *(f"part {one}" for one in names.kinds),
            *(f"assembly {one}" for one in names.assemblies),
            *(f"batch {one}" for one in names.stages),
            *(f"people {one}" for one in names.crews),
            *(f"inspection {one}" for one in names.stages),
            "work",
        ]


Engine = Callable[[FlowTable, int, int], Run]


def seen(table: FlowTable, seed: int = 1, engine: Engine = run_heap) -> Seen:
    """The works run through once, with what must always hold."""
    one = Seen(table, engine(table, seed, 0))
    causes_add_up(one)
    return one


def causes_add_up(one: Seen) -> None:
    """The causes of every released vehicle sum to its worked minutes from arrival to release."""
    clock = Clock.of(one.table.days)
    run = one.run
    for v in np.flatnonzero(run.released >= 0):
        inside_minutes = clock.worked(int(run.released[v])) - clock.worked(int(run.arrived[v]))
        assert run.waits[v].sum() == inside_minutes
    assert (run.waits >= 0).all()
