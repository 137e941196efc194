"""The units of one vehicle: what is owed to it, what is known to be on it, and their lives."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from pacewright.control.needs import Need
from pacewright.control.shortages import Shortage
from pacewright.events.follow import distance_used
from pacewright.events.scan import code_of
from pacewright.events.standing import Standing, UnitStanding
from pacewright.events.things import Unit
from pacewright.office.sheets.today_made import DayPaper
from pacewright.parts.tables import UnitKind
from pacewright.reports.table import (
    Table,
    day,
    moment,
    number,
    share,
    table,
    text,
    whole,
    yes_no,
)

OWED_HOW = (
    "Owed: taken off on this visit and not made up for. Issued: given out for it and not fitted. "
    "To come off: by the share of its kind, every one where it must be changed. Needed: begin of "
    "the stage where it goes on, by the critical path. Where the units come later than that, the "
    "row says from where, from which shop and with what chance they still come in time."
)
FITTED_HOW = (
    "By the record. Used: distance from new, over every vehicle it was on; blank where a reading "
    "or its age is not known: unknown is unknown, not nought. Nothing past its life is fitted."
)


@dataclass(frozen=True, slots=True)
class OwedRow:
    """What one vehicle still needs of one kind, and how it will get it."""

    need: Need
    name: str
    needed: date | None
    short: Shortage | None
    expected: date | None


def owed_rows(paper: DayPaper, vehicle_id: str) -> list[OwedRow]:
    """Needs of a vehicle and of the assemblies that would be married to it, earliest first."""
    clock = paper.today.seen.clock
    names = {one.unit_kind_id: one.name for one in paper.works.unit_kinds}
    short = {(one.piece, one.unit_kind_id): one for one in paper.today.short}
    found = []
    for need in paper.today.wanted:
        if need.vehicle_id != vehicle_id:
            continue
        late = short.get((str(need.piece), need.unit_kind_id))
        expected = late.expected_day if late else None
        found.append(
            OwedRow(
                need,
                names.get(need.unit_kind_id, ""),
                clock.date_of(need.needed_day),
                late,
                clock.date_of(expected) if expected is not None else None,
            )
        )
    return found


def owed_table(rows: Sequence[OwedRow]) -> Table:
    """Units owed and to come off."""
    return table(
        ("owed", "Units it still needs", "Earliest needed first; must-change is never left out."),
        (text("unit_kind_id", "unit kind", "need.unit_kind_id"), text("name", "its name"),
         text("piece", "vehicle, or assembly that goes to it", lambda r: str(r.need.piece)),
         whole("owed", "taken off and not made up for", "units", "need.owed"),
         whole("issued", "of those, given out for it and not fitted", "units", "need.issued"),
         number("to_come_off", "still to come off, by share", "units", "need.expected"),
         yes_no("must_change", "yes: changed on every vehicle", "need.must_change"),
         text("fit_stage_id", "stage where it goes on", "need.fit_stage_id"),
         day("needed", "day that stage begins"),
         text("state", "in time, or from where it comes late", _state),
         day("expected", "day it is expected, where late; blank: in time, or none in sight"),
         number("late_days", "expected less needed", "working days",
                lambda r: r.short.days_late if r.short else None),
         share("chance", "chance that it comes in time after all",
               lambda r: r.short.chance if r.short else None),
         text("owner", "shop that must turn it out", lambda r: r.short.owner if r.short else "")),
        rows,
    )  # fmt: skip


def _state(row: OwedRow) -> str:
    if row.short is not None:
        return f"late: {row.short.source}"
    return "issued" if row.need.wanted <= 0 else "in time"


@dataclass(frozen=True, slots=True)
class Fitted:
    """A unit on a vehicle."""

    known: UnitStanding
    kind: UnitKind | None
    used: float | None
    new_on_visit: bool

    @property
    def unit(self) -> Unit:
        """Its kind and serial."""
        return self.known.unit


def fitted_rows(paper: DayPaper, vehicle_id: str) -> list[Fitted]:
    """Units known to be on a vehicle, by kind and serial."""
    standing, now = paper.standing, paper.today.now
    kinds = {one.unit_kind_id: one for one in paper.works.unit_kinds}
    since = standing.vehicles[vehicle_id].admitted_at
    found = []
    for unit in sorted(standing.units_on(vehicle_id)):
        known = standing.units[unit]
        fresh = bool(since and known.fitted_at and known.fitted_at >= since)
        used = used_distance(standing, known, now)
        found.append(Fitted(known, kinds.get(unit.unit_kind_id), used, fresh))
    return found


def used_distance(standing: Standing, known: UnitStanding, now: datetime) -> float | None:
    """Distance a unit has run from new; None: not known."""
    if known.used_before is None:
        return None
    since = distance_used(standing, known.unit, now, known.age_from)
    return None if since is None else known.used_before + since


def used_months(known: UnitStanding, now: datetime) -> float | None:
    """Months since a unit was new; None: not known."""
    return None if known.made_on is None else (now.date() - known.made_on).days / (365.25 / 12)


def fitted_table(rows: Sequence[Fitted], now: datetime, distance_unit: str) -> Table:
    """Units on a vehicle as rows."""
    return table(
        ("fitted", "Units on it", "By kind and serial."),
        (text("unit_kind_id", "unit kind", "unit.unit_kind_id"),
         text("name", "its name", lambda r: r.kind.name if r.kind else ""),
         text("serial", "its code", lambda r: code_of(r.unit)),
         text("onto", "vehicle or assembly it is on", lambda r: str(r.known.onto)),
         yes_no("this_visit", "yes: fitted on this visit", "new_on_visit"),
         moment("fitted_at", "when it was fitted; blank: not seen", "known.fitted_at"),
         number("used_distance", "run from new; blank: not known", distance_unit, "used"),
         number("life_distance", "from new after which it is not fitted again", distance_unit,
                lambda r: r.kind.life_distance if r.kind else None),
         number("used_months", "months from new; blank: not known", "months",
                lambda r: used_months(r.known, now)),
         number("life_months", "from new after which it is not fitted again", "months",
                lambda r: r.kind.life_months if r.kind else None)),
        rows,
    )  # fmt: skip


def came_off(paper: DayPaper, vehicle_id: str) -> Iterator[tuple[Unit, datetime]]:
    """Units that came off a vehicle and its assemblies since it came in, and when."""
    standing = paper.standing
    since = standing.vehicles[vehicle_id].arrived_at
    parts = [*standing.parts_of(vehicle_id)]
    parts += [one for one, known in standing.pieces.items()
              if known.came_from == vehicle_id and one not in parts]  # fmt: skip
    for part in parts:
        for unit in standing.unit_links.ever_on.get(part, ()):
            for link in standing.unit_links.of[unit]:
                off = link.until
                if link.carrier == part and off and (since is None or off >= since):
                    yield unit, off


def off_table(paper: DayPaper, vehicle_id: str) -> Table:
    """Where the units that came off are now."""
    rows = sorted(came_off(paper, vehicle_id), key=lambda one: (one[1], one[0]), reverse=True)
    standing = paper.standing

    def where(row: tuple[Unit, datetime]) -> str:
        known = standing.units[row[0]]
        return f"on {known.onto}" if known.onto else known.place_id

    return table(
        ("came_off", "Units that came off it", "Of this visit, the last first; other units go on."),
        (text("serial", "its code", lambda r: code_of(r[0])),
         text("unit_kind_id", "unit kind", lambda r: r[0].unit_kind_id),
         moment("off_at", "when it came off", lambda r: r[1]),
         text("condition", "condition now", lambda r: standing.units[r[0]].condition.value),
         text("where", "where it is now", where)),
        rows,
    )  # fmt: skip
