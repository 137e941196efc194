"""Forecasts of release held to what then happened: do ranges of 90 % hold about 90 %?

Five invented worlds (a works run through for a year from empty, each under other chance) are told
as events of the record. At moments six weeks apart, longer than any vehicle stays, the forecast is
made from the record alone, with chance of its own, and compared with the release that followed.

False alarms: every check here is made at 1 in 1,000, five checks, so 5 in 1,000 for a sound tool
over all seeds; the seeds are fixed. The vehicles of one moment share their shops, so they are not
counted as independent: one check takes one vehicle a moment, the others compare the means of
worlds, which are independent.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy import stats

from flow_works import MONDAY, flow_works
from pacewright.control.promises import Forecaster, Moment, PromiseQuestion, promises
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.heap_engine import run_heap
from pacewright.simulate.problem import Calls, FlowOptions
from rows_told import RowsTold, release_moments

WORLDS = range(1, 6)
WEEKS = range(12, 48, 6)
FALSE_ALARM = 1e-3
PROMISE_DAYS = 19
WORKS = flow_works(1.0, people=True)
YEAR = FlowOptions(
    calls=Calls.EVEN, inside_now=False, pace_a_day=1.0, weeks=52, upsets=False, late_calls=False
)


@dataclass(frozen=True)
class Held:
    """One vehicle at one moment.

    Parameters
    ----------
    within : the release fell into the range of 90 %.
    chance, kept : forecast chance of keeping the promise; whether it was kept.
    kept_to_promise : it was released by the day that the forecast said to promise.
    error_days : expected less true release [days].
    """

    world: int
    week: int
    vehicle_id: str
    within: bool
    chance: float
    kept: bool
    kept_to_promise: bool
    error_days: float


@cache
def held() -> tuple[Held, ...]:
    """Every vehicle inside at every moment of every world."""
    return tuple(one for world in WORLDS for one in _of_world(world))


def _of_world(world: int) -> list[Held]:
    table = compile_flow(WORKS, None, YEAR)
    told = RowsTold(WORKS, table, run_heap(table, world, 0), MONDAY, PROMISE_DAYS)
    truth = release_moments(told)
    found = []
    for week in WEEKS:
        # Another day of the week and hour of the day each time.
        minute = (7 * week + week // 6 % 5) * 1440 + 480 + 61 * week % 480
        standing, now = told.until(minute), told.moment(minute)
        question = PromiseQuestion(runs=100, seed=1000 * world + week, pace_a_day=1.0)
        made = promises(Moment(WORKS, standing, now), Forecaster(question))
        for one in made.vehicles:
            if one.phase != "inside":
                continue
            released = truth[one.vehicle_id]
            assert one.earliest and one.latest and one.expected and one.promise
            assert one.keeps_share is not None
            assert one.to_promise is not None
            found.append(
                Held(
                    world,
                    week,
                    one.vehicle_id,
                    one.earliest <= released <= one.latest,
                    one.keeps_share,
                    released.date() <= one.promise,
                    released.date() <= one.to_promise,
                    (one.expected - released).total_seconds() / 86400,
                )
            )
    return found


def _by_world(values: list[float]) -> np.ndarray:
    worlds = np.array([one.world for one in held()])
    return np.array([np.mean(np.array(values)[worlds == world]) for world in WORLDS])


def _within_limits(means: np.ndarray, expected: float) -> None:
    """Student's t over the worlds at the stated false-alarm rate."""
    limit = stats.t.ppf(1 - FALSE_ALARM / 2, len(means) - 1) * stats.sem(means)
    assert abs(means.mean() - expected) <= limit, f"{means} is not {expected} +- {limit}"


def test_ranges_hold_one_vehicle_a_moment() -> None:
    """Of 30 independent vehicles about 27 are released within their range (binomial test)."""
    every = {(one.world, one.week): one for one in held() if hash_order(one) == 0}
    hits = sum(one.within for one in every.values())
    assert len(every) == len(WORLDS) * len(WEEKS)
    assert stats.binomtest(hits, len(every), 0.9).pvalue > FALSE_ALARM


def hash_order(one: Held) -> int:
    """Place of a vehicle in a fixed shuffle of those of its moment; 0: the one taken."""
    mine = [o.vehicle_id for o in held() if (o.world, o.week) == (one.world, one.week)]
    start = (7 * one.world + one.week) % len(mine)
    return (mine.index(one.vehicle_id) - start) % len(mine)


def test_ranges_hold_over_all_vehicles() -> None:
    """Over all vehicles the share within the range is about 90 %, world by world."""
    _within_limits(_by_world([float(one.within) for one in held()]), 0.9)


def test_chances_of_keeping_the_promise_are_right_in_the_mean() -> None:
    """As many promises are kept as the forecasts say, and not only all or none of them."""
    _within_limits(_by_world([one.kept - one.chance for one in held()]), 0.0)
    kept = np.mean([one.kept for one in held()])
    assert 0.1 < kept < 0.9
    sure = [one for one in held() if one.chance > 0.95 or one.chance < 0.05]
    assert len(sure) > 20
    assert np.mean([(one.chance > 0.5) == one.kept for one in sure]) > 0.9


def test_day_to_promise_is_kept_as_often_as_asked() -> None:
    """Promises given by the forecast are kept by 90 %, or a little more, as they end with a day."""
    means = _by_world([float(one.kept_to_promise) for one in held()])
    limit = stats.t.ppf(1 - FALSE_ALARM, len(means) - 1) * stats.sem(means)
    assert WORKS.settings.plan.promise_target == 0.9
    assert means.mean() >= 0.9 - limit, f"{means} is less than 90 % - {limit}"
    assert means.mean() < 0.97, "a promise that is always kept is too late a day"


def test_expected_release_is_right_in_the_mean() -> None:
    """Neither too early nor too late on the whole."""
    _within_limits(_by_world([one.error_days for one in held()]), 0.0)
