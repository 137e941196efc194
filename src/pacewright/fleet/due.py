"""Due windows: from the fleet's tables to the days between which each vehicle may come in."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from pacewright.base.settings import PlanSettings
from pacewright.fleet.distance import NEVER_READ, distance_interval
from pacewright.fleet.months import add_days
from pacewright.fleet.odometer import OdometerRecord, Usage, odometer_record
from pacewright.fleet.runout import (
    Frame,
    RunOut,
    Window,
    distance_runs_out,
    licence_runs_out,
    time_runs_out,
    window_of,
)
from pacewright.fleet.tables import Reading, Vehicle, VehicleType
from pacewright.fleet.usage import TypeUsage, type_usage
from pacewright.fleet.windows import DueWindow, Standing

DAYS_A_WORKING_DAY = 7 / 5
"""Calendar days for one working day, roughly, to place a visit far ahead."""
AFTER_DUE = "counted from the due date of the visit before"
AFTER_RELEASE = "counted from the release expected of the visit it is in for"


@dataclass(frozen=True, slots=True)
class _Subject:
    """One vehicle with all that is known of it."""

    vehicle: Vehicle
    kind: VehicleType
    record: OdometerRecord
    usage: Usage | None
    frame: Frame


def due_windows(
    vehicles: Sequence[Vehicle],
    types: Iterable[VehicleType],
    readings: Iterable[Reading],
    plan: PlanSettings,
    horizon_end: date,
) -> tuple[DueWindow, ...]:
    """The windows of every vehicle, in the order of the vehicles, visits in order.

    Parameters
    ----------
    vehicles, types, readings : rows of the works tables, checked before.
    plan : today, start, firm zone and guard.
    horizon_end : last day planned; later visits that open by then get a window each.

    Returns
    -------
    At least one window a vehicle (visit 1); its ``standing`` says why when it has no dates.

    Equations
    ---------
    due = the earliest of time, distance and licence; limit = the earliest with the tolerance of
    each; opens = due - early days; latest = the earliest limit less its guard. Distance runs out
    at left / rate; rate and error as in :mod:`~pacewright.fleet.usage` and
    :mod:`~pacewright.fleet.odometer`.
    """
    frame = Frame(plan.today, plan.start, horizon_end, plan.firm_weeks * 7, plan.guard)
    kinds = {kind.type_id: kind for kind in types}
    of_vehicle: dict[str, list[Reading]] = {}
    for reading in readings:
        of_vehicle.setdefault(reading.vehicle_id, []).append(reading)
    records = [
        odometer_record(vehicle, of_vehicle.get(vehicle.vehicle_id, ()), plan.today)
        for vehicle in vehicles
    ]
    usages = _usages(vehicles, records)
    found: list[DueWindow] = []
    for vehicle, record in zip(vehicles, records, strict=True):
        usage = _usage(usages.get(vehicle.type_id), record, vehicle)
        found += _visits(_Subject(vehicle, kinds[vehicle.type_id], record, usage, frame))
    return tuple(found)


def _usages(
    vehicles: Sequence[Vehicle], records: Sequence[OdometerRecord]
) -> dict[str, TypeUsage | None]:
    of_type: dict[str, list[tuple[str, OdometerRecord]]] = {}
    for vehicle, record in zip(vehicles, records, strict=True):
        of_type.setdefault(vehicle.type_id, []).append((vehicle.depot_id, record))
    return {type_id: type_usage(rows) for type_id, rows in of_type.items()}


def _usage(known: TypeUsage | None, record: OdometerRecord, vehicle: Vehicle) -> Usage | None:
    if known is None:
        return None
    if record.stuck:
        return known.expected(vehicle.depot_id)
    return known.of(record, vehicle.depot_id)


def _visits(subject: _Subject) -> Iterator[DueWindow]:
    vehicle, frame = subject.vehicle, subject.frame
    if vehicle.state == "withdrawn":
        yield _blank(subject, Standing.WITHDRAWN, "withdrawn from the fleet")
        return
    if vehicle.state == "inside":
        yield _blank(subject, Standing.INSIDE, "")
        came, sd_days = vehicle.gate_in or frame.today, 0.0
    else:
        first = _first_visit(subject)
        yield first
        if first.due is None or first.standing not in {Standing.DUE, Standing.OVERDUE}:
            return
        came, sd_days = max(first.due, frame.start), first.sd_days
    yield from _later_visits(subject, came, sd_days)


def _first_visit(subject: _Subject) -> DueWindow:
    vehicle, kind, frame = subject.vehicle, subject.kind, subject.frame
    distance = distance_interval(vehicle, kind, subject.record, subject.usage, frame)
    intervals = [
        one
        for one in (
            time_runs_out(subject.record.start, kind),
            distance.run_out,
            licence_runs_out(vehicle.licence_expiry),
        )
        if one is not None
    ]
    notes = list(distance.notes)
    if not intervals:
        notes.append("no due day can be told: until it can, treat it as due")
        return _blank(subject, Standing.UNKNOWN, "; ".join(notes))
    window = window_of(intervals, kind, frame)
    standing = _standing(window, subject, distance.told)
    if standing is Standing.UNKNOWN:
        notes.append("without it not due in this plan, or not before it leaves: treat it as due")
        return _blank(subject, standing, "; ".join(notes))
    if vehicle.withdraw_on is not None:
        notes += _leaving(window, vehicle.withdraw_on, frame.today)
    if vehicle.licence_expiry is not None and vehicle.licence_expiry < frame.today:
        notes.append("its licence has expired")
    return _written(subject, 1, standing, window, "; ".join(notes))


def _standing(window: Window, subject: _Subject, told: bool) -> Standing:
    leaves, frame = subject.vehicle.withdraw_on, subject.frame
    withdrawn = leaves is not None and leaves < window.first.due
    later = window.opens > frame.horizon_end
    # What is not known of distance must never let a vehicle pass for one that is not due.
    if (withdrawn or later) and not told:
        return Standing.UNKNOWN
    if withdrawn:
        return Standing.WITHDRAWN
    if window.strictest.limit < frame.start:
        return Standing.OVERDUE
    return Standing.LATER if later else Standing.DUE


def _leaving(window: Window, leaves: date, today: date) -> Iterator[str]:
    if leaves < window.first.due:
        yield "leaves the fleet before it is due"
    elif leaves < today:
        yield "was to leave the fleet and has not: correct its state or the day"
    elif leaves <= window.strictest.limit:
        yield "leaves the fleet within its limit: it may run out its time instead"


def _later_visits(subject: _Subject, came: date, sd_days: float) -> Iterator[DueWindow]:
    """The visits after the one it came for on ``came``, as long as they open in the horizon."""
    kind, frame = subject.kind, subject.frame
    leaves = subject.vehicle.withdraw_on or date.max
    untold = f"; {NEVER_READ}" if kind.interval_distance and subject.usage is None else ""
    since = AFTER_RELEASE if subject.vehicle.state == "inside" else AFTER_DUE
    visit = 2
    while True:
        back = max(add_days(came, max(1.0, kind.turn_days * DAYS_A_WORKING_DAY)), frame.today)
        intervals = _intervals_from(back, subject, sd_days)
        if not intervals:
            return
        window = window_of(intervals, kind, frame, back)
        if window.opens > frame.horizon_end or window.first.due > leaves:
            return
        yield _written(subject, visit, Standing.DUE, window, since + untold)
        since, came = AFTER_DUE, max(window.first.due, back + timedelta(days=1))
        sd_days, visit = window.first.sd_days, visit + 1


def _intervals_from(back: date, subject: _Subject, sd_days: float) -> list[RunOut]:
    kind, usage = subject.kind, subject.usage
    intervals = [time_runs_out(back, kind)]
    if kind.interval_distance is not None and usage is not None:
        known_on = subject.record.last_day or subject.frame.today
        ahead = max(0, (back - known_on).days)
        then = replace(usage, rate_variance=usage.rate_variance + usage.wander * ahead)
        intervals.append(
            distance_runs_out(kind.interval_distance, back, kind, then, subject.frame, sd_days)
        )
    return [one for one in intervals if one is not None]


def _blank(subject: _Subject, standing: Standing, note: str) -> DueWindow:
    vehicle, usage = subject.vehicle, subject.usage
    return DueWindow(
        vehicle_id=vehicle.vehicle_id,
        type_id=vehicle.type_id,
        depot_id=vehicle.depot_id,
        visit=1,
        standing=standing,
        opens=None,
        due=None,
        limit=None,
        latest=None,
        due_by=None,
        distance_a_day=usage.rate if usage else None,
        readings=subject.record.readings,
        note=note,
    )


def _written(
    subject: _Subject, visit: int, standing: Standing, window: Window, note: str
) -> DueWindow:
    vehicle, usage = subject.vehicle, subject.usage
    return DueWindow(
        vehicle_id=vehicle.vehicle_id,
        type_id=vehicle.type_id,
        depot_id=vehicle.depot_id,
        visit=visit,
        standing=standing,
        opens=window.opens,
        due=window.first.due,
        limit=window.strictest.limit,
        latest=window.latest,
        due_by=window.first.by,
        sd_days=window.first.sd_days,
        firm_sd_days=window.first.firm_sd_days,
        distance_a_day=usage.rate if usage else None,
        readings=subject.record.readings,
        note=note,
        limit_by=window.strictest.by,
        limit_sd_days=window.strictest.limit_sd_days,
    )
