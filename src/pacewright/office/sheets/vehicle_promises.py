"""What was promised of one vehicle, visit by visit, and what is forecast now."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from pacewright.events.gate import Promised
from pacewright.events.scan import code_of
from pacewright.events.standing import VehicleStanding
from pacewright.events.things import WHOLE, Piece
from pacewright.office.desk import Desk
from pacewright.office.sheets.vehicle_story import story_of
from pacewright.office.sheets.vehicles import FORECAST_HOW, promise_row
from pacewright.office.sheets.vehicles_forecast import Forecast
from pacewright.office.sheets.vehicles_rows import VehicleRow
from pacewright.reports.drawings.promise_rows import promise_rows
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.promise_tables import threat_words
from pacewright.reports.sheet import Part
from pacewright.reports.table import Table, day, moment, number, table
from pacewright.reports.written import day as said_day
from pacewright.reports.written import number as said_number
from pacewright.reports.written import share as said_share


@dataclass(frozen=True, slots=True)
class Given:
    """One promise of the present visit."""

    at: datetime
    promised: date
    later_days: int | None


def given(desk: Desk, vehicle: VehicleStanding) -> list[Given]:
    """Promises of the present visit, the first first."""
    since = vehicle.visits[-1].released_at if vehicle.visits else None
    code = code_of(Piece(WHOLE, vehicle.vehicle_id))
    found: list[Given] = []
    for event in story_of(desk, code, since):
        if isinstance(event, Promised):
            later = (event.release_day - found[-1].promised).days if found else None
            found.append(Given(event.at, event.release_day, later))
    return found


def promises_part(desk: Desk, row: VehicleRow, forecast: Forecast, now: datetime) -> Part:
    """First and current promise beside the forecast, and every promise given."""
    told = given(desk, row.known)
    return Part(
        "promises",
        "Promises and forecast",
        FORECAST_HOW + " " + forecast.said,
        given_table(told),
        drawing=_drawing(row, now),
        empty="Nothing is promised on this visit. A planner promises; the tool never does.",
    )


def _drawing(row: VehicleRow, now: datetime) -> Drawing | None:
    if not (row.known.promise or row.expected):
        return None
    said = ("Promise and forecast", f"Vehicle {row.vehicle_id}.")
    return promise_rows("promiserow", said, now, [promise_row(row)])


def given_table(rows: Sequence[Given]) -> Table:
    """Promises as rows."""
    return table(
        ("promises", "Promises given on this visit", "The first is kept for ever."),
        (moment("given", "when it was promised, works clock", "at"),
         day("promised", "day of release promised"),
         number("later_days", "later than the promise before; negative: earlier", "calendar days")),
        rows,
    )  # fmt: skip


def forecast_words(row: VehicleRow, forecast: Forecast) -> str:
    """The forecast of one vehicle in a sentence or two."""
    one = row.forecast
    if one is None:
        by = f" By the schedule it is ready on {said_day(row.scheduled)}." if row.scheduled else ""
        return forecast.said + by
    first = said_day(one.earliest.date()) if one.earliest else "-"
    last = said_day(one.latest.date()) if one.latest else "a day beyond the time run through"
    mean = f"expected on {said_day(one.expected.date())}" if one.expected else "no mean day"
    said = f"Forecast: {mean}, between {first} and {last} in nine of ten runs."
    if one.to_promise is not None and forecast.made is not None:
        said += (
            f" A promise of {said_day(one.to_promise)} is kept with a chance of "
            f"{said_share(forecast.made.promise_target)}."
        )
    if one.keeps_share is not None:
        said += f" The current promise is kept with a chance of {said_share(one.keeps_share)}."
    if one.threat is not None:
        said += (
            f" What makes it late when it is: {threat_words(one)}, "
            f"{said_number(one.threat.days)} working days."
        )
    return said


def visits_table(vehicle: VehicleStanding) -> Table:
    """Visits that are over."""
    return table(
        ("visits", "Earlier visits", "The last first; the first promise beside the last."),
        (day("arrived", "day it came", lambda r: r.arrived_at and r.arrived_at.date()),
         day("released", "day it was released", lambda r: r.released_at.date()),
         number("inside_days", "from gate to release", "calendar days",
                lambda r: (r.released_at - r.arrived_at).total_seconds() / 86400
                if r.arrived_at else None),
         day("first_promise", "first promise"), day("last_promise", "last promise"),
         number("late_days", "released later than the first promise; negative: earlier",
                "calendar days",
                lambda r: r.first_promise and (r.released_at.date() - r.first_promise).days)),
        list(reversed(vehicle.visits)),
    )  # fmt: skip
