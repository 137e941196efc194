"""The units of one kind: where each is, in which condition, and when it is expected back."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from pacewright.control.pool import IN_REPAIR, Coming, Pool, came_off
from pacewright.events.scan import code_of
from pacewright.events.standing import Standing, UnitStanding
from pacewright.events.things import Condition
from pacewright.office.sheets.today_made import DayPaper
from pacewright.office.sheets.vehicle_units import used_distance, used_months
from pacewright.reports.drawings.age_strip import AgeDot, AgeRow, age_strip
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.table import Table, day, moment, number, table, text, whole, yes_no
from pacewright.reports.written import number as written

ON_VEHICLE = "on a vehicle"
OTHER_PLACE = "place not told"


@dataclass(frozen=True, slots=True)
class UnitRow:
    """One unit.

    Parameters
    ----------
    state : condition, and ``issued`` or ``on a vehicle`` where it is serviceable.
    where : vehicle or assembly it is on, or place; ``vehicle_id``: that of what it is on.
    since : when it came off, was made good or was fitted, whichever its state rests on.
    away_days : working days since it came off, while it is in repair.
    """

    known: UnitStanding
    state: str
    where: str
    vehicle_id: str
    since: datetime | None
    away_days: float | None
    expected: date | None
    overdue: bool
    used_distance: float | None
    used_months: float | None

    @property
    def code(self) -> str:
        """Its code."""
        return code_of(self.known.unit)


def unit_rows(paper: DayPaper, pool: Pool) -> list[UnitRow]:
    """Every unit of a kind, those off vehicles first, by state and serial."""
    coming = {one.unit: one for one in pool.coming if one.unit is not None}
    known = [
        one
        for unit, one in paper.standing.units.items()
        if unit.unit_kind_id == pool.kind.unit_kind_id
    ]
    rows = [_row(paper, one, coming.get(one.unit)) for one in known]
    return sorted(rows, key=lambda one: (one.state == ON_VEHICLE, one.state, one.code))


def _row(paper: DayPaper, known: UnitStanding, coming: Coming | None) -> UnitRow:
    standing, now = paper.standing, paper.today.now
    repair = coming is not None and coming.source == IN_REPAIR
    return UnitRow(
        known=known,
        state=state_of(known),
        where=where_of(known),
        vehicle_id=standing.pieces[known.onto].vehicle_id if known.onto else "",
        since=_since(standing, known),
        away_days=coming.spent_days if coming is not None and repair else None,
        expected=paper.today.seen.clock.date_of(coming.day) if coming and repair else None,
        overdue=bool(coming and coming.overdue),
        used_distance=used_distance(standing, known, now),
        used_months=used_months(known, now),
    )


def state_of(known: UnitStanding) -> str:
    """Condition of a unit, told apart by what it is for while it is serviceable."""
    if known.onto is not None:
        return ON_VEHICLE
    if known.condition is Condition.SERVICEABLE and known.issued_to is not None:
        return "issued"
    return known.condition.value


def where_of(known: UnitStanding) -> str:
    """Where a unit is, in words."""
    if known.onto is not None:
        return str(known.onto)
    to = f", for {known.issued_to}" if known.issued_to else ""
    if known.on_way:
        return f"on the way to {known.place_id}{to}"
    return (known.place_id or OTHER_PLACE) + to


def _since(standing: Standing, known: UnitStanding) -> datetime | None:
    if known.onto is not None:
        return known.fitted_at
    if known.condition is Condition.SERVICEABLE:
        return known.made_good_at
    return came_off(standing, known)


def units_table(name: str, title: str, rows: Sequence[UnitRow], distance_unit: str) -> Table:
    """Units as rows."""
    return table(
        (name, title, "By the record, in order of state and serial."),
        (text("serial", "its code", "code"),
         text("state", "condition; issued, or on a vehicle, where serviceable"),
         text("where", "what it is on, or where it is"),
         text("vehicle_id", "vehicle that carries it; blank: none"),
         moment("since", "came off, made good, or fitted; blank: not seen"),
         number("away_days", "since it came off, in repair", "working days"),
         day("expected", "day it is expected back; blank: not in repair"),
         yes_no("overdue", "yes: longer away than the law of its kind speaks of"),
         number("used_distance", "run from new; blank: not known", distance_unit),
         number("used_months", "from new; blank: not known", "months")),
        rows,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """Units of one state at one place."""

    state: str
    place: str
    units: int
    overdue: int
    longest_days: float | None


def place_rows(rows: Sequence[UnitRow]) -> list[PlaceRow]:
    """Where the units are, by state and place; never summed over states."""
    found: dict[tuple[str, str], list[UnitRow]] = defaultdict(list)
    for row in rows:
        place = ON_VEHICLE if row.state == ON_VEHICLE else place_of(row.known)
        found[row.state, place].append(row)
    return [
        PlaceRow(
            state,
            place,
            len(there),
            sum(one.overdue for one in there),
            max((one.away_days for one in there if one.away_days is not None), default=None),
        )
        for (state, place), there in sorted(found.items())
    ]


def place_of(known: UnitStanding) -> str:
    """The place of a unit off vehicles, or the way to it."""
    if known.on_way:
        return f"on the way to {known.place_id}"
    return known.place_id or OTHER_PLACE


def places_table(rows: Sequence[PlaceRow]) -> Table:
    """Places as rows."""
    return table(
        ("pipeline", "Where the units are", "By condition and place; conditions are never summed."),
        (text("state", "condition; issued, or on a vehicle, where serviceable"),
         text("place", "store, shop, site, or the way to it"),
         whole("units", "units there", "units"),
         whole("overdue", "of those, overdue", "units"),
         number("longest_days", "longest away of those in repair", "working days")),
        rows,
    )  # fmt: skip


def ages_drawing(rows: Sequence[UnitRow], pool: Pool) -> Drawing | None:
    """Units in repair by place and by the days since they came off."""
    by_place: dict[str, list[AgeDot]] = defaultdict(list)
    for row in rows:
        if row.away_days is not None:
            says = f"{row.code}: {written(row.away_days)} working days"
            by_place[place_of(row.known)].append(AgeDot(row.away_days, row.overdue, says))
    if not by_place:
        return None
    strip = [AgeRow(place, by_place[place]) for place in sorted(by_place)]
    return age_strip(strip, pool.turn.mean_days, pool.turn.overdue_days)
