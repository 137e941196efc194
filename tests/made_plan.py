"""A hand-invented plan of full size, for whatever is made *from* plans.

No engine ran: the figures are plain arithmetic and seeded draws, so that reports can be tested
before and apart from the engines. Operator, depots, types and parts are invented.
"""

from dataclasses import dataclass
from datetime import date, time, timedelta
from functools import cache
from random import Random

from pacewright.base.settings import (
    CalendarSettings,
    PaceStep,
    PlanSettings,
    Settings,
    Shift,
    Shutdown,
)
from pacewright.fleet.tables import Depot, Vehicle, VehicleType
from pacewright.fleet.windows import DueBy, DueWindow, Standing
from pacewright.parts.tables import Campaign, Fit, FloatHeld, Operation, UnitKind
from pacewright.plans.card import ResultCard
from pacewright.plans.floatlist import FloatLine, FloatList, ReadinessPoint
from pacewright.plans.line import (
    Gear,
    Line,
    PlantLoad,
    RouteStage,
    StageLoad,
    TradeLoad,
    TypeTurn,
    UnitSlack,
)
from pacewright.plans.plan import Plan
from pacewright.plans.programme import (
    Call,
    DepotWeek,
    LeastPace,
    Programme,
    ProgrammeWeek,
    Relief,
    Unplaced,
    Zone,
)
from pacewright.shops.tables import Assembly, Crew, Plant, Shop, Stage, Trade
from pacewright.works import Works

TODAY, START, WEEKS, PACE = date(2026, 10, 30), date(2026, 11, 2), 182, 11
SHUT = [Shutdown(f"summer {y}", date(y, 7, 19), date(y, 8, 1)) for y in (2027, 2028, 2029, 2030)]
XMAS = [date(y, 12, d) for y in range(2026, 2033) for d in (24, 25, 28, 29, 30, 31)]
DEPOTS = (
    "Quillmoor",
    "Bexholm",
    "Dunmarrow",
    "Fennickgate",
    "Orlstead",
    "Pellwater",
    "Ravensey",
    "Skarrow",
    "Thistlewyke",
    "Umberlow",
    "Wendrake",
)
SHOPS = {
    "strip": "Strip shop",
    "wash": "Wash house",
    "body": "Body shop",
    "paint": "Paint shop",
    "trim": "Trim and glass shop",
    "gear": "Running gear shop",
    "motor": "Motor shop",
    "elec": "Electrical shop",
    "air": "Air and brake shop",
    "door": "Door and heater bench",
    "marry": "Marrying bay",
    "test": "Test and release",
}
TRADES = {
    "fitter": "Fitter",
    "elec": "Electrician",
    "body": "Body maker",
    "welder": "Welder",
    "painter": "Painter",
    "trimmer": "Trimmer",
    "cleaner": "Cleaner",
    "tester": "Tester",
}
# stage, name, shop, assembly, positions, hours usual, follows
STAGES = [
    ("recv", "Receive and inspect", "strip", "vehicle", 3, 5, ""),
    ("wash", "Wash down", "wash", "vehicle", 2, 3, "recv"),
    ("strip1", "Strip units", "strip", "vehicle", 4, 9, "wash"),
    ("part", "Part body from running gear", "marry", "vehicle", 2, 4, "strip1"),
    ("bclean", "Clean body shell", "wash", "body", 2, 5, "part"),
    ("binsp", "Inspect shell", "body", "body", 2, 3, "bclean"),
    ("brep", "Repair shell and pillars", "body", "body", 7, 21, "binsp"),
    ("roof", "Roof and pole base", "body", "body", 3, 8, "brep"),
    ("floor", "Floor and traps", "body", "body", 4, 10, "brep"),
    ("prep", "Rub down and fill", "paint", "body", 3, 9, "roof floor"),
    ("spray", "Spray", "paint", "body", 2, 6, "prep"),
    ("bake", "Bake and cool", "paint", "body", 2, 4, "spray"),
    ("glass", "Glass and doors", "trim", "body", 4, 10, "bake"),
    ("seats", "Seats, rails and floor cover", "trim", "body", 4, 9, "glass"),
    ("wire", "Body wiring", "elec", "body", 4, 11, "glass"),
    ("gclean", "Clean running gear", "wash", "chassis", 2, 4, "part"),
    ("gstrip", "Strip axles and steering", "gear", "chassis", 3, 8, "gclean"),
    ("frame", "Frame repair", "gear", "chassis", 4, 13, "gstrip"),
    ("gpaint", "Paint frame", "paint", "chassis", 2, 5, "frame"),
    ("axles", "Fit axles and springs", "gear", "chassis", 3, 9, "gpaint"),
    ("motor", "Fit motor and drive", "gear", "chassis", 3, 6, "axles"),
    ("pipes", "Air pipes and brakes", "air", "chassis", 3, 7, "motor"),
    ("marry", "Marry body and running gear", "marry", "vehicle", 2, 6, "seats wire pipes"),
    ("units", "Fit units and poles", "elec", "vehicle", 4, 10, "marry"),
    ("static", "Static test", "test", "vehicle", 2, 5, "units"),
    ("road", "Road test and rectify", "test", "vehicle", 3, 7, "static"),
    ("final", "Final inspection and release", "test", "vehicle", 2, 4, "road"),
]
KINDS = (
    "Traction motor", "Motor blower", "Line contactor box", "Chopper unit", "Auxiliary converter",
    "Battery box", "Trolley pole", "Pole base", "Retriever", "Current collector head",
    "Drive axle", "Steer axle", "Trailing axle", "Differential", "Propeller shaft",
    "Steering box", "Steering pump", "Air compressor", "Air dryer", "Brake valve",
    "Brake cylinder", "Slack adjuster", "Spring pack", "Air bellows", "Levelling valve",
    "Shock absorber", "Door engine", "Door valve", "Door leaf", "Heater blower", "Demister",
    "Wiper motor", "Driver seat", "Driver desk panel", "Destination display", "Lamp cluster",
    "Horn and gong", "Joint turntable", "Master controller", "Braking resistor",
)  # fmt: skip


@cache
def made_works(vehicles: int = 1900) -> Works:
    """The invented works; ``vehicles`` sets the size of the fleet only."""
    rng = Random(11)
    settings = Settings(
        name="Ostrelle Trolleybus Works",
        calendar=CalendarSettings(
            shifts=(Shift("day", time(7), time(15, 30), 30),), holidays=tuple(XMAS), shutdowns=SHUT
        ),
        plan=PlanSettings(TODAY, START, WEEKS, pace=(PaceStep(START, float(PACE)),)),
    )
    types = (
        VehicleType("two-axle", "Two-axle trolleybus", 20.0, 42.0, 300000.0),
        VehicleType("jointed", "Jointed trolleybus", 24.0, 42.0, 260000.0, week_limit=5),
    )
    stages = tuple(
        Stage(i, n, s, a, p, h * 0.8, float(h), h * 1.6, tuple(f.split()))
        for i, n, s, a, p, h, f in STAGES
    )
    kinds = tuple(
        UnitKind(
            f"U{n:02d}",
            name,
            rng.choice(("motor", "elec", "air", "door", "gear")),
            "strip1" if n % 3 else "gstrip",
            ("units", "axles", "motor", "glass")[n % 4],
            turn_days=float(rng.randint(6, 24)),
            turn_sd_days=2.0,
            unit_cost=float(rng.choice((180, 400, 900, 2600, 7400))),
        )
        for n, name in enumerate(KINDS, 1)
    )
    return Works(
        settings=settings,
        vehicle_types=types,
        depots=tuple(Depot(f"D{n:02d}", name, 9, 0.5) for n, name in enumerate(DEPOTS, 1)),
        vehicles=tuple(_vehicle(n, rng) for n in range(vehicles)),
        readings=(),
        shops=tuple(Shop(i, n) for i, n in SHOPS.items()),
        trades=tuple(Trade(i, n) for i, n in TRADES.items()),
        people=tuple(Crew(s, t, 6.0, 8.0, 0.86) for s, t in _crews()),
        assemblies=tuple(
            Assembly(t.type_id, a, a.title()) for t in types for a in ("body", "chassis")
        ),
        stages=stages,
        unit_kinds=kinds,
        fits=tuple(Fit(k.unit_kind_id, t.type_id, 1) for k in kinds for t in types),
        floats=tuple(FloatHeld(k.unit_kind_id, 4, 2, rng.randint(0, 2)) for k in kinds),
        operations=tuple(
            Operation(
                f"B-{n:03d}", f"{s.name}, part {n}", rng.choice(tuple(TRADES)), 4.0, s.stage_id
            )
            for n, s in enumerate(stages)
        ),
        plant=(
            Plant("oven", "Paint oven", "paint", 1, 2, 6.0),
            Plant("tank", "Hot wash tank", "wash", 2, 4, 3.0),
            Plant("dip", "Varnish dip and oven", "motor", 1, 6, 14.0, night_goes_on=True),
        ),
        plant_loads=(),
        campaigns=(
            Campaign(
                "M7", "Door edge mod", "two-axle", "glass", "elec", 6.0, START, date(2027, 12, 31)
            ),
        ),
        test_items=(),
    )


def _vehicle(n: int, rng: Random) -> Vehicle:
    state = "withdrawn" if n % 97 == 0 else "inside" if n % 40 == 7 else "running"
    inside = state == "inside"
    return Vehicle(
        f"{4000 + n}",
        "jointed" if n % 10 < 3 else "two-axle",
        f"D{n % 11 + 1:02d}",
        state,
        date(2014, 3, 1),
        last_overhaul=date(2023, 5, 2) + timedelta(days=rng.randint(0, 1200)),
        licence_expiry=date(2026, 12, 1) if n % 111 == 5 else None,
        gate_in=date(2026, 9, 28)
        if inside and n % 3 == 0
        else date(2026, 10, 15)
        if inside
        else None,
        stage_id="brep" if inside else None,
    )


def _crews() -> list[tuple[str, str]]:
    return [
        ("strip", "fitter"), ("strip", "elec"), ("wash", "cleaner"), ("body", "body"),
        ("body", "welder"), ("paint", "painter"), ("trim", "trimmer"), ("trim", "fitter"),
        ("gear", "fitter"), ("gear", "welder"), ("motor", "fitter"), ("motor", "elec"),
        ("elec", "elec"), ("air", "fitter"), ("door", "fitter"), ("marry", "fitter"),
        ("test", "tester"), ("test", "elec"),
    ]  # fmt: skip


@cache
def made_plan(vehicles: int = 1900) -> tuple[Plan, Works]:
    """The plan and the works it is of."""
    works = made_works(vehicles)
    windows = tuple(_window(v, works) for v in works.vehicles)
    return (
        Plan(
            works_name=works.settings.name,
            today=TODAY,
            start=START,
            distance_unit="km",
            inputs_hash="5f2c9a1e77b0d364",
            version="0.1.0",
            seconds=3.21,
            windows=windows,
            programme=_programme(works, windows),
            line=_line(works),
            floats=_floats(works),
            assumptions=(
                "Parts are interchangeable within a unit kind.",
                "Vehicles arrive evenly within the week.",
                "Standard hours and occurrence factors are those of operations.csv.",
            ),
        ),
        works,
    )


def _window(vehicle: Vehicle, works: Works) -> DueWindow:
    n = int(vehicle.vehicle_id) - 4000
    standing = {"withdrawn": Standing.WITHDRAWN, "inside": Standing.INSIDE}.get(
        vehicle.state, Standing.DUE
    )
    due = START + timedelta(days=20 + int(n * 1240 / len(works.vehicles)))
    note = ""
    if standing is Standing.DUE and n % 140 == 3:
        standing, note = Standing.UNKNOWN, "odometer unknown: planned by time only"
    if standing is Standing.DUE and n % 230 == 11:
        standing, due = Standing.OVERDUE, START - timedelta(days=n % 40 + 5)
    if standing in (Standing.WITHDRAWN, Standing.INSIDE):
        return DueWindow(
            vehicle.vehicle_id, vehicle.type_id, vehicle.depot_id, 1, standing,
            None, None, None, None, None,
        )  # fmt: skip
    limit = due + timedelta(days=45)
    by = DueBy.LICENCE if vehicle.licence_expiry else DueBy.DISTANCE if n % 4 else DueBy.TIME
    return DueWindow(
        vehicle.vehicle_id, vehicle.type_id, vehicle.depot_id, 1, standing,
        due - timedelta(days=90), due, limit, limit - timedelta(days=10), by,
        sd_days=22.0, firm_sd_days=12.0, distance_a_day=190.0, readings=8, note=note,
    )  # fmt: skip


def _zone(week: int) -> Zone:
    return Zone.FIRM if week < 13 else Zone.PLANNED if week < 52 else Zone.OUTLINE


@dataclass
class _Filling:
    calls: list[Call]
    weeks: list[ProgrammeWeek]


def _programme(works: Works, windows: tuple[DueWindow, ...]) -> Programme:
    due = [w for w in windows if w.due is not None]
    due.sort(key=lambda w: (w.due, w.vehicle_id))
    left_out, queue = due[40:43], due[:40] + due[43:]
    scale = max(1, len(works.vehicles) // 1900)
    filling = _fill(works, queue, scale)
    rng = Random(3)
    most = max(9, 9 * scale)
    return Programme(
        card=ResultCard("depot columns, whole numbers", "optimal", 8120, 8104, 0.002, "days", 0.9),
        least_pace=LeastPace(2.08, 10.4, START, date(2027, 9, 3), 441, 212),
        pace_a_day=PACE / 5,
        weeks=tuple(filling.weeks),
        calls=tuple(filling.calls),
        unplaced=tuple(
            Unplaced(
                w.vehicle_id,
                w.type_id,
                w.depot_id,
                w.due,
                w.limit,
                "its depot has no place left before its limit",
                "Let depot Quillmoor spare one vehicle more in December 2026.",
            )
            for w in left_out
        ),
        reliefs=(
            Relief(
                "depot",
                "D01",
                date(2026, 12, 7),
                date(2026, 12, 20),
                1,
                "vehicles away",
                3,
                "Depot D01 would have to spare 10 instead of 9 vehicles from 7 to 20 Dec 2026.",
            ),
        ),
        depot_weeks=tuple(
            DepotWeek(d.depot_id, w, min(most, max(0, int(rng.gauss(5.2, 2.2)))), most)
            for d in works.depots
            for w in range(WEEKS)
        ),
        notes=("The first four weeks carry the overdue vehicles.",),
    )


def _fill(works: Works, queue: list[DueWindow], scale: int) -> _Filling:
    filling, place = _Filling([], []), 0
    for week in works.calendar.weeks(START, WEEKS):
        able = int(PACE * scale * len(week.working_days) / 5)
        takes = queue[place : place + able]
        place += len(takes)
        mix: dict[str, int] = {"two-axle": 0, "jointed": 0}
        for order, w in enumerate(takes, 1):
            day = week.working_days[(order - 1) * len(week.working_days) // max(1, len(takes))]
            filling.calls.append(_call(w, week.index, day, order))
            mix[w.type_id] += 1
        filling.weeks.append(
            ProgrammeWeek(
                week.index,
                week.label,
                week.monday,
                len(week.working_days),
                able,
                len(takes),
                mix,
                (44 + week.index % 5) * scale,
                _zone(week.index),
            )
        )
    return filling


def _call(w: DueWindow, week: int, day: date, order: int) -> Call:
    assert w.opens and w.due and w.limit and w.latest
    return Call(
        w.vehicle_id, w.type_id, w.depot_id, 1, week, day, order, _zone(week), w.opens, w.due,
        w.limit, w.latest, str(w.due_by), max(0, (w.due - day).days), (w.limit - day).days,
        0.12 if (w.limit - day).days < 14 else 0.004, w.note,
    )  # fmt: skip


def _gear(over: float) -> Gear:
    if over < 0:
        return Gear.HOLDS_UP
    return Gear.TIGHT if over < 0.12 else Gear.GEARED if over < 0.6 else Gear.RUNS_AHEAD


def _line(works: Works) -> Line:
    stages = tuple(_stage_load(s) for s in works.stages)
    return Line(
        card=ResultCard("closed forms of queueing theory", "closed form", 0, 0, 0, "", 0.05),
        pace_a_day=PACE / 5, pace_a_week=PACE, takt_days=5 / PACE, takt_hours=40 / PACE,
        inside_mean=46.2,
        turns=(
            TypeTurn("two-axle", 0.7, 16.4, 20.9, 20.0, 32.0),
            TypeTurn("jointed", 0.3, 17.0, 22.6, 24.0, 14.2),
        ),
        stages=stages,
        trades=tuple(_trade_load(n, *pair) for n, pair in enumerate(_crews())),
        plant=tuple(
            PlantLoad(p.plant_id, p.name, p.shop_id, p.how_many, p.batch_size, 2.2, 2.6, 2.2, u,
                      0.8, 2.0, p.how_many, PACE / u, 1 / u - 1, _gear(1 / u - 1),
                      f"{u:.0%} of its charges are needed")
            for p, u in zip(works.plant, (0.95, 0.48, 0.71), strict=True)
        ),
        route=_route(works),
        units=tuple(_unit_slack(t.type_id, k.unit_kind_id, k.turn_days, n)
                    for t in works.vehicle_types for n, k in enumerate(works.unit_kinds)),
        slowest="Repair shell and pillars", able_a_week=10.6,
        notes=("Shown hours are those of the last quarter.",),
    )  # fmt: skip


def _stage_load(stage: Stage) -> StageLoad:
    a_day = PACE / 5
    hours = (stage.hours_least + stage.hours_usual + stage.hours_most) / 3
    busy = a_day * hours / 8
    able = PACE * stage.positions / busy
    gear = _gear(able / PACE - 1)
    return StageLoad(
        stage.stage_id, stage.name, stage.shop_id, stage.assembly_id, a_day, hours, hours * 0.2, 1,
        stage.positions, busy, int(busy + 2), busy / stage.positions, 0.3, 1.4, able,
        able / PACE - 1, gear, f"{busy:.1f} of {stage.positions} positions busy on average",
    )  # fmt: skip


def _trade_load(n: int, shop_id: str, trade_id: str) -> TradeLoad:
    able = 206.0
    mean = able * (1.06, 0.93, 0.82, 0.42, 0.7, 0.97)[n % 6]
    over = able / mean - 1
    return TradeLoad(
        shop_id, trade_id, mean, mean * 0.09, able, None if n % 4 == 0 else able * 0.95,
        mean / able, 0.2, 6.0, mean / able * 6, mean / able * 6.6, PACE * able / mean, over,
        _gear(over), f"{mean:.0f} h of {able:.0f} h a week",
    )  # fmt: skip


def _route(works: Works) -> tuple[RouteStage, ...]:
    rows = []
    for type_id, route in works.routes.items():
        end: dict[str, float] = {}
        last: dict[str, float] = {}
        days = {
            s.stage_id: s.hours_usual * (1.1 if type_id == "jointed" else 1) / 8
            for s in route.stages
        }
        for s in route.stages:
            end[s.stage_id] = (
                max((end[f] for f in route.follows[s.stage_id]), default=0) + days[s.stage_id]
            )
        for s in reversed(route.stages):
            last[s.stage_id] = min(
                (last[a] - days[a] for a in route.leads_to[s.stage_id]), default=max(end.values())
            )
        for s in route.stages:
            i = s.stage_id
            slack = max(0.0, last[i] - end[i])
            rows.append(RouteStage(type_id, i, end[i] - days[i], end[i], last[i] - days[i], last[i],
                                   slack, slack < 1e-9))  # fmt: skip
    return tuple(rows)


def _unit_slack(type_id: str, kind: str, turn: float, n: int) -> UnitSlack:
    offset = 8.0 + n % 6 + (1.0 if type_id == "jointed" else 0.0)
    return UnitSlack(type_id, kind, 2.5, 2.5 + offset, offset, turn, offset - turn)


def _floats(works: Works) -> FloatList:
    lines = []
    for n, kind in enumerate(works.unit_kinds):
        offset = 8.0 + n % 6
        need = max(1, round(max(0.0, kind.turn_days - offset) * PACE / 5) + 2)
        held = max(0, need + (-4, 0, 1, 3, -1)[n % 5])
        ready = min(0.999, 0.995 - 0.03 * max(0, need - held))
        lines.append(FloatLine(
            kind.unit_kind_id, kind.name, kind.shop_id, 1.0, PACE, kind.turn_days, 2.0, offset,
            max(0.0, kind.turn_days - offset) * PACE / 5, "even call-in, exact", held,
            max(0, held - 2), n % 3, need, need + 2, max(0, need - held), ready, 0.997,
            ready - 0.02, 3.0, 1, kind.unit_cost, max(0, need - held) * kind.unit_cost,
            min(0.999, ready + 0.02), min(0.999, ready + 0.02), 1.0,
            tuple(float(d) for d in range(8)), tuple((1 - ready) * 0.6**d for d in range(8)),
            buy=max(0, need - held), ready_bought=0.997,
        ))  # fmt: skip
    curve = tuple(ReadinessPoint(600e3 + 9e3 * u, 1 - 0.72 * 0.93**u, 150 + u) for u in range(60))
    return FloatList(
        card=ResultCard("marginal analysis with fill-in", "optimal", 48200, 48200, 0, "money", 0.4),
        target=0.95, lines=tuple(lines), ready_held=0.36, ready_needed=0.953,
        cost_short=sum(one.cost_short for one in lines), curve=curve, ready_bought=0.953,
        cost_buy=sum(one.cost_short for one in lines),
        notes=("Readiness of the vehicle is the product over its unit kinds.",),
    )  # fmt: skip
