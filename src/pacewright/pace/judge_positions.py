"""The judge of positions wanted: each stage run by events at that number and with fewer."""

from collections.abc import Iterator
from heapq import heapify, heapreplace

import numpy as np

from pacewright.pace.arrivals import Arrivals, arrivals_at
from pacewright.pace.problem import problem_of
from pacewright.pace.repeated_stay import RepeatedStay
from pacewright.pace.stage_times import Floats, StageTime
from pacewright.plans.line import Line
from pacewright.plans.programme import Programme
from pacewright.works import Works

SEED = 20_260_302
_CHARGES = 6000
_MOST_POSITIONS = 300
_SIDE = 2.5
"""A wait chance this many times the allowed one, or as many times below it, is refused."""


def judge_positions(works: Works, programme: Programme, line: Line) -> Iterator[str]:
    """Positions wanted that the simulation finds too few, or more than two too many.

    The band is wide (2.5 times the allowed chance of a wait and three standard errors): the
    judge is to find wrong numbers, not to quarrel about one position. Stages of more than 300
    positions would need too long a run and are left out.
    """
    problem = problem_of(works, programme)
    allowed = 1 - problem.confidence
    arrivals = arrivals_at(problem)
    for load in line.stages:
        if load.stage_id not in arrivals or load.positions_wanted > _MOST_POSITIONS:
            continue
        here, time = arrivals[load.stage_id], problem.times[load.stage_id]
        charge = min(load.batch_size, load.positions)
        if load.positions_wanted % charge:
            yield f"Stage {load.stage_id}: {load.positions_wanted} positions are no whole charges."
        wanted = load.positions_wanted // charge
        chance, error = simulated_wait_chance(here, time, wanted)
        if chance > _SIDE * allowed + 3 * error:
            yield (
                f"Stage {load.stage_id}: with {load.positions_wanted} positions {chance:.1%} of "
                f"arrivals wait; {allowed:.1%} are allowed."
            )
        fewer = wanted - 3
        if fewer <= load.positions_mean / charge:
            continue
        chance, error = simulated_wait_chance(here, time, fewer)
        if chance < allowed / _SIDE - 3 * error:
            yield (
                f"Stage {load.stage_id}: {fewer * charge} positions do, not "
                f"{load.positions_wanted}."
            )


def simulated_wait_chance(
    arrivals: Arrivals, time: StageTime, positions: int
) -> tuple[float, float]:
    """Share of vehicles whose first charge waits, first come first served, and its error."""
    draws = np.random.default_rng(SEED)
    sizes = np.array(list(arrivals.sizes))
    shares = np.array(list(arrivals.sizes.values()))
    groups = int(max(_CHARGES, 40 * positions) / (sizes @ shares)) + 1
    come = np.arange(groups) * arrivals.takt_days
    come = come + arrivals.spread_days * draws.standard_normal(groups)
    counts = draws.choice(sizes, size=groups, p=shares / shares.sum())
    come = np.sort(come)
    stays = iter(_stays(draws, time, int(counts.sum())).tolist())
    free = [-np.inf] * positions
    heapify(free)
    waits = np.zeros(groups, dtype=bool)
    for number, (now, count) in enumerate(zip(come.tolist(), counts.tolist(), strict=True)):
        waits[number] = free[0] > now + 1e-9
        for _ in range(count):
            heapreplace(free, max(free[0], now) + next(stays))
    met = waits[groups // 10 :]
    batches = np.array([part.mean() for part in np.array_split(met, 20)])
    return float(met.mean()), float(batches.std(ddof=1) / np.sqrt(batches.size))


def _stays(draws: np.random.Generator, time: StageTime, count: int) -> Floats:
    """Stays drawn; where tests fail, each with as many repeats as it takes."""
    stays = _beta_stays(draws, time, count)
    if isinstance(time, RepeatedStay):
        repeats = draws.geometric(time.pass_share, count) - 1
        again = _beta_stays(draws, time.again, int(repeats.sum()))
        np.add.at(stays, np.repeat(np.arange(count), repeats), again)
    return stays


def _beta_stays(draws: np.random.Generator, time: StageTime, count: int) -> Floats:
    a, m, b = time.least_days, time.usual_days, time.most_days
    if b - a < 1e-9:
        return np.full(count, a)
    low, high = 1 + 4 * (m - a) / (b - a), 1 + 4 * (b - m) / (b - a)
    return a + (b - a) * draws.beta(low, high, count)
