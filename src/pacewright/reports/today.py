"""The day as a sheet: the answer first, then what to do, what stands, what is short."""

from pacewright.control.changes import ChangeKind
from pacewright.control.cover import CHANCE_DAYS, Cover
from pacewright.control.day import Today
from pacewright.control.shop_sheet import Advice
from pacewright.reports.sheet import Figure, Part, Sheet
from pacewright.reports.today_tables import late_vehicles, today_tables
from pacewright.reports.written import day, listed, number, some

CAUTION = (
    "This page tells what the record tells; it releases nothing and certifies nothing. Licensed "
    "people and local rules decide.",
    "A lifted vehicle is supported before anyone works on it, and not moved while anyone does.",
    "Cure, bedding-in, torque-check and test times are never shortened to save a day.",
    "What must be changed is changed, however short it is. No one plans round a safety hold.",
)


def today_sheet(one: Today, shop_id: str = "") -> Sheet:
    """The day as a sheet.

    Parameters
    ----------
    shop_id : only this shop's part of what belongs to shops; empty: all.
    """
    tables = {each.name: each for each in today_tables(one, shop_id)}
    parts = tuple(
        Part(
            key=key,
            heading=heading,
            how=how,
            table=tables[key],
            columns=columns,
            empty=empty,
        )
        for key, heading, how, columns, empty in _PARTS
    )
    return Sheet(
        key="today",
        title=f"Today, {day(one.now.date())} {one.now:%H:%M}",
        question="What is true now, what stands for want of what, and what is to be done?",
        answer=answer(one, shop_id),
        figures=_figures(one),
        parts=parts,
        caution=CAUTION,
        basis=_basis(one),
    )


def answer(one: Today, shop_id: str = "") -> tuple[str, ...]:
    """The day in a few sentences, gravest first."""
    return tuple(
        sentence
        for sentence in (
            _short_said(one, shop_id),
            _late_said(one),
            _blocked_said(one),
            _first_said(one, shop_id),
            _cover_said(one, shop_id),
            _entry_said(one),
            _changed_said(one),
        )
        if sentence
    )


def _short_said(one: Today, shop_id: str) -> str:
    short = [row for row in one.short if shop_id in ("", row.owner)]
    if not short:
        return f"Nothing is short for vehicles that are rebuilt in the next {one.look_days} days."
    worst = short[0]
    until = one.seen.clock.date_of(worst.expected_day) if worst.expected_day is not None else None
    when = f"expected {day(until)}" if until else "none in sight"
    vehicles = len({row.vehicle_id or row.piece for row in short})
    return (
        f"{some(vehicles, 'vehicle')} will stand for want of units in the next {one.look_days} "
        f"working days. Dearest: {worst.name} for {worst.piece}, {when}, from shop {worst.owner}, "
        f"{number(worst.vehicle_days)} vehicle-days."
    )


def _late_said(one: Today) -> str:
    late = late_vehicles(one)
    if not late:
        return ""
    return (
        f"By the schedule {some(len(late), 'vehicle')} will be ready after the current promise: "
        f"{listed(late)}. It takes work as done without a break, so where crews are few it may be "
        "days off: hold it against the forecast of the promises."
    )


def _blocked_said(one: Today) -> str:
    causes = [
        f"{some(row.vehicles, 'vehicle')} ({row.cause})" for row in one.idle_sums if row.vehicles
    ]
    moves = some(len(one.found.moves), "move")
    stands = f"Idle inside: {listed(causes)}." if causes else "No vehicle stands idle."
    return f"{moves} can be made now. {stands}"


def _first_said(one: Today, shop_id: str) -> str:
    first = [
        f"{row.name} ({row.due_today}, shop {sheet.shop_id})"
        for sheet in one.sheets
        if shop_id in ("", sheet.shop_id)
        for row in sheet.units
        if row.advice is Advice.FIRST
    ]
    return f"To turn out today: {listed(first)}." if first else ""


def _cover_said(one: Today, shop_id: str) -> str:
    said = []
    for word, begins in (
        (Cover.OUT, "None ready to fit"),
        (Cover.RUNS_OUT, f"Run out within {CHANCE_DAYS} working days by what is expected"),
    ):
        names = [row.name for row in one.cover if row.word is word and shop_id in ("", row.shop_id)]
        if names:
            said.append(f"{begins}: {listed(names)}.")
    return " ".join(said)


def _entry_said(one: Today) -> str:
    if one.entry is None:
        return ""
    verb = "Let in" if one.entry.let_in else "Hold"
    again = one.entry.ask_again_day
    date = one.seen.clock.date_of(again) if again is not None else None
    ask = f" Ask again on {day(date)}." if date else ""
    return f"{verb} vehicle {one.entry.vehicle_id}: {one.entry.reason}.{ask}"


def _changed_said(one: Today) -> str:
    if one.since is None:
        return ""
    counts = [
        f"{kind} {sum(row.kind is kind for row in one.changed)}"
        for kind in ChangeKind
        if any(row.kind is kind for row in one.changed)
    ]
    return f"Since yesterday, {listed(counts, 12)}." if counts else "Since yesterday: no change."


def _figures(one: Today) -> tuple[Figure, ...]:
    standing = {row.vehicle_id for row in one.idle if row.is_vehicle and row.place != "gate"}
    at_work = len(one.found.at_work)
    return (
        Figure("Vehicles inside", str(len(one.seen.vehicles)), "vehicles", "By the record."),
        Figure("At work", str(at_work), "pieces", "Somebody works on them, or they dry."),
        Figure("Stand idle inside", str(len(standing)), "vehicles", "No one works, none moves."),
        Figure(
            "Short",
            str(len(one.short)),
            "needs of vehicles",
            "A need is a vehicle and a unit kind it will stand for; see the list.",
        ),
    )


def _basis(one: Today) -> tuple[str, ...]:
    real = sum(pool.turn.source == "record" for pool in one.pool.values())
    return (
        f"The record up to {one.now:%Y-%m-%d %H:%M} works time.",
        f"Stages by the mean of their three estimates, with {one.seen.waits_from}.",
        f"Turn times from the record for {some(real, 'unit kind')}, from the unit_kinds table for "
        f"{some(len(one.pool) - real, 'unit kind')}.",
        f"Demand from: {one.asked.source}.",
        "A scrapped unit that is bought is taken to have been ordered on the day it was scrapped.",
    )


_PARTS: tuple[tuple[str, str, str, tuple[str, ...], str], ...] = (
    ("shortages", "What is short",
     "Ranked by the vehicle-days it will cost: days late of the vehicle itself, and of those "
     "that come to the stage while it stands there, over the stage's positions.",
     ("rank", "name", "piece", "vehicle_id", "fit_stage_id", "units", "must_change", "needed",
      "expected", "late_days", "source", "serial", "owner", "behind", "vehicle_days", "chance",
      "serviceable", "unserviceable", "quarantine"),
     "Nothing is short within the days looked ahead."),
    ("blocked", "What is blocked, and what opens it",
     "Pieces that can neither go on nor be worked on.", (), "Nothing is blocked."),
    ("moves", "Next moves", "What can be done now; book it when it is done.",
     (), "No move can be made now."),
    ("units_due", "Units to turn out, by shop",
     "What a vehicle stands for first, then what runs out first. Do not start what piles up.",
     (), "No unit kinds."),
    ("pieces_due", "Vehicles and assemblies to turn out, by shop",
     "By the critical path from where each stands.", (), "No stages."),
    ("hours", "Work against people", "Standard hours due against hours there.", (), "No people."),
    ("schedule", "Schedule of the days ahead",
     "The list rule: the vehicle of the earliest promise first, each stay as early as a position "
     "and its people are free, its units are expected and no longest wait is broken.",
     (), "Nothing is planned: no vehicle is inside."),
    ("cover", "Float cover",
     "How long the serviceable units last, when they run out with the returns expected, and the "
     "chance of it within 10 days.",
     ("name", "shop_id", "word", "cover_days", "runs_out", "chance_out", "demand_a_day",
      "serviceable", "issued", "unserviceable", "quarantine", "turn_source"), "No unit kinds."),
    ("idle", "What stands idle", "Longest first.", (), "Nothing stands idle."),
    ("idle_by_cause", "Idle by cause", "Sums of the list above.", (), "Nothing stands idle."),
    ("entry", "What the next vehicle would find",
     "Wait that the vehicle let in next would find, by positions and by people.",
     (), "No vehicle is at the gate or called."),
    ("ahead", "Vehicles inside",
     "Ready by the critical path and by the schedule; chances are forecast by simulation.", (),
     "No vehicle is inside."),
    ("changes", "Changed since yesterday", "The same hour of the day before against now.",
     (), "Nothing changed, or the record begins today."),
)  # fmt: skip
"""Part of the sheet: table, heading, how it is reckoned, columns shown (none: all), if empty."""
