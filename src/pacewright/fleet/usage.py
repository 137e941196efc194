"""How vehicles of one type are used: what one of them may be expected to run a day, and why.

Empirical Bayes: the fleet itself says how far vehicles differ, depots differ and days scatter; a
vehicle with few readings leans on its depot and type, one with many on its own odometer.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean

from pacewright.fleet.odometer import OdometerRecord, Stretch, Usage, compare, follow

ASSUMED_SPREAD = 0.3
"""Spread of usage between vehicles, as a share of the mean, before the fleet has shown its own."""
ASSUMED_MONTH_SCATTER = 0.2
"""Scatter of one vehicle's distance in 30 days, as a share of its mean, before records show it."""
ASSUMED_YEAR_CHANGE = 0.05
"""Change of a vehicle's usage in a year, as a share of its mean, before long records show it."""
ASSUMED_WEIGHT = 2.0
"""How many vehicles, or comparisons of stretches, each assumption above weighs."""
TYPE_WEIGHT = 8.0
"""How many of a vehicle's own comparisons the scatter of its type weighs."""
LEAST_RATE_SHARE = 0.05
"""Least usual distance a day, as a share of its depot's: no vehicle is forecast never to come."""


@dataclass(frozen=True, slots=True)
class TypeUsage:
    """Usage of the vehicles of one type.

    Parameters
    ----------
    rate : mean distance a day over its vehicles.
    rate_variance : variance between vehicles of one depot [(distance a day)^2].
    depots : depot -> mean distance a day expected of its vehicles, and that mean's variance.
    depot_variance : variance between depots [(distance a day)^2].
    scatter, wander : as in :class:`~pacewright.fleet.odometer.Usage`.
    vehicles : vehicles whose own records it rests on.
    """

    rate: float
    rate_variance: float
    depots: Mapping[str, tuple[float, float]]
    depot_variance: float
    scatter: float
    wander: float
    vehicles: int

    def expected(self, depot_id: str) -> Usage:
        """Usage of a vehicle of which nothing is known but type and depot."""
        rate, variance = self.depots.get(depot_id, (self.rate, self.depot_variance))
        return Usage(rate, self.rate_variance + variance, self.scatter, self.wander)

    def of(self, record: OdometerRecord, depot_id: str) -> Usage:
        """Usage of one vehicle: its own stretches, leaning on depot and type where they are few.

        Equations
        ---------
        Scatter ``(n s + TYPE_WEIGHT s_type) / (n + TYPE_WEIGHT)`` over its ``n`` comparisons of a
        stretch with the next; then :func:`~pacewright.fleet.odometer.follow`.
        """
        prior = self.expected(depot_id)
        if not record.stretches:
            return prior
        pairs, squares, reach = record.neighbours
        own = max(squares - self.wander * reach, 0.0)
        scatter = (own + TYPE_WEIGHT * self.scatter) / (pairs + TYPE_WEIGHT)
        now = follow(record.stretches, Usage(prior.rate, prior.rate_variance, scatter, self.wander))
        least = LEAST_RATE_SHARE * prior.rate
        return Usage(max(now.rate, least), now.rate_variance, scatter, self.wander)


def type_usage(records: Sequence[tuple[str, OdometerRecord]]) -> TypeUsage | None:
    """Learn the usage of one type from the records of its vehicles.

    Parameters
    ----------
    records : depot and record of each vehicle of the type.

    Returns
    -------
    Its usage; None when no vehicle has a usable record: then no distance can be forecast.

    Equations
    ---------
    Rates one way by depot, random effects by moments: Searle, Casella and McCulloch, Variance
    Components (1992), chapter 3, from memory. The part that scatter and wander put into a vehicle's
    mean over ``T`` days, ``s/T + w T/3``, is taken off the variance within depots.
    """
    rates: dict[str, list[float]] = {}
    days: list[int] = []
    for depot_id, record in records:
        if record.tells_rate:
            rate = record.covered_distance / record.covered_days
            rates.setdefault(depot_id, []).append(rate)
            days.append(record.covered_days)
    if not days:
        return None
    mean = fmean(rate for own in rates.values() for rate in own)
    moving = [record for _, record in records if not record.stuck]
    scatter, wander = _scatter_and_wander(moving, mean)
    pairs = sum(record.neighbours.pairs for record in moving)
    noise = scatter * fmean(1 / one for one in days) + wander * fmean(days) / 3
    # Scatter that is assumed and not yet shown must not explain the spread of vehicles away.
    noise *= pairs / (pairs + ASSUMED_WEIGHT)
    within, between = _within_and_between(rates, mean, noise)
    depots = {}
    for depot_id, own in rates.items():
        of_mean = (within + noise) / len(own)
        lean = between / (between + of_mean)
        depots[depot_id] = mean + lean * (fmean(own) - mean), lean * of_mean
    return TypeUsage(mean, within, depots, between, scatter, wander, len(days))


def _within_and_between(
    rates: Mapping[str, Sequence[float]], mean: float, noise: float
) -> tuple[float, float]:
    """Variance of usage between vehicles of one depot, and between depots."""
    count, groups = sum(map(len, rates.values())), len(rates)
    means = {depot_id: fmean(own) for depot_id, own in rates.items()}
    squares = sum((rate - means[d]) ** 2 for d, own in rates.items() for rate in own)
    assumed = (ASSUMED_SPREAD * mean) ** 2
    shown = max(squares - (count - groups) * noise, 0.0)
    within = (shown + ASSUMED_WEIGHT * assumed) / (count - groups + ASSUMED_WEIGHT)
    if groups < 2:
        return within, 0.0
    size = (count - sum(len(own) ** 2 for own in rates.values()) / count) / (groups - 1)
    apart = sum(len(own) * (means[d] - mean) ** 2 for d, own in rates.items()) / (groups - 1)
    return within, max((apart - within - noise) / size, 0.0)


def _scatter_and_wander(records: Sequence[OdometerRecord], mean: float) -> tuple[float, float]:
    """Scatter of the days and wander of the rate: two means, near and far, for two unknowns.

    Each stretch is compared with the next, and the older half of each record with the newer; see
    :class:`~pacewright.fleet.odometer.Comparison`.
    """
    near = [record.neighbours for record in records]
    far = [compare(_halves(record.stretches)) for record in records if len(record.stretches) >= 3]
    assumed = ASSUMED_WEIGHT * (ASSUMED_MONTH_SCATTER * mean) ** 2 * 30
    weight = sum(one.pairs for one in near) + ASSUMED_WEIGHT
    near_mean = (sum(one.squares for one in near) + assumed) / weight
    near_reach = sum(one.reach for one in near) / weight
    wander = (ASSUMED_YEAR_CHANGE * mean) ** 2 / 365
    if far and (further := fmean(one.reach for one in far) - near_reach) > 0:
        shown = (fmean(one.squares for one in far) - near_mean) / further
        wander = (len(far) * shown + ASSUMED_WEIGHT * wander) / (len(far) + ASSUMED_WEIGHT)
    # Some of what is seen between neighbours is always scatter of days, not a change of usage.
    most = 0.9 * near_mean / near_reach if near_reach else wander
    wander = min(max(wander, 0.0), most)
    return near_mean - wander * near_reach, wander


def _halves(history: Sequence[Stretch]) -> tuple[Stretch, Stretch]:
    half, run, cut = sum(one.days for one in history) / 2, 0, 0
    while run < half and cut < len(history) - 1:
        run += history[cut].days
        cut += 1
    older, newer = history[:cut], history[cut:]
    return (
        Stretch(run, sum(one.distance for one in older), 0),
        Stretch(
            sum(one.days for one in newer), sum(one.distance for one in newer), newer[0].gap_days
        ),
    )
