"""The distance interval of the visit to come: when it runs out, or why that cannot be told."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from pacewright.fleet.odometer import OdometerRecord, Usage
from pacewright.fleet.runout import Frame, RunOut, distance_runs_out
from pacewright.fleet.tables import Vehicle, VehicleType

STALE_DAYS = 365
"""An odometer last known more than so many days ago is called stale [days]."""
UNTOLD = "planned without distance"
"""In every note of a vehicle whose distance counts and cannot be told."""
NEVER_READ = f"no odometer readings of its type: {UNTOLD}; take readings"

OUT_OF_USE = "stands out of use: time runs, distance does not"


@dataclass(frozen=True, slots=True)
class DistanceInterval:
    """What can be said of the distance interval of a vehicle.

    Parameters
    ----------
    run_out : when it runs out; None when distance does not count, stands still or is not known.
    told : False when distance counts and is not known.
    notes : what the planner must know; the same words for every vehicle in the same case.
    """

    run_out: RunOut | None
    told: bool
    notes: tuple[str, ...] = ()


_DOES_NOT_COUNT = DistanceInterval(None, True)


def distance_interval(
    vehicle: Vehicle, kind: VehicleType, record: OdometerRecord, usage: Usage | None, frame: Frame
) -> DistanceInterval:
    """Say when the distance interval of a vehicle runs out, or why that cannot be told.

    Parameters
    ----------
    vehicle, kind : the vehicle and its type.
    record, usage : its odometer, and what it runs a day; None when its type was never read.
    frame : the days of the plan.
    """
    if kind.interval_distance is None:
        return _DOES_NOT_COUNT
    why = _why_untold(record, usage)
    if why or usage is None or record.start_odometer is None or record.last_day is None:
        return DistanceInterval(None, False, (why,))
    left = kind.interval_distance - (record.last_odometer - record.start_odometer)
    if vehicle.state == "standing" and left > 0:
        return DistanceInterval(None, True, (OUT_OF_USE,))
    run_out = distance_runs_out(left, record.last_day, kind, usage, frame)
    # Far past its interval, the usual rate could place the due day before the interval began.
    if run_out.due < record.start:
        run_out = replace(run_out, due=record.start, limit=max(run_out.limit, record.start))
    return DistanceInterval(run_out, True, tuple(_doubts(vehicle, record, frame.today)))


def _why_untold(record: OdometerRecord, usage: Usage | None) -> str:
    if record.falls_on is not None:
        return f"odometer falls: {UNTOLD}; correct its readings"
    if record.start_odometer is None:
        return f"odometer at its last overhaul unknown: {UNTOLD}; find it"
    return NEVER_READ if usage is None else ""


def _doubts(vehicle: Vehicle, record: OdometerRecord, today: date) -> Iterator[str]:
    if vehicle.state == "standing":
        yield "stands out of use with its distance used up"
    if record.readings == 0:
        yield "no readings of its own: distance a day from its depot and type"
    elif record.stuck:
        yield "its odometer has not moved: distance a day from its depot and type; look at it"
    if record.last_day is not None and (today - record.last_day).days > STALE_DAYS:
        yield "odometer stale: not read for more than a year"
