"""Intervals: against scipy, and by how often they hold the truth."""

from math import inf, isinf, isnan, log

import numpy as np
import pytest
from scipy import stats

from pacewright.simulate.estimate import Named, estimate, mean_of, ratio, share, student_t


@pytest.mark.parametrize("confidence", [0.5, 0.9, 0.95, 0.99, 0.999])
@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 9, 10, 39, 200, 1001])
def test_student_t_is_that_of_scipy(confidence: float, freedom: int) -> None:
    """The two-sided value of Student's t is scipy's."""
    wanted = stats.t.ppf((1 + confidence) / 2, freedom)
    assert student_t(confidence, freedom) == pytest.approx(wanted, rel=1e-9)


def test_a_mean_has_the_interval_of_scipy() -> None:
    """With every bottom 1, a ratio is a mean and its interval the usual one."""
    values = np.random.default_rng(3).gamma(2.0, 1.0, (12, 3))
    found = ratio(values, np.ones((12, 1)), 0.95)
    same = mean_of(values, 0.95)
    for place in range(3):
        low, high = stats.t.interval(0.95, 11, values[:, place].mean(), stats.sem(values[:, place]))
        mean, half = found[place]
        assert (mean - half, mean + half) == pytest.approx((low, high), rel=1e-12)
        assert same[place] == pytest.approx((mean, half), rel=1e-12)


def test_a_ratio_that_never_changes_is_exact() -> None:
    """Replications of unlike size with one ratio: its half width is nothing."""
    sizes = np.array([[1.0], [5.0], [2.0]])
    mean, half = ratio(3 * sizes, sizes, 0.95)[0]
    assert mean == pytest.approx(3.0)
    assert half == pytest.approx(0.0, abs=1e-12)


def test_intervals_of_a_ratio_hold_the_truth_as_often_as_they_say() -> None:
    """Of 2,000 intervals of 20 replications, 95 % hold the true ratio.

    Sums of exponential times of a Poisson number of vehicles, mean 2 each. 93 % to 97 %: the ratio
    estimator is good to the order 1 / n only; by chance alone the share is within 0.0146 of 0.95
    but for 3 of 1,000 times.
    """
    chance = np.random.default_rng(11)
    hits = 0
    for _ in range(2000):
        counts = chance.poisson(30, (20, 1)).astype(float)
        sums = chance.gamma(counts, 2.0)
        mean, half = ratio(sums, counts, 0.95)[0]
        hits += abs(mean - 2.0) <= half
    assert 0.93 <= hits / 2000 <= 0.97


def test_a_share_seen_as_all_or_nothing_does_not_look_exact() -> None:
    """No failure in N cases: the half width is the rule of three, -ln 0.05 / N."""
    cases = np.full((10, 1), 40.0)
    assert share(cases, cases, 0.95)[0] == pytest.approx((1.0, -log(0.05) / 400))
    assert share(0 * cases, cases, 0.95)[0] == pytest.approx((0.0, 2.9957 / 400), rel=1e-3)
    some = cases.copy()
    some[0] = 39
    assert share(some, cases, 0.95)[0] == pytest.approx(ratio(some, cases, 0.95)[0])


def test_what_was_not_seen_is_no_number() -> None:
    """A figure nobody observed is blank, and one replication gives no interval."""
    assert isnan(ratio(np.zeros((3, 1)), np.zeros((3, 1)), 0.95)[0][0])
    assert isnan(share(np.zeros((3, 1)), np.zeros((3, 1)), 0.95)[0][0])
    assert ratio(np.ones((1, 1)), np.ones((1, 1)), 0.95)[0] == (1.0, inf)
    blanks = np.array([[np.nan, np.nan], [2.0, np.nan], [4.0, np.nan]])
    found = mean_of(blanks, 0.95)
    assert found[0] == pytest.approx((3.0, stats.t.ppf(0.975, 1)))
    assert isnan(found[1][0])
    assert found.replications == 2
    assert isinf(mean_of(blanks[:2], 0.95)[0][1])


def test_an_estimate_stays_within_what_is_possible() -> None:
    """A share is never shown below 0 or above 1."""
    one = estimate(Named("key", "name", "share", most=1.0), (0.99, 0.03), 12)
    assert (one.low, one.high, one.replications) == (pytest.approx(0.96), 1.0, 12)
