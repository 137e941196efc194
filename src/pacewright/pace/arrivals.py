"""How regularly pieces come to a stage when vehicles are called in at an even pace."""

from collections import defaultdict
from dataclasses import dataclass
from math import floor, sqrt

from pacewright.pace.problem import LineProblem
from pacewright.shops.route import Route
from pacewright.shops.tables import Stage

CALL_DAY_VARIANCE = 1 / 12
"""A call names the day, not the hour: the arrival is spread evenly over it [working days ^2]."""


@dataclass(frozen=True)
class Arrivals:
    """Pieces that come in groups, one group a takt, each group off its time by its own chance.

    Parameters
    ----------
    takt_days : time between groups as planned [working days].
    spread_days : standard deviation of a group's arrival about its planned time [working days].
    sizes : how many charges come at once -> share of the groups (the three bogies of one vehicle
        come together; so do vehicles that left one oven). A charge goes through together, each
        piece on a position of its own.
    pieces_together : pieces that come at once, on average.
    """

    takt_days: float
    spread_days: float
    sizes: dict[int, float]
    pieces_together: float = 1.0

    @property
    def charges_a_day(self) -> float:
        """Mean number of charges on a working day."""
        return sum(size * share for size, share in self.sizes.items()) / self.takt_days


def arrivals_at(problem: LineProblem) -> dict[str, Arrivals]:
    """How pieces come to each stage that is used.

    The spread grows along the route: the variance of an arrival is that of the call-in, of a
    type's place in the order of call-in, and of every stage on the longest way before.
    """
    gathered: dict[str, list[tuple[float, float, Stage, int, int]]] = defaultdict(list)
    for type_id, share in problem.mix.items():
        route = problem.routes[type_id]
        variances = _route_variances(problem, route)
        for stage in route.stages:
            pieces = route.passes[stage.stage_id]
            together = _vehicles_together(route, stage)
            gathered[stage.stage_id].append(
                (share, variances[stage.stage_id], stage, pieces, together)
            )
    return {stage_id: _joined(found, problem.pace_a_day) for stage_id, found in gathered.items()}


def _route_variances(problem: LineProblem, route: Route) -> dict[str, float]:
    ends: dict[str, tuple[float, float]] = {}
    starts: dict[str, float] = {}
    for stage in route.stages:
        before = [ends[one] for one in route.follows[stage.stage_id]]
        day, variance = max(before, default=(0.0, CALL_DAY_VARIANCE))
        time = problem.times[stage.stage_id]
        starts[stage.stage_id] = variance
        ends[stage.stage_id] = (day + time.mean_days, variance + time.sd_days**2)
    return starts


def _vehicles_together(route: Route, stage: Stage) -> int:
    every = {one.stage_id: one for one in route.stages}
    batches = (every[one].charge_size // route.passes[one] for one in route.follows[stage.stage_id])
    return max(1, *batches, 1)


def _joined(found: list[tuple[float, float, Stage, int, int]], pace_a_day: float) -> Arrivals:
    passing = sum(share for share, *_ in found)
    together = max(one[4] for one in found)
    batch = found[0][2].charge_size
    takt = together / (pace_a_day * passing)
    variance = sum(share * variance for share, variance, *_ in found) / passing
    if passing < 1 - 1e-9:
        # Types are interleaved as evenly as whole vehicles allow: off by up to half a call-in.
        variance += (1 / pace_a_day) ** 2 / 12
    come = together * sum(share * pieces for share, _, _, pieces, _ in found) / passing
    mean_charges = come / batch
    if mean_charges < 1:
        return Arrivals(takt / mean_charges, sqrt(variance), {1: 1.0}, come)
    sizes: dict[int, float] = defaultdict(float)
    for share, _, _, pieces, _ in found:
        charges = pieces * together / batch
        whole = floor(charges + 1e-9)
        over = max(0.0, charges - whole)
        sizes[whole] += share / passing * (1 - over)
        sizes[whole + 1] += share / passing * over
    return Arrivals(takt, sqrt(variance), {n: w for n, w in sizes.items() if w > 1e-12}, come)
