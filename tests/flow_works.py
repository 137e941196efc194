"""An invented works with a short route, for trying and measuring the engines of the flow.

One type that parts into body and frame, six stages, two unit kinds; positions, people and floats
in proportion to the pace, so that works of any size are equally busy.
"""

from dataclasses import replace
from datetime import date, time
from math import ceil

from pacewright.base.settings import CalendarSettings, PlanSettings, Settings, Shift
from pacewright.fleet.tables import Depot, Vehicle, VehicleType
from pacewright.parts.tables import Fit, FloatHeld, Operation, UnitKind
from pacewright.shops.tables import Assembly, Crew, Shop, Stage, Trade
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.table import FlowTable
from pacewright.works import Works

MONDAY = date(2026, 3, 2)
# Stage, assembly, what it follows, least, usual and most hours, trade, mean man-hours of the trade.
ROUTE = (
    ("strip", "vehicle", "", 10, 14, 22, "fitter", 40),
    ("body", "body", "strip", 24, 34, 56, "builder", 70),
    ("frame", "frame", "strip", 16, 22, 34, "fitter", 44),
    ("marry", "vehicle", "body frame", 6, 8, 12, "fitter", 24),
    ("fit", "vehicle", "marry", 20, 28, 44, "fitter", 60),
    ("test", "vehicle", "fit", 6, 9, 18, "fitter", 12),
)
LOAD = 0.9
"""Share of positions and people in use at the pace."""
TURN_DAYS = 9.0
FLOAT_DAYS = 5.0
"""Days of the pace that the float of a kind lasts: enough, but only just."""


def flow_works(pace_a_day: float, people: bool) -> Works:
    """The works for a pace.

    Parameters
    ----------
    pace_a_day : vehicles a working day.
    people : False: no stage needs anybody, only positions, units and the opening hours count.
    """
    stages = tuple(
        Stage(
            stage_id=name,
            name=name,
            shop_id="hall",
            assembly_id=assembly,
            positions=ceil(pace_a_day * (least + 4 * usual + most) / 6 / 8 / LOAD),
            hours_least=least,
            hours_usual=usual,
            hours_most=most,
            follows=tuple(follows.split()),
            crew=2 if people else 0,
        )
        for name, assembly, follows, least, usual, most, _, _ in ROUTE
    )
    operations = tuple(
        Operation(f"{name}-work", "work", trade, hours, stage_id=name)
        for name, *_, trade, hours in ROUTE
    )
    hours = {
        trade: sum(row[7] for row in ROUTE if row[6] == trade) for trade in ("fitter", "builder")
    }
    crews = tuple(Crew("hall", one, ceil(pace_a_day * of / 8 / LOAD)) for one, of in hours.items())
    held = ceil(pace_a_day * 2 * FLOAT_DAYS)
    return Works(
        settings=Settings(
            "Measured",
            CalendarSettings(shifts=(Shift("day", time(8), time(16)),)),
            PlanSettings(today=MONDAY, start=MONDAY, horizon_weeks=260),
        ),
        vehicle_types=(VehicleType("bus", "Bus", 25, 48),),
        depots=(Depot("north", "North"),),
        vehicles=(Vehicle("1", "bus", "north", "running", date(2018, 1, 1)),),
        readings=(),
        shops=(Shop("hall", "Hall"),),
        trades=(Trade("fitter", "Fitter"), Trade("builder", "Builder")),
        people=crews if people else (),
        assemblies=(Assembly("bus", "body", "Body"), Assembly("bus", "frame", "Frame")),
        stages=stages,
        unit_kinds=(
            UnitKind("motor", "Motor", "hall", "strip", "fit", TURN_DAYS, 2.0),
            UnitKind("axle", "Axle", "hall", "strip", "marry", TURN_DAYS, 2.0),
        ),
        fits=(Fit("motor", "bus", 1), Fit("axle", "bus", 2)),
        floats=(FloatHeld("motor", held // 2, 0), FloatHeld("axle", held, 0)),
        operations=operations if people else (),
        plant=(),
        plant_loads=(),
        campaigns=(),
        test_items=(),
    )


def flow_table(vehicles: int, pace_a_day: float, people: bool = True) -> FlowTable:
    """The table of so many vehicles, called in evenly, and twelve weeks more to let them out."""
    weeks = ceil(vehicles / pace_a_day / 5) + 12
    works = flow_works(pace_a_day, people)
    options = FlowOptions(
        calls=Calls.EVEN, pace_a_day=pace_a_day, weeks=weeks, upsets=False, absence=False
    )
    return _first(compile_flow(works, None, options), vehicles)


def _first(table: FlowTable, vehicles: int) -> FlowTable:
    """The table with its first vehicles only."""
    rows, pieces = table.vehicles, table.pieces
    mine = pieces.vehicle < vehicles
    return replace(
        table,
        vehicles=type(rows)(**{name: column[:vehicles] for name, column in vars(rows).items()}),
        pieces=type(pieces)(**{name: column[mine] for name, column in vars(pieces).items()}),
    )
