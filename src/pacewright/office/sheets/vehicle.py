"""One vehicle: where it is, its way, its scope, its units, its promises, who it is, its history."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from pacewright.control.marriage import VehicleAhead
from pacewright.events.scan import code_of
from pacewright.events.standing import Phase, VehicleStanding
from pacewright.events.things import WHOLE, Piece
from pacewright.office.desk import Desk
from pacewright.office.errors import NotFoundError
from pacewright.office.photos import found_on, photo_table, photos_of
from pacewright.office.sheets import vehicle_identity, vehicle_units
from pacewright.office.sheets.record import events_table
from pacewright.office.sheets.today_made import DayPaper
from pacewright.office.sheets.today_paper import day_paper_with
from pacewright.office.sheets.vehicle_promises import forecast_words, promises_part, visits_table
from pacewright.office.sheets.vehicle_route import HOW as ROUTE_HOW
from pacewright.office.sheets.vehicle_route import RouteOf, route_drawing, route_table
from pacewright.office.sheets.vehicle_scope import HOW as SCOPE_HOW
from pacewright.office.sheets.vehicle_scope import scope_if_any, scope_parts
from pacewright.office.sheets.vehicle_units import OwedRow, owed_rows
from pacewright.office.sheets.vehicles_forecast import Forecast, forecast_of
from pacewright.office.sheets.vehicles_rows import VehicleRow, VehicleRows
from pacewright.plans.scope import Scope
from pacewright.reports.sheet import Figure, Part, Sheet
from pacewright.reports.today import CAUTION
from pacewright.reports.written import day, listed, moment, number, some

HISTORY = 200
"""Events shown; the record has all."""

LINKS = {
    "unit_kind_id": "/parts/{}",
    "serial": "/serial?code={}",
    "assembly": "/serial?code={}",
    "vehicle_id": "/vehicles/{}",
    "owner": "/shops/{}",
    "shop_id": "/shops/{}",
    "place": "/record/{}",
}


def vehicle(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """Everything of one vehicle.

    Raises
    ------
    NotFoundError : neither the record nor the tables know it.
    """
    vehicle_id = asked.get("vehicle_id", "")
    paper = day_paper_with(desk, lambda now: vehicle_id in now.vehicles)
    known = known_vehicle(paper, vehicle_id)
    forecast = forecast_of(desk, paper)
    row = VehicleRows(paper, forecast).row(known)
    ahead = paper.today.seen.vehicles.get(vehicle_id)
    owed = owed_rows(paper, vehicle_id)
    scope = scope_if_any(paper, vehicle_id) if ahead is not None else None
    return Sheet(
        key="vehicle",
        title=f"Vehicle {vehicle_id}",
        question=f"Where is vehicle {vehicle_id}, what does it need, and when will it be out?",
        answer=tuple(_answer(paper, row, owed, forecast)),
        figures=_figures(paper, row, owed, scope),
        parts=tuple(_parts(desk, paper, row, owed, scope, forecast)),
        caution=CAUTION if ahead is not None else (),
        up_to=paper.place,
        basis=(*paper.basis, forecast.said),
    )


def known_vehicle(paper: DayPaper, vehicle_id: str) -> VehicleStanding:
    """What is known of a vehicle; of one that the record never heard of, what the tables say.

    Raises
    ------
    NotFoundError : neither knows it.
    """
    known = paper.standing.vehicles.get(vehicle_id)
    if known is not None:
        return known
    row = next((one for one in paper.works.vehicles if one.vehicle_id == vehicle_id), None)
    if row is None:
        raise NotFoundError(
            f"vehicle {vehicle_id[:40]}: neither the record nor vehicles.csv knows it. Check the "
            "number, or look for it on the page Vehicles."
        )
    return VehicleStanding(row.vehicle_id, row.type_id, row.depot_id)


def _answer(
    paper: DayPaper, row: VehicleRow, owed: Sequence[OwedRow], forecast: Forecast
) -> Iterator[str]:
    known = row.known
    since = f" since {moment(row.since)}" if row.since else ""
    yield f"{known.type_id}, {known.phase.value}: {row.where}{since}."
    if known.phase is Phase.INSIDE:
        yield f"{_state(row)} {row.passed} of {row.stages} stages of its way are passed."
    yield _promise(known.first_promise, known.promise)
    if known.phase in (Phase.INSIDE, Phase.AT_GATE, Phase.CALLED):
        yield forecast_words(row, forecast)
    late = [one.name for one in owed if one.short is not None]
    if late:
        yield f"It will stand for want of: {listed(late)}."
    call = _next_call(paper, row)
    if call is not None:
        yield f"By the plan it is called in on {day(call)}."


def _state(row: VehicleRow) -> str:
    if not row.held:
        return row.state[0].upper() + row.state[1:] + "."
    ends = f", expected {day(row.opens_on)}" if row.opens_on else ""
    what = f": waits for {row.waits_for}" if row.waits_for else ""
    opens = f"; ends with {row.opens}{ends}" if row.opens else ""
    return f"{row.state[0].upper()}{row.state[1:]}{what}{opens}."


def _promise(first: date | None, promise: date | None) -> str:
    if promise is None:
        return "Nothing is promised."
    if first in (None, promise):
        return f"Promised for {day(promise)}, as at first."
    return f"Promised for {day(promise)}; first promised for {day(first)}."


def _next_call(paper: DayPaper, row: VehicleRow) -> date | None:
    if paper.plan is None or row.known.phase is Phase.INSIDE:
        return None
    calls = (one for one in paper.plan.programme.calls if one.vehicle_id == row.vehicle_id)
    return next((one.day for one in calls if one.visit == 1), None)


def _figures(
    paper: DayPaper, row: VehicleRow, owed: Sequence[OwedRow], scope: Scope | None
) -> tuple[Figure, ...]:
    known, clock = row.known, paper.today.seen.clock
    if known.phase is not Phase.INSIDE:
        return ()
    came = known.admitted_at or known.arrived_at
    inside = clock.days_between(came, paper.today.now) if came else 0.0
    want, short = sum(one.need.wanted for one in owed), sum(one.short is not None for one in owed)
    found = [
        Figure("Inside", number(inside), "working days",
               f"Since it was let in on {moment(came)}, on the works' calendar."),
        Figure("Expected out", day(row.expected),
               f"promised {day(known.promise)}" if known.promise else "not promised",
               "By the forecast, mean of its runs; by the schedule while there is no forecast."),
        Figure("Still needs", number(want), f"units, {some(short, 'kind')} late",
               vehicle_units.OWED_HOW),
    ]  # fmt: skip
    if scope is not None:
        found.append(Figure("Scope", number(scope.total.hours, 0),
                            f"man-hours, {scope.total.grown_hours:+,.0f} on the standard: "
                            f"{scope.scope_class.value}", SCOPE_HOW))  # fmt: skip
    return tuple(found)


def _parts(
    desk: Desk,
    paper: DayPaper,
    row: VehicleRow,
    owed: Sequence[OwedRow],
    scope: Scope | None,
    forecast: Forecast,
) -> Iterator[Part]:
    known, ahead = row.known, paper.today.seen.vehicles.get(row.vehicle_id)
    if ahead is not None:
        yield _route(desk, paper, ahead)
        yield Part("owed", "Units it still needs", vehicle_units.OWED_HOW,
                   vehicle_units.owed_table(owed), links=LINKS,
                   columns=("unit_kind_id", "name", "owed", "issued", "to_come_off", "must_change",
                            "fit_stage_id", "needed", "state", "expected", "chance", "owner"),
                   empty="It needs no more units: none is owed and none is still to come off."
                   )  # fmt: skip
    if known.phase in (Phase.INSIDE, Phase.AT_GATE, Phase.CALLED):
        yield promises_part(desk, row, forecast, paper.today.now)
    if scope is not None:
        yield from scope_parts(paper, scope)
        yield from _photos(paper, row.vehicle_id)
    if row.vehicle_id in paper.standing.vehicles:
        yield from _identity(paper, row.vehicle_id)
        yield from _told(desk, known)


def _photos(paper: DayPaper, vehicle_id: str) -> Iterator[Part]:
    """Photos of what inspection found in this visit; nothing where there is none."""
    names = {one.operation_id: one.name for one in paper.works.operations}
    names |= {one.unit_kind_id: one.name for one in paper.works.unit_kinds}
    photos = photos_of(found_on(paper.standing, vehicle_id), names)
    if photos:
        yield Part("photos", "Photos of strip inspection", "Of what was found in this visit, on "
                   "the vehicle and the assemblies it came with; the newest first.",
                   photo_table(photos), folded=True, photos=photos)  # fmt: skip


def _route(desk: Desk, paper: DayPaper, ahead: VehicleAhead) -> Part:
    lanes = list(RouteOf(desk, paper, ahead).lanes())
    promises = (ahead.vehicle.first_promise, ahead.vehicle.promise)
    return Part("route", "Its way through the works", ROUTE_HOW, route_table(lanes),
                drawing=route_drawing(lanes, paper.today.now, promises), links=LINKS,
                columns=("lane", "piece", "name", "shop_id", "state", "begins", "ends", "failed"),
                folded=True, empty="Its type has no stages in the tables.")  # fmt: skip


def _identity(paper: DayPaper, vehicle_id: str) -> Iterator[Part]:
    standing, now = paper.standing, paper.today.now
    unit = paper.works.settings.distance_unit
    fitted = vehicle_units.fitted_rows(paper, vehicle_id)
    yield Part("fitted", "Units on it", vehicle_units.FITTED_HOW,
               vehicle_units.fitted_table(fitted, now, unit), links=LINKS, folded=len(fitted) > 12,
               columns=("unit_kind_id", "serial", "onto", "this_visit", "fitted_at",
                        "used_distance", "life_distance", "used_months", "life_months"),
               empty="The record knows of no unit on it: none was seen fitted or read there yet."
               )  # fmt: skip
    off = vehicle_units.off_table(paper, vehicle_id)
    yield Part("came_off", "Units that came off it, and where they are",
               "By the record, since it came. A unit that came off goes to its shop, and from the "
               "float onto whatever vehicle needs it first.", off, links=LINKS,
               folded=len(off.rows) > 12, empty="Nothing came off it since it came.")  # fmt: skip
    yield Part("assemblies", "Assemblies it has and had", vehicle_identity.HOW,
               vehicle_identity.had_table(vehicle_identity.had_rows(standing, vehicle_id)),
               links=LINKS, empty="It was never parted by the record: it is one whole."
               )  # fmt: skip


def _told(desk: Desk, known: VehicleStanding) -> Iterator[Part]:
    code = code_of(Piece(WHOLE, known.vehicle_id))
    told = list(desk.ledger.entries(about=code, newest_first=True, limit=HISTORY))
    yield Part("history", "What happened", f"The newest {HISTORY} events about its number, as they "
               "were recorded; those about its assemblies stand at their own codes.",
               events_table(told), links=LINKS,
               columns=("place", "at", "kind", "said", "recorded_by"), folded=True,
               empty="Nothing is recorded.")  # fmt: skip
    if known.visits:
        yield Part("visits", "Earlier visits", "Visits that ended with a release.",
                   visits_table(known))  # fmt: skip
