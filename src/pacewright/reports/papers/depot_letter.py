"""The weekly letter to a depot: which of its vehicles are called in, and which come back when."""

from datetime import date

from pacewright.events.standing import Phase, VehicleStanding
from pacewright.fleet.tables import Depot
from pacewright.plans.plan import Plan
from pacewright.plans.programme import Call
from pacewright.reports.papers.blocks import (
    Block,
    Caution,
    Cell,
    Column,
    Facts,
    Heading,
    Rows,
    Said,
    Signatures,
    Strong,
)
from pacewright.reports.papers.ground import Ground
from pacewright.reports.papers.press import Card, Paper
from pacewright.reports.written import NONE, day, some

KEY = "depot-letter"
LIMIT = (
    "No vehicle runs past its limit day, whatever this letter says: out of use from then on until "
    "it is in the works. A vehicle that cannot come on its day is told to the planner at once, "
    "with its odometer reading."
)


def depot_letters(ground: Ground, depot_id: str = "") -> Paper:
    """The letter to one depot, or one to every depot.

    Raises
    ------
    CallError : no such depot, or no plan.
    """
    plan = ground.planned()
    depots = (ground.depot(depot_id),) if depot_id else ground.works.depots
    return ground.paper(KEY, depot_id or "all", [_card(ground, plan, one) for one in depots])


def _card(ground: Ground, plan: Plan, depot: Depot) -> Card:
    start = max(ground.now.date(), plan.start)
    last = ground.works.calendar.add(start, ground.days)
    calls = [
        one for one in plan.programme.calls if one.depot_id == depot.depot_id and one.day <= last
    ]
    return Card(
        title=f"Programme letter, {day(ground.now.date())}",
        subject=depot.name,
        blocks=(
            Facts(_facts(depot, calls, last), 2),
            Caution((LIMIT,), "LIMIT"),
            Heading("Called in", "Working day on which each is to arrive. Firm days stand; "
                    "planned and outline ones may still move."),
            _calls(ground, plan, calls),
            *_away(plan, depot, last),
            *_inside(ground, depot),
            Said("Please send each with its defect list, its last odometer reading and its papers, "
                 "washed out and empty. Answer by the end of the week if a day cannot be kept."),
            Signatures(("Planner", "Received at the depot", "Date")),
        ),
    )  # fmt: skip


def _facts(depot: Depot, calls: list[Call], last: date) -> tuple[tuple[str, str], ...]:
    limit = NONE if depot.away_limit is None else some(depot.away_limit, "vehicle")
    return (
        ("To", f"{depot.name} ({depot.depot_id})"),
        ("Looks ahead to", day(last)),
        ("Called in", some(len(calls), "vehicle")),
        ("Most away at once", limit),
    )


def _calls(ground: Ground, plan: Plan, calls: list[Call]) -> Rows:
    labels = {one.index: one.label for one in plan.programme.weeks}
    columns = (
        Column("arrives", 1.3), Column("week", 1), Column("vehicle", 1.1), Column("type", 2.2),
        Column("zone", 0.9), Column("due", 1.3), Column("LIMIT: not run after", 1.4),
        Column("due by", 1), Column("note", 1.6),
    )  # fmt: skip
    rows: list[list[Cell]] = [
        [
            Strong(day(one.day)),
            labels.get(one.week, ""),
            Strong(one.vehicle_id),
            ground.type_names.get(one.type_id, one.type_id),
            one.zone.value,
            day(one.due),
            Strong(day(one.limit)),
            one.due_by,
            one.note,
        ]
        for one in sorted(calls, key=lambda one: (one.day, one.order))
    ]
    return Rows(columns, rows, "None of the depot's vehicles is called in within these days.", True)


def _away(plan: Plan, depot: Depot, last: date) -> tuple[Block, ...]:
    weeks = {one.index: one for one in plan.programme.weeks if one.monday <= last}
    rows: list[list[Cell]] = [
        [weeks[one.week].label, day(weeks[one.week].monday), str(one.away),
         NONE if one.limit is None else str(one.limit),
         Strong("at the limit") if one.limit is not None and one.away >= one.limit else ""]
        for one in plan.programme.depot_weeks
        if one.depot_id == depot.depot_id and one.week in weeks
    ]  # fmt: skip
    if not rows:
        return ()
    columns = (
        Column("week", 1), Column("from", 1), Column("most away at once", 1, True),
        Column("limit", 1, True), Column("", 1.5),
    )  # fmt: skip
    return (Heading("Away from the depot", "By the plan, those inside now among them."),
            Rows(columns, rows, small=True))  # fmt: skip


def _inside(ground: Ground, depot: Depot) -> tuple[Block, ...]:
    home = {one.vehicle_id: one.depot_id for one in ground.works.vehicles}
    mine = sorted(
        (
            one
            for one in ground.standing.vehicles.values()
            if one.phase in (Phase.INSIDE, Phase.AT_GATE)
            and (one.depot_id or home.get(one.vehicle_id)) == depot.depot_id
        ),
        key=lambda one: (one.promise or date.max, one.vehicle_id),
    )
    columns = (
        Column("vehicle", 1), Column("type", 2), Column("state", 1), Column("arrived", 1.2),
        Column("first promise", 1.2), Column("promise now", 1.2), Column("moved by", 1.2),
    )  # fmt: skip
    rows = [_promised(ground, one) for one in mine]
    heading = Heading("At the works", "Promised release; a promise is a forecast, not a release.")
    return (heading, Rows(columns, rows, "None of the depot's vehicles is here.", small=True))


def _promised(ground: Ground, one: VehicleStanding) -> list[Cell]:
    moved = NONE
    if one.promise and one.first_promise and one.promise != one.first_promise:
        moved = f"{(one.promise - one.first_promise).days:+d} days"
    return [
        Strong(one.vehicle_id),
        ground.type_names.get(one.type_id, one.type_id),
        one.phase.value,
        day(one.arrived_at.date()) if one.arrived_at else NONE,
        day(one.first_promise),
        Strong(day(one.promise)),
        moved,
    ]
