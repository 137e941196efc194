"""Turn times of one unit kind as they were, beside the table's figure and those learned."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from pacewright.control.turns_seen import SEEN_DAYS
from pacewright.events.scan import code_of
from pacewright.events.things import Unit
from pacewright.office.sheets.today_made import DayPaper
from pacewright.parts.tables import UnitKind
from pacewright.plans.learned import Learned
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.drawings.turn_history import TurnDot, TurnLine, turn_history
from pacewright.reports.table import Table, moment, number, table, text
from pacewright.reports.written import number as written

HOW = (
    "The last turn of each unit that ended within a year: from coming off to made good, on the "
    "works' calendar, all waiting included. The table: unit_kinds.csv. By the record: the mean of "
    "these turns, used for the pages once there are ten. Learned: what the page Learning makes of "
    "the whole record, units still in repair reckoned in and drawn to the table by its weight. "
    "Turns under way are not among the rings, so a shop that grows slower looks better than it is."
)


@dataclass(frozen=True, slots=True)
class Turn:
    """One turn of a unit."""

    unit: Unit
    off_at: datetime
    good_at: datetime
    days: float


def turns_of(paper: DayPaper, kind: UnitKind) -> list[Turn]:
    """The last turn of each unit of a kind that ended within a year, in order of its end."""
    standing, clock = paper.standing, paper.today.seen.clock
    since = paper.today.now - timedelta(days=SEEN_DAYS)
    found = []
    for unit, known in standing.units.items():
        good = known.made_good_at
        if unit.unit_kind_id != kind.unit_kind_id or good is None or good < since:
            continue
        ends = [
            link.until
            for link in standing.unit_links.of.get(unit, ())
            if link.until is not None and link.until <= good
        ]
        if ends:
            found.append(Turn(unit, ends[-1], good, clock.days_between(ends[-1], good)))
    return sorted(found, key=lambda one: one.good_at)


def turns_table(rows: Sequence[Turn]) -> Table:
    """Turns as rows, the last first."""
    return table(
        ("turns", "Turns that ended", "The last turn of each unit, the last to end first."),
        (text("serial", "its code", lambda r: code_of(r.unit)),
         moment("off_at", "when it came off"),
         moment("good_at", "when it was made good"),
         number("days", "from the one to the other", "working days")),
        list(reversed(rows)),
    )  # fmt: skip


def turns_drawing(
    paper: DayPaper, kind: UnitKind, rows: Sequence[Turn], learned: Learned | None
) -> Drawing | None:
    """The turns over the year, or over as much of it as the record tells."""
    if not rows:
        return None
    now = paper.today.now
    dots = [
        TurnDot(one.good_at, one.days, f"{code_of(one.unit)}: {written(one.days)} working days")
        for one in rows
    ]
    lines = [TurnLine("table", kind.turn_days, "edge")]
    mean = sum(one.days for one in rows) / len(rows)
    lines.append(TurnLine(f"by the record ({len(rows)})", mean, "calledrun"))
    lines += [
        TurnLine("learned", one.mean_days, "promised")
        for one in (learned.turn_times if learned else ())
        if one.unit_kind_id == kind.unit_kind_id
    ]
    return turn_history(dots, lines, _span(rows, now.date()))


def _span(rows: Sequence[Turn], today: date) -> tuple[date, date]:
    return min(one.good_at for one in rows).date(), today
