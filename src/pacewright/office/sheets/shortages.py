"""Shortages: which vehicle will stand for want of which unit, who owes it, and what can be done."""

from collections.abc import Mapping, Sequence

from pacewright.control.shortages import Shortage
from pacewright.events.scan import code_of
from pacewright.events.things import WHOLE
from pacewright.office.desk import Desk
from pacewright.office.robbing_waits import Waiting, waiting
from pacewright.office.sheets.shortages_rob import MARK
from pacewright.office.sheets.today import LINKS
from pacewright.office.sheets.today_made import DayPaper
from pacewright.office.sheets.today_paper import day_paper
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.drawings.wait_bars import Wait, wait_bars
from pacewright.reports.sheet import Figure, Part, Sheet
from pacewright.reports.table import Table, moment, number, table, text, whole
from pacewright.reports.today_tables import shortage_table
from pacewright.reports.written import listed, some
from pacewright.reports.written import number as written

MOST_DRAWN = 14
CAUTION = (
    "What must be changed is changed, however short it is. No one plans round a safety hold.",
    "Nothing unserviceable and nothing in quarantine is fitted to save a day.",
)


def shortages(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """The shortage list, the dearest first."""
    paper = day_paper(desk)
    one = paper.today
    return Sheet(
        key="shortages",
        title="Shortages",
        question="Which vehicle will stand for want of which unit, and who owes it?",
        answer=_answer(one.short, one.look_days),
        figures=_figures(one.short),
        parts=(
            Part("shortages", "What is short, the dearest first",
                 "Units that come later than a vehicle needs them, each unit given to the first "
                 "need; where the allotment gives it to another it shows both days and why. What "
                 "it costs: days late of the vehicle itself, and of those that come to the stage "
                 "while it stands there, over the stage's positions. Rows of one "
                 "vehicle overlap. The bar runs from the day needed to the day expected.",
                 shortage_table(one.seen, one.short), _drawing(paper), links=LINKS,
                 columns=("rank", "unit_kind_id", "name", "piece", "vehicle_id", "fit_stage_id",
                          "units", "must_change", "needed", "expected", "late_days", "source",
                          "serial", "owner", "vehicle_days", "chance"),
                 empty=f"Nothing is short for vehicles rebuilt in the next {one.look_days} working "
                 "days: every unit they need is there or comes in time."),
            Part("owners", "Who owes what", "The same rows by the shop that must turn the units "
                 "out.", _owners(one.short), links={"owner": "/shops/{}"},
                 empty="No shop owes a unit."),
            Part("robbing", "What could be robbed for",
                 "Each row leads to the units of the kind on other vehicles and to the price of "
                 "taking one. Robbing moves the want to another vehicle and costs the work twice; "
                 "two persons approve.", _robbing(paper),
                 links={"want": "/shortages/rob?for={}", "vehicle_id": "/vehicles/{}"},
                 empty="Nothing is short, so nothing is to be robbed."),
            Part("waiting", "Robbings that wait for a second approval",
                 "One person approved each at its price of then. Another who may approve sees the "
                 "price of now on the page it leads to, and agrees or refuses; booked it is only "
                 "then. Age by the works clock.", _waiting_table(waiting(desk)),
                 links={"unit": "/shortages/rob?waiting={}"},
                 empty="None: no robbing waits for a second approval."),
        ),
        caution=CAUTION,
        up_to=paper.place,
        basis=(*paper.basis, f"Demand from: {one.asked.source}."),
    )  # fmt: skip


def _answer(rows: Sequence[Shortage], days: int) -> tuple[str, ...]:
    if not rows:
        return (f"Nothing is short in the next {days} working days.",)
    vehicles = list(dict.fromkeys(one.vehicle_id or one.piece for one in rows))
    first = rows[0]
    unseen = [one.name for one in rows if one.expected_day is None]
    said = [
        f"{some(len(vehicles), 'vehicle')} will stand in the next {days} working days: "
        f"{listed(vehicles)}.",
        f"Dearest: {first.name} for {first.piece}, from shop {first.owner}, "
        f"{written(first.vehicle_days)} vehicle-days.",
    ]
    if unseen:
        said.append(f"None in sight: {listed(list(dict.fromkeys(unseen)))}.")
    overdue = [one.serial for one in rows if one.overdue]
    if overdue:
        said.append(f"Longer in repair than its kind speaks of, ask for a date: {listed(overdue)}.")
    return tuple(said)


def _figures(rows: Sequence[Shortage]) -> tuple[Figure, ...]:
    # Of one vehicle the rows overlap: it stands once, for the longest.
    stands: dict[str, float] = {}
    for one in rows:
        key = one.vehicle_id or one.piece
        stands[key] = max(stands.get(key, 0.0), one.days_late)
    return (
        Figure("Vehicles that will stand", str(len(stands)), "vehicles",
               "Vehicles, or assemblies without a number, with at least one row below."),
        Figure("They stand", written(sum(stands.values())), "working days together",
               "Of each the longest wait among its rows, summed; waits behind it not counted."),
        Figure("Kinds short", str(len({one.unit_kind_id for one in rows})), "unit kinds",
               "Unit kinds with at least one row."),
        Figure("None in sight", str(sum(one.expected_day is None for one in rows)), "rows",
               "Neither in repair, nor on order, nor still to come off in time."),
    )  # fmt: skip


def _drawing(paper: DayPaper) -> Drawing | None:
    one, clock = paper.today, paper.today.seen.clock
    rows = []
    for row in one.short[:MOST_DRAWN]:
        needed = clock.date_of(row.needed_day)
        expected = clock.date_of(row.expected_day) if row.expected_day is not None else None
        if needed is not None:
            under = f"vehicle {row.vehicle_id}" if row.vehicle_id else row.piece
            rows.append(Wait(row.name, under, needed, expected, row.vehicle_days, row.chance))
    until = clock.date_of(one.seen.now_day + one.look_days)
    if not rows or until is None:
        return None
    return wait_bars(rows, one.now.date(), until)


def _owners(rows: Sequence[Shortage]) -> Table:
    owners = list(dict.fromkeys(one.owner for one in rows))

    def mine(owner: str) -> list[Shortage]:
        return [one for one in rows if one.owner == owner]

    return table(
        ("owners", "Owners", "One row a shop."),
        (text("owner", "shop that must turn them out", lambda o: o),
         whole("rows", "rows of the list above", "rows", lambda o: len(mine(o))),
         text("kinds", "unit kinds", lambda o: ", ".join(sorted({r.name for r in mine(o)}))),
         text("vehicles", "for which vehicles",
              lambda o: ", ".join(sorted({r.vehicle_id or r.piece for r in mine(o)}))),
         number("vehicle_days", "dearest of its rows for each vehicle, summed",
                "vehicle working days", lambda o: _together(mine(o)))),
        owners,
    )  # fmt: skip


def _together(rows: Sequence[Shortage]) -> float:
    # Of one vehicle the rows overlap; those of two do not.
    dearest: dict[str, float] = {}
    for one in rows:
        key = one.vehicle_id or one.piece
        dearest[key] = max(dearest.get(key, 0.0), one.vehicle_days)
    return sum(dearest.values())


def _waiting_table(rows: Sequence[Waiting]) -> Table:
    return table(
        ("waiting", "Waiting for a second approval", "The longest first."),
        (text("unit", "what would be taken"), text("off", "off what"), text("to", "for what"),
         text("shown", "first approval"), text("reason", "why", "asked.reason"),
         moment("asked_at", "when it was approved first", "asked.at"),
         number("age_hours", "since then", "hours"),
         moment("until", "until when another may agree", "asked.until"),
         text("state", "waits, its time is over, or it may not be done any more")),
        rows,
    )  # fmt: skip


def _robbing(paper: DayPaper) -> Table:
    codes = {str(piece): code_of(piece) for piece in paper.standing.pieces}

    def want(row: Shortage) -> str:
        # What has not parted off yet has no code of its own: its vehicle stands for it.
        to = codes.get(row.piece) or f"{WHOLE}:{row.vehicle_id}"
        return f"{row.unit_kind_id}{MARK}{to}"

    return table(
        ("robbing", "Robbing", "One row a shortage."),
        (text("want", "unit kind and what it is short for", want),
         text("name", "unit kind"), text("vehicle_id", "vehicle that waits"),
         number("vehicle_days", "what the wait costs", "vehicle working days")),
        paper.today.short,
    )  # fmt: skip
