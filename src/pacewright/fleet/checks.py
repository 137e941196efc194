"""What must hold between the cells of the fleet's tables; each check names one rule.

A check is called with the tables its parameters are named for; ``plan`` is the plan's settings,
``histories`` the readings of each vehicle in order of date.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date
from itertools import pairwise

from pacewright.base.faults import Finding
from pacewright.base.settings import PlanSettings
from pacewright.fleet.tables import Depot, Reading, Vehicle, VehicleType

LEAST_DISTANCE = 1000
"""Least interval by distance taken as meant; less is a table kept in thousands."""
MOST_DISTANCE_A_DAY = 2000
"""Most a road or rail vehicle is taken to run in a day [distance unit]; a plain bound, no source"""
MOST_TURN_DAYS = 250
"""A year of working days."""
DAYS_A_MONTH = 365.2425 / 12

History = Sequence[tuple[date, int, Reading]]


def histories(readings: Sequence[Reading]) -> dict[str, History]:
    """Vehicle -> its readings as (day, place in the table, reading), in order of date."""
    found: dict[str, list[tuple[date, int, Reading]]] = {}
    for index, reading in enumerate(readings):
        found.setdefault(reading.vehicle_id, []).append((reading.read_on, index, reading))
    for history in found.values():
        history.sort(key=lambda entry: entry[:2])
    return dict(found)


def type_has_interval(vehicle_types: Sequence[VehicleType]) -> Iterator[Finding]:
    """Each vehicle type has an interval: by time, by distance, or both."""
    for index, one in enumerate(vehicle_types):
        if one.interval_months is None and one.interval_distance is None:
            yield Finding(
                "vehicle_types",
                index,
                "interval_months",
                f"type {one.type_id} has no interval, by time or by distance",
                "A type has at least one permitted interval, or its vehicles are never due.",
                "Fill in interval_months, interval_distance, or both.",
            )


def interval_believable(vehicle_types: Sequence[VehicleType]) -> Iterator[Finding]:
    """Intervals lie between 1 and 600 months, and at 1,000 distance units or more."""
    for index, one in enumerate(vehicle_types):
        months, distance = one.interval_months, one.interval_distance
        if months is not None and not 1 <= months <= 600:
            yield Finding(
                "vehicle_types",
                index,
                "interval_months",
                f"{months:g} months",
                "An interval by time lies between 1 and 600 months.",
                "Give it in months.",
            )
        if distance is not None and distance < LEAST_DISTANCE:
            yield Finding(
                "vehicle_types",
                index,
                "interval_distance",
                f"{distance:g}",
                f"An interval by distance is {LEAST_DISTANCE} or more.",
                "Give it in whole distance units, not in thousands.",
            )


def window_within_interval(vehicle_types: Sequence[VehicleType]) -> Iterator[Finding]:
    """A vehicle becomes due again after it has left: windows and turn fit into the interval."""
    for index, one in enumerate(vehicle_types):
        if one.interval_months is None:
            days = 600 * DAYS_A_MONTH
        else:
            days = one.interval_months * DAYS_A_MONTH
        for column in ("early_days", "late_days", "turn_days"):
            given = getattr(one, column)
            # Working days are fewer than days; five of seven is the usual week.
            needed = given * 7 / 5 if column == "turn_days" else given
            if needed >= days or (column == "turn_days" and given > MOST_TURN_DAYS):
                yield Finding(
                    "vehicle_types",
                    index,
                    column,
                    f"{given:g} days against an interval of {days:.0f} days",
                    "Early and late days and the turn are shorter than the interval; "
                    f"a turn is at most {MOST_TURN_DAYS} working days.",
                    "Correct the days or the interval.",
                )


def travel_believable(depots: Sequence[Depot]) -> Iterator[Finding]:
    """The way from a depot to the works takes at most 60 working days."""
    for index, one in enumerate(depots):
        if one.travel_days > 60:
            yield Finding(
                "depots",
                index,
                "travel_days",
                f"{one.travel_days:g} working days",
                "The way from depot to works takes at most 60 working days.",
                "Give it in working days, one way.",
            )


def late_vehicles_are_late(depots: Sequence[Depot]) -> Iterator[Finding]:
    """Vehicles that a depot sends late come one working day late or more on average."""
    for index, one in enumerate(depots):
        if one.late_share > 0 and one.late_days < 1:
            yield Finding(
                "depots",
                index,
                "late_days",
                f"{one.late_share:g} of the vehicles of {one.depot_id} are late by "
                f"{one.late_days:g} days",
                "Where late_share is above 0, late_days is 1 or more.",
                "Give the mean of the late ones alone, or write late_share 0.",
            )


def inside_is_told(vehicles: Sequence[Vehicle]) -> Iterator[Finding]:
    """A vehicle inside has its gate_in and its stage_id; no other vehicle has them."""
    for index, one in enumerate(vehicles):
        for column in ("gate_in", "stage_id"):
            filled = getattr(one, column) is not None
            if filled == (one.state == "inside"):
                continue
            yield Finding(
                "vehicles",
                index,
                column,
                f"vehicle {one.vehicle_id} is {one.state} and {column} is "
                + ("filled" if filled else "blank"),
                "gate_in and stage_id are filled for vehicles inside, and for no others.",
                "Correct the state, or blank the cell." if filled else "Fill it in.",
            )


def promised_is_inside(vehicles: Sequence[Vehicle]) -> Iterator[Finding]:
    """Only a vehicle inside has a day for which its release is promised."""
    for index, one in enumerate(vehicles):
        if one.promised is not None and one.state != "inside":
            yield Finding(
                "vehicles",
                index,
                "promised",
                f"vehicle {one.vehicle_id} is {one.state} and promised for {one.promised}",
                "A release is promised for vehicles inside, and for no others.",
                "Blank it, or correct the state.",
            )


def called_is_to_come(vehicles: Sequence[Vehicle]) -> Iterator[Finding]:
    """Only a vehicle running or standing has a day for which it was called in."""
    for index, one in enumerate(vehicles):
        if one.called_for is not None and one.state not in {"running", "standing"}:
            yield Finding(
                "vehicles",
                index,
                "called_for",
                f"vehicle {one.vehicle_id} is {one.state} and called in for {one.called_for}",
                "A vehicle is called in while it is running or standing, and not otherwise.",
                "Blank it, or correct the state.",
            )


def past_is_past(vehicles: Sequence[Vehicle], plan: PlanSettings) -> Iterator[Finding]:
    """What has happened to a vehicle lies on or before the plan's today."""
    for index, one in enumerate(vehicles):
        for column in ("in_service", "last_overhaul", "gate_in"):
            day = getattr(one, column)
            if day is not None and day > plan.today:
                yield Finding(
                    "vehicles",
                    index,
                    column,
                    f"vehicle {one.vehicle_id}: {day} lies after today, {plan.today}",
                    "The table tells what has happened up to plan.today in the settings.",
                    "Correct the date, or plan.today.",
                )


_ORDER = (
    ("in_service", "last_overhaul"),
    ("in_service", "gate_in"),
    ("last_overhaul", "gate_in"),
    ("in_service", "licence_expiry"),
    ("in_service", "withdraw_on"),
    ("gate_in", "promised"),
)


def life_in_order(vehicles: Sequence[Vehicle]) -> Iterator[Finding]:
    """A vehicle is put in service first, then overhauled, then comes in again."""
    for index, one in enumerate(vehicles):
        for earlier, later in _ORDER:
            first, then = getattr(one, earlier), getattr(one, later)
            if first is not None and then is not None and then < first:
                yield Finding(
                    "vehicles",
                    index,
                    later,
                    f"vehicle {one.vehicle_id}: {later} {then} lies before {earlier} {first}",
                    f"{later} is not before {earlier}.",
                    "Correct the date that is wrong.",
                )


def withdrawal_kept(vehicles: Sequence[Vehicle], plan: PlanSettings) -> Iterator[Finding]:
    """A vehicle past its withdraw_on is withdrawn; left in use, it would be planned as gone."""
    for index, one in enumerate(vehicles):
        if one.withdraw_on and one.withdraw_on < plan.today and one.state in ("running", "inside"):
            yield Finding(
                "vehicles",
                index,
                "withdraw_on",
                f"vehicle {one.vehicle_id} was to leave on {one.withdraw_on} and is {one.state}",
                "A vehicle past its withdraw_on is not in use.",
                "Set its state to withdrawn, or correct or blank withdraw_on.",
            )


def overhaul_odometer_dated(vehicles: Sequence[Vehicle]) -> Iterator[Finding]:
    """An overhaul_odometer has the last_overhaul it was read at."""
    for index, one in enumerate(vehicles):
        if one.overhaul_odometer is not None and one.last_overhaul is None:
            yield Finding(
                "vehicles",
                index,
                "overhaul_odometer",
                f"vehicle {one.vehicle_id} has overhaul_odometer {one.overhaul_odometer:g} "
                "and no last_overhaul",
                "The odometer at the overhaul needs the day of the overhaul.",
                "Fill in last_overhaul, or blank overhaul_odometer.",
            )


def readings_in_time(
    readings: Sequence[Reading], vehicles: Sequence[Vehicle], plan: PlanSettings
) -> Iterator[Finding]:
    """A reading lies between the day its vehicle was put in service and today."""
    starts = {one.vehicle_id: one.in_service for one in vehicles}
    for index, one in enumerate(readings):
        start = starts.get(one.vehicle_id, one.read_on)
        if not start <= one.read_on <= plan.today:
            yield Finding(
                "readings",
                index,
                "read_on",
                f"vehicle {one.vehicle_id} read on {one.read_on}, in service since {start}, "
                f"today {plan.today}",
                "A reading is not before in_service nor after today.",
                "Correct the date, here or in the other place.",
            )


def odometer_never_falls(histories: Mapping[str, History]) -> Iterator[Finding]:
    """The odometer of a vehicle never falls from one reading to the next."""
    for vehicle_id, history in histories.items():
        for (_, _, before), (_, index, after) in pairwise(history):
            if after.odometer < before.odometer:
                yield Finding(
                    "readings",
                    index,
                    "odometer",
                    f"vehicle {vehicle_id} read {before.odometer:g} on {before.read_on} "
                    f"and {after.odometer:g} on {after.read_on}",
                    "An odometer does not fall.",
                    "Correct one of the two; after a change of odometer give distances since new.",
                )


def odometer_never_jumps(histories: Mapping[str, History]) -> Iterator[Finding]:
    """Between two readings a vehicle runs at most 2,000 distance units a day."""
    for vehicle_id, history in histories.items():
        for (_, _, before), (_, index, after) in pairwise(history):
            days = (after.read_on - before.read_on).days
            run = after.odometer - before.odometer
            if days and run > days * MOST_DISTANCE_A_DAY:
                yield Finding(
                    "readings",
                    index,
                    "odometer",
                    f"vehicle {vehicle_id} ran {run:g} in {days} days, from {before.odometer:g} "
                    f"on {before.read_on} to {after.odometer:g} on {after.read_on}",
                    f"No vehicle runs more than {MOST_DISTANCE_A_DAY} a day.",
                    "Correct the reading or its date; look for a digit too many.",
                )


def overhaul_odometer_between_readings(
    histories: Mapping[str, History], vehicles: Sequence[Vehicle]
) -> Iterator[Finding]:
    """Readings since the last overhaul are at or above its odometer, earlier ones at or below."""
    for vehicle in vehicles:
        mark, day = vehicle.overhaul_odometer, vehicle.last_overhaul
        if mark is None or day is None:
            continue
        for read_on, index, reading in histories.get(vehicle.vehicle_id, ()):
            low = read_on >= day and reading.odometer < mark
            high = read_on <= day and reading.odometer > mark
            if low or high:
                yield Finding(
                    "readings",
                    index,
                    "odometer",
                    f"vehicle {vehicle.vehicle_id} read {reading.odometer:g} on {read_on}, "
                    f"{'below' if low else 'above'} {mark:g} at its overhaul on {day}",
                    "An odometer does not fall.",
                    "Correct the reading, or overhaul_odometer or last_overhaul in vehicles.",
                )


CHECKS: tuple[Callable[..., Iterator[Finding]], ...] = (
    type_has_interval,
    interval_believable,
    window_within_interval,
    travel_believable,
    late_vehicles_are_late,
    inside_is_told,
    promised_is_inside,
    called_is_to_come,
    past_is_past,
    life_in_order,
    withdrawal_kept,
    overhaul_odometer_dated,
    readings_in_time,
    odometer_never_falls,
    odometer_never_jumps,
    overhaul_odometer_between_readings,
)
"""Every check of the fleet, in the order of the column reference."""
