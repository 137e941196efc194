"""The odometer of one vehicle: the stretches its readings make, and its usage with their error."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from math import sqrt
from typing import NamedTuple

from pacewright.fleet.tables import Reading, Vehicle

SHORTEST_DAYS = 28
"""A record of fewer days says nothing of the usual distance of a type [days]."""
LEAST_DISTANCE = 1.0
"""A record of less distance is that of an odometer that has not moved [distance unit]."""
_Point = tuple[date, float]


class Stretch(NamedTuple):
    """The time between two known odometers: its length [days], distance, and days left out before.

    Days are left out where the vehicle stood in the works, so that they say nothing of its usage.
    """

    days: int
    distance: float
    gap_days: int


class Comparison(NamedTuple):
    """Mean rates of neighbouring stretches compared: how many pairs, and their sums.

    Equations
    ---------
    The mean rates of two stretches of ``a`` and ``b`` days, ``g`` days apart, differ by ``d`` with
    ``E[d^2 ab/(a+b)] = s + w q``, ``q = (a/3 + g + b/3) ab/(a+b)``: scatter ``s``, wander ``w``
    (own derivation from the random walk; q is the reach). Sums of both sides over the pairs.
    """

    pairs: int
    squares: float
    reach: float


@dataclass(frozen=True, slots=True)
class OdometerRecord:
    """What is known of one vehicle's odometer.

    Parameters
    ----------
    start : day from which its distance interval runs (last overhaul, else in service).
    start_odometer : odometer then; None when unknown.
    last_day, last_odometer : the latest day on which its odometer is known; None when never.
    stretches : between known odometers, oldest first; the one that ends at the overhaul left out.
    neighbours : each stretch compared with the next.
    covered_days, covered_distance : of all stretches together.
    readings : readings used.
    falls_on : first day since the start on which it lies below the reading before; None: never.
    """

    start: date
    start_odometer: float | None
    last_day: date | None
    last_odometer: float
    stretches: tuple[Stretch, ...]
    neighbours: Comparison
    covered_days: int
    covered_distance: float
    readings: int
    falls_on: date | None = None

    @property
    def tells_rate(self) -> bool:
        """True when it covers enough days to say what the vehicle runs a day."""
        return self.covered_days >= SHORTEST_DAYS and self.covered_distance >= LEAST_DISTANCE

    @property
    def stuck(self) -> bool:
        """True when the odometer has not moved in days enough to have done so."""
        return self.covered_days >= SHORTEST_DAYS and self.covered_distance < LEAST_DISTANCE


@dataclass(frozen=True, slots=True)
class Usage:
    """How far a vehicle runs a day, and how well that is known: a random walk with drift.

    Parameters
    ----------
    rate : usual distance a day now; above 0.
    rate_variance : square of its standard error [(distance a day)^2].
    scatter : variance of the distance of one day, rate known [distance^2 a day].
    wander : variance the rate itself gains a day, as usage changes [(distance a day)^2 a day].
    """

    rate: float
    rate_variance: float
    scatter: float
    wander: float

    def days_for(self, distance: float) -> float:
        """Days in which it runs ``distance`` at its usual rate."""
        return distance / self.rate

    def sd_days(self, days: float) -> float:
        """Standard deviation of the day on which a distance runs out.

        Parameters
        ----------
        days : days from the last known odometer to that day; 0 or less: it has run out, no error.

        Equations
        ---------
        With scatter ``s``, rate ``r``, its variance ``v``, wander ``w`` and ``h`` days ahead the
        distance run has variance ``s h + v h^2 + w h^3 / 3``; divided by ``r^2`` it is that of the
        day. For ``v = w = 0`` this is exact: the first passage of a Brownian motion with drift is
        inverse Gaussian with mean ``D/r`` and variance ``D s / r^3``. The two other terms are of
        first order in the relative error of the rate.

        Example
        -------
        >>> Usage(rate=200.0, rate_variance=25.0, scatter=40_000.0, wander=0.0).sd_days(100.0)
        10.307764064044152
        """
        if days <= 0:
            return 0.0
        variance = self.scatter + days * (self.rate_variance + days * self.wander / 3)
        return sqrt(days * variance) / self.rate


def odometer_record(vehicle: Vehicle, readings: Iterable[Reading], today: date) -> OdometerRecord:
    """Join a vehicle's readings with what is known of its last overhaul.

    Parameters
    ----------
    vehicle : its row.
    readings : its readings in any order; of two on one day the higher holds.
    today : later readings are not yet known and do not count.

    Returns
    -------
    The record. Without an overhaul the interval runs from the day in service, on which the odometer
    was ``overhaul_odometer`` or, when that is blank, 0. A reading on the very day of the overhaul
    stands in for a blank ``overhaul_odometer``.
    """
    start = vehicle.last_overhaul or vehicle.in_service
    first_counts = date.min if vehicle.last_overhaul else vehicle.in_service
    known: dict[date, float] = {}
    for reading in readings:
        if first_counts <= reading.read_on <= today:
            known[reading.read_on] = max(reading.odometer, known.get(reading.read_on, 0.0))
    count = len(known)
    start_odometer = vehicle.overhaul_odometer
    if start_odometer is None:
        start_odometer = known.get(start, None if vehicle.last_overhaul else 0.0)
    if start_odometer is not None:
        known[start] = start_odometer
    points = sorted(known.items())
    steps = tuple(pairwise(points))
    falls = (last for (first, x), (last, y) in steps if y < x and first >= start)
    stretches = _stretches(steps, vehicle.last_overhaul)
    return OdometerRecord(
        start=start,
        start_odometer=start_odometer,
        last_day=points[-1][0] if points else None,
        last_odometer=points[-1][1] if points else 0.0,
        stretches=stretches,
        neighbours=compare(stretches),
        covered_days=sum(one[0] for one in stretches),
        covered_distance=sum(one[1] for one in stretches),
        readings=count,
        falls_on=next(falls, None),
    )


def _stretches(
    steps: Iterable[tuple[_Point, _Point]], overhaul: date | None
) -> tuple[Stretch, ...]:
    found, gap = [], 0
    for (first, before), (last, after) in steps:
        days = (last - first).days
        # It stood in the works before the overhaul was released, for a time not on record; an
        # odometer that falls was changed, and the distance between is not on record either.
        if after < before or (overhaul is not None and first < overhaul <= last):
            gap += days
        else:
            found.append(Stretch(days, after - before, gap))
            gap = 0
    return tuple(found)


def compare(stretches: Iterable[Stretch]) -> Comparison:
    """Compare each stretch with the next."""
    pairs, squares, reach = 0, 0.0, 0.0
    for (before, ran_before, _), (after, ran_after, gap) in pairwise(stretches):
        weight = before * after / (before + after)
        apart = ran_after / after - ran_before / before
        pairs += 1
        squares += apart * apart * weight
        reach += weight * ((before + after) / 3 + gap)
    return Comparison(pairs, squares, reach)


def follow(stretches: Iterable[Stretch], prior: Usage) -> Usage:
    """Usage after the stretches, oldest first, starting from what was expected without them.

    Recent stretches weigh more the faster usage changes (``wander``), and the prior less the more
    stretches there are; with no wander the stretches pool into one mean shrunk to the prior.

    Parameters
    ----------
    stretches : of one vehicle, oldest first.
    prior : usage of vehicles like it; its scatter and wander are taken as known.

    Equations
    ---------
    Kalman filter of an integrated random walk observed without error at the readings. Before a
    stretch of ``t`` days the rate is ``m`` with variance ``v``; the distance has mean ``m t`` and
    variance ``S = v t^2 + s t + w t^3/3``, its covariance with the rate at the end is
    ``C = v t + w t^2/2``; then ``m += C/S (x - m t)`` and ``v += w t - C^2/S``. Durbin and Koopman,
    Time Series Analysis by State Space Methods (2001), chapters 3 and 4, from memory.
    """
    rate, variance = prior.rate, prior.rate_variance
    scatter, wander = prior.scatter, prior.wander
    for days, distance, gap_days in stretches:
        variance += wander * gap_days
        expected_variance = days * (scatter + days * (variance + days * wander / 3))
        common = days * (variance + days * wander / 2)
        gain = common / expected_variance
        rate += gain * (distance - rate * days)
        variance += wander * days - gain * common
    return Usage(rate, max(variance, 0.0), scatter, wander)
