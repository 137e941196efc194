"""The line where tests fail: closed forms against draws of their own, and against the simulation.

Two-sided: the mean of so many runs may lie 4.5 of its own standard errors off either way; about
one false alarm in a hundred and fifty thousand for each figure, seeds drawn anew.
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from pacewright.office.planning import make_plan
from pacewright.office.simulating import Asked, make_forecast
from pacewright.pace.arrivals import Arrivals
from pacewright.pace.hours import week_hours
from pacewright.pace.judge_positions import simulated_wait_chance
from pacewright.pace.paced import PacedQueue
from pacewright.pace.problem import problem_of
from pacewright.pace.repeated_stay import RepeatedStay, stay_of
from pacewright.pace.solve import line
from pacewright.pace.stage_times import StageTime
from pacewright.plans.programme import Programme
from pacewright.works import Works
from small_works import Tables, small_works
from tiny_flow import stage
from unit.pace.pace_cases import programme, stage_row, works_of_stages

OFF = 4.5


def drawn(stay: RepeatedStay, count: int) -> np.ndarray:
    """Stays drawn failure by failure, with scipy's beta and geometric laws."""
    draws = np.random.default_rng(20_261_125)

    def once(time: StageTime, many: int) -> np.ndarray:
        a, m, b = time.least_days, time.usual_days, time.most_days
        if b == a:
            return np.full(many, a)
        low, high = 1 + 4 * (m - a) / (b - a), 1 + 4 * (b - m) / (b - a)
        return stats.beta.rvs(low, high, a, b - a, many, random_state=draws)

    stays = once(stay, count)
    repeats = stats.geom.rvs(stay.pass_share, size=count, random_state=draws) - 1
    np.add.at(stays, np.repeat(np.arange(count), repeats), once(stay.again, int(repeats.sum())))
    return stays


def beta_variance(time: StageTime) -> float:
    """Variance of the beta law on [a, b] with the mean (a + 4 m + b) / 6."""
    a, m, b = time.least_days, time.usual_days, time.most_days
    if b == a:
        return 0.0
    return float(stats.beta(1 + 4 * (m - a) / (b - a), 1 + 4 * (b - m) / (b - a), a, b - a).var())


STAYS = [
    (share, StageTime(*first), StageTime(*again))
    for share in (0.4, 0.8, 0.95)
    for first, again in (
        ((1.0, 2.0, 4.0), (1.5, 2.5, 4.5)),
        ((2.0, 2.0, 2.0), (2.0, 2.0, 2.0)),
        ((0.2, 0.3, 0.9), (3.0, 4.0, 9.0)),
    )
]


@pytest.mark.parametrize(("share", "first", "again"), STAYS)
def test_mean_spread_and_law_of_a_stay_are_those_of_draws(
    share: float, first: StageTime, again: StageTime
) -> None:
    """Mean and spread in closed form, and the chance to stay longer at nine points.

    The spread is put together from those of first time and repeat. The three estimates take
    (b - a) / 6 for each by convention; here each has that of its beta law, as scipy has it.
    """
    stay = RepeatedStay(first.least_days, first.usual_days, first.most_days, share, again)
    seen = drawn(stay, 200_000)
    assert abs(seen.mean() - stay.mean_days) < OFF * seen.std() / np.sqrt(seen.size)
    repeats = stats.geom(share)
    within = [(one.most_days - one.least_days) ** 2 / 36 for one in (first, again)]
    of_law = [beta_variance(one) for one in (first, again)]
    between = repeats.var() * again.mean_days**2
    each = repeats.mean() - 1
    assert stay.sd_days**2 == pytest.approx(within[0] + each * within[1] + between)
    squares = (seen - seen.mean()) ** 2
    expected = of_law[0] + each * of_law[1] + between
    assert abs(squares.mean() - expected) < OFF * squares.std() / np.sqrt(seen.size)
    assert seen.max() < stay.longest_days * 1.2
    if first.most_days == first.least_days:
        return  # A stay of steps: between two of them the law is flat, at one it is not told.
    at = np.quantile(seen, [0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 0.96, 0.99, 0.999])
    law = stay.outlasts(at)
    found = np.array([(seen > one).mean() for one in at])
    error = np.sqrt(law * (1 - law) / seen.size)
    assert np.all(np.abs(found - law) < OFF * error + 2e-3)


def test_a_stay_of_steps_is_told_between_its_steps() -> None:
    """Two days each time, every second test failed: longer than 3 days 1/2, than 5 days 1/4."""
    two = StageTime(2.0, 2.0, 2.0)
    stay = RepeatedStay(2.0, 2.0, 2.0, 0.5, two)
    assert stay.outlasts(np.array([-1.0, 1.0, 3.0, 5.0, 7.0])) == pytest.approx(
        [1, 1, 0.5, 0.25, 0.125], abs=1e-3
    )
    assert stay.mean_days == 4
    assert stay.sd_days == pytest.approx(2 * np.sqrt(2))


def test_a_test_that_all_pass_is_the_stage_alone() -> None:
    """Share 1: three estimates and nothing else."""
    assert stay_of(stage("s", 3.0), 8) == StageTime(3 / 8, 3 / 8, 3 / 8)


@pytest.mark.parametrize(("positions", "load"), [(3, 0.7), (9, 0.85)])
@pytest.mark.parametrize("share", [0.6, 0.9])
def test_the_wait_for_a_position_with_repeats(positions: int, load: float, share: float) -> None:
    """Within 0.03 + 12 % of the event simulation, as without repeats, and three of its errors."""
    mean = load * positions
    once = mean / (1 + 1.2 * (1 - share) / share)
    first = 0.7 * once, once, 1.3 * once
    stay = RepeatedStay(*first, share, StageTime(*(1.2 * one for one in first)))
    assert stay.mean_days == pytest.approx(mean)
    queue = PacedQueue(Arrivals(1.0, 0.7, {1: 1.0}), stay)
    chance, error = simulated_wait_chance(queue.arrivals, stay, positions)
    found = queue.wait(positions, 1e9).chance
    assert abs(found - chance) < 0.03 + 0.12 * chance + 3 * error


def test_positions_hours_and_route_by_hand() -> None:
    """A test of two days that four of five pass, half a day to put right, one vehicle a day.

    By hand: a quarter of a repeat on average, each 2.5 days: 2.625 days on the position and as
    many positions busy, five positions pass 5 / 2.625 a day.
    """
    rows = [
        stage_row("test", 2, positions=5, first_pass_share=0.8, rectify_hours=4),
        stage_row("last", 1, positions=5, follows="test"),
    ]
    found = line(works_of_stages(rows), programme(1.0))
    test = found.stages[0]
    assert test.hours_mean == pytest.approx(2.625 * 8)
    # Variance of the repeats (1 - p) / p^2 = 0.3125, each 20 hours.
    assert test.hours_sd == pytest.approx(20 * np.sqrt(0.3125))
    assert test.positions_mean == pytest.approx(2.625)
    assert test.able_a_week == pytest.approx(25 / 2.625)
    assert found.turns[0].route_days == pytest.approx(3.625)


def with_a_test(share: float, rectify_hours: float) -> Works:
    """The small works whose last stage is tested, with room and people to spare."""

    def change(tables: Tables) -> None:
        for row in tables["stages"]:
            row["positions"] = "12"
        row = tables["stages"][-1]
        row["first_pass_share"], row["rectify_hours"] = str(share), str(rectify_hours)
        for crew in tables["people"]:
            crew["people"] = str(4 * float(crew["people"]))

    return small_works(change)


def test_hours_of_a_week_by_hand() -> None:
    """Hours of the crew at the test grow by k (1 - p) / p, k = (rectify + once) / once."""

    def hours(works: Works, called: Programme) -> float:
        return week_hours(works, problem_of(works, called))["test", "fitter"].mean

    called = programme(0.2)
    once = (4 + 4 * 6 + 16) / 6
    ratio = hours(with_a_test(0.7, 3.0), called) / hours(with_a_test(1.0, 0.0), called)
    assert ratio == pytest.approx(1 + (3 + once) / once * 0.3 / 0.7)


def test_the_flow_simulation_uses_as_much() -> None:
    """Positions and people at the test as the line says, over 24 runs; the route by hand.

    Three failures in ten: 0.3 / 0.7 repeats on average, each three hours to put right and
    (4 + 4 x 6 + 16) / 6 hours of test, eight hours a day.
    """
    works = with_a_test(0.7, 3.0)
    plan = make_plan(works)
    asked = Asked(24, weeks=200, start="steady", seed=5, threads=1, absence=False)
    plan, found = make_forecast(works, plan, asked)
    uses = {(one.of.value, one.place_id): one for one in found.uses}
    last = plan.line.stages[-1]
    seen = next(one for key, one in uses.items() if key[1] == last.stage_id)
    assert abs(seen.use_share - last.use_share) < 3 * seen.half_width + 0.002
    crew = next(
        one for one in plan.line.trades if (one.shop_id, one.trade_id) == ("test", "fitter")
    )
    people = next(one for key, one in uses.items() if key[1] == "test fitter")
    assert abs(people.use_share - crew.use_share) < 3 * people.half_width + 0.002
    without = make_plan(replace(works, stages=with_a_test(1.0, 0.0).stages)).line
    more = 0.3 / 0.7 * (3 + (4 + 4 * 6 + 16) / 6) / 8
    for now, before in zip(plan.line.turns, without.turns, strict=True):
        assert now.route_days - before.route_days == pytest.approx(more)
        assert now.expected_days - before.expected_days == pytest.approx(more, abs=0.01)


@pytest.mark.parametrize("share", [0.9, 0.5, 0.15])
@pytest.mark.parametrize("load", [30, 100])
def test_many_that_stay_long_are_all_counted(share: float, load: int) -> None:
    """Those met when all come on the dot, against the sum over every single vehicle before.

    Number in D/G/infinity at an arrival: a sum of independent yes-or-no, mean sum of G(k t) and
    variance sum of G (1 - G) over k, G the chance to stay longer (theory of service systems with
    ample servers; from memory). 100 positions and a tail of repeats make a thousand vehicles or
    more, neighbours among which are taken as one.
    """
    time = RepeatedStay(0.8, 1.0, 1.4, share, StageTime(1.0, 1.3, 1.8))
    takt = time.mean_days / load
    stays = time.outlasts(np.arange(1, 40 * load * 10) * takt)
    met = PacedQueue(Arrivals(takt, 1e-6 * takt, {1: 1.0}), time).met(np.zeros(1))
    counts = np.arange(met.size)
    mean = float(met @ counts)
    assert mean == pytest.approx(float(stays.sum()), abs=0.1)
    assert met @ (counts - mean) ** 2 == pytest.approx(float((stays * (1 - stays)).sum()), rel=0.02)


@pytest.mark.parametrize("share", [0.9, 0.5])
def test_positions_wanted_of_a_large_stage_with_repeats_are_just_enough(share: float) -> None:
    """So many positions: one in twenty waits at most, by simulation; with two fewer more do."""
    time = RepeatedStay(0.8, 1.0, 1.4, share, StageTime(1.0, 1.3, 1.8))
    takt = time.mean_days / 100
    arrivals = Arrivals(takt, 0.3 * takt, {1: 1.0})
    wanted = PacedQueue(arrivals, time).positions_for(0.95, 5.0)
    chance, error = simulated_wait_chance(arrivals, time, wanted)
    assert chance < 0.05 + 3 * error
    chance, error = simulated_wait_chance(arrivals, time, wanted - 2)
    assert chance > 0.05 - 3 * error
