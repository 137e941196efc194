"""The day on which each permitted interval runs out, and the window the first of them leaves."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from pacewright.fleet.months import add_days, add_months
from pacewright.fleet.odometer import Usage
from pacewright.fleet.tables import VehicleType
from pacewright.fleet.windows import DueBy


@dataclass(frozen=True, slots=True)
class Frame:
    """The days against which windows are set.

    Parameters
    ----------
    today : day to which everything is known.
    start : first day that may still be planned.
    horizon_end : last day planned.
    firm_days : how long before arrival a call-in becomes firm [days].
    guard : standard deviations kept clear of a distance limit.
    """

    today: date
    start: date
    horizon_end: date
    firm_days: int
    guard: float


@dataclass(frozen=True, slots=True)
class RunOut:
    """One interval of one vehicle: when it runs out and how sure that is.

    Parameters
    ----------
    by : which interval.
    due, limit : day it runs out; last day with the tolerance used up.
    sd_days, limit_sd_days : standard deviation of the two as forecast today [days].
    firm_sd_days : what remains of ``sd_days`` when the call-in becomes firm [days].
    guard_days : kept clear before ``limit`` [days].
    """

    by: DueBy
    due: date
    limit: date
    sd_days: float = 0.0
    limit_sd_days: float = 0.0
    firm_sd_days: float = 0.0
    guard_days: float = 0.0


@dataclass(frozen=True, slots=True)
class Window:
    """The window that all intervals of a vehicle leave together."""

    opens: date
    latest: date
    first: RunOut
    strictest: RunOut


def time_runs_out(start: date, kind: VehicleType) -> RunOut | None:
    """The time interval from ``start``; None when time does not count for the type."""
    if kind.interval_months is None:
        return None
    due = add_months(start, kind.interval_months)
    return RunOut(DueBy.TIME, due, add_days(due, kind.late_days) if kind.late_days else due)


def distance_runs_out(
    left: float,
    known_on: date,
    kind: VehicleType,
    usage: Usage,
    frame: Frame,
    sd_before: float = 0.0,
) -> RunOut:
    """The distance interval of a running vehicle.

    Parameters
    ----------
    left : distance left of the interval on ``known_on``; below 0 when it has run out.
    known_on : day of the last known odometer, or of a release still to come.
    kind : gives the tolerance.
    usage : distance a day and its error, as known on ``known_on``.
    frame : the days of the plan.
    sd_before : error of ``known_on`` itself [days]; added straight, as both errors stem from
        the same usage.

    Equations
    ---------
    Due ``left / rate`` days after ``known_on``. Readings are expected to go on as they came, so
    when the call-in becomes firm the last one is as old as it is today: the error that remains is
    that over the firm zone and this age, or over the whole way when it is shorter.
    """
    lead = frame.firm_days + max(0, (frame.today - known_on).days)
    days = usage.days_for(left)
    due = add_days(known_on, days)
    sd_days, firm_sd_days = sd_before + usage.sd_days(days), usage.sd_days(min(days, lead))
    limit, limit_sd_days, guarded_sd_days = due, sd_days, firm_sd_days
    if kind.late_distance:
        limit_days = usage.days_for(left + kind.late_distance)
        limit = add_days(known_on, limit_days)
        limit_sd_days = sd_before + usage.sd_days(limit_days)
        guarded_sd_days = usage.sd_days(min(limit_days, lead))
    guard_days = frame.guard * guarded_sd_days
    return RunOut(DueBy.DISTANCE, due, limit, sd_days, limit_sd_days, firm_sd_days, guard_days)


def licence_runs_out(expiry: date | None) -> RunOut | None:
    """The road licence: no tolerance, no forecast error."""
    return None if expiry is None else RunOut(DueBy.LICENCE, expiry, expiry)


def window_of(
    intervals: Sequence[RunOut], kind: VehicleType, frame: Frame, back: date | None = None
) -> Window:
    """The window that the intervals leave together; whichever comes first binds.

    Parameters
    ----------
    intervals : at least one.
    kind : its type, for the days it may come early.
    frame : the days of the plan.
    back : day it comes back from the visit before; it cannot come earlier than that.

    Returns
    -------
    The window. The guard may take the tolerance and time before due as well, but at most half of
    the window: more would make a day of a window only because its vehicle is seldom read. Nor does
    it take the first week planned as long as the limit has not passed.
    """
    first = strictest = intervals[0]
    for one in intervals[1:]:
        first = one if one.due < first.due else first
        strictest = one if one.limit < strictest.limit else strictest
    opens = add_days(first.due, -kind.early_days)
    if back is not None:
        opens = max(opens, min(back, first.due))
    guarded = min(
        add_days(one.limit, -one.guard_days) if one.guard_days else one.limit for one in intervals
    )
    week_end = frame.start + timedelta(days=6 - frame.start.weekday())
    half = opens + (strictest.limit - opens) // 2
    latest = max(half, guarded, min(strictest.limit, week_end))
    return Window(opens, latest, first, strictest)
