"""Turn times with censoring against scipy's censored fit, closed forms and repeated samples.

scipy.stats.CensoredData with norm.fit is the independent maximiser; the conjugate update is held
against its closed form (Gelman et al., Bayesian Data Analysis, chapter 3, from memory).
"""

import numpy as np
import pytest
from scipy import stats

from pacewright.life.censored import Lives, product_limit
from pacewright.life.lognormal import belief_of, updated


def sample(seed: int, n: int, limit: float) -> Lives:
    """Lognormal times of log mean 2, log sd 0.4; those beyond ``limit`` still run."""
    true = np.random.default_rng(seed).lognormal(2.0, 0.4, n)
    return Lives.of(np.minimum(true, limit), true <= limit)


def test_greatest_likelihood_as_scipy() -> None:
    """With a third of the times still running, EM finds what scipy's maximiser finds."""
    times = sample(7, 300, 8.5)
    assert 60 < times.going_on < 140
    found = updated(None, times)
    logs = np.log(times.lengths)
    data = stats.CensoredData(uncensored=logs[times.ended], right=logs[~times.ended])
    centre, sd = stats.norm.fit(data)
    assert found.centre == pytest.approx(centre, abs=1e-4)
    assert found.log_sd == pytest.approx(sd, abs=1e-4)


def test_conjugate_update_in_closed_form() -> None:
    """Ten believed times and fifty ended ones: centre and variance of the closed form."""
    times = sample(3, 50, 1e9)
    before = belief_of(9.0, 3.0, 10.0)
    found = updated(before, times)
    logs = np.log(times.lengths)
    k, n, mean = 10.0, 50, float(logs.mean())
    centre = (k * before.centre + n * mean) / (k + n)
    about = k * before.log_sd**2 + float(((logs - mean) ** 2).sum())
    about += k * n / (k + n) * (mean - before.centre) ** 2
    assert found.centre == pytest.approx(centre, abs=1e-9)
    assert found.log_sd == pytest.approx((about / (k + n)) ** 0.5, abs=1e-9)
    assert found.weight == 60


def test_belief_has_its_mean_and_sd() -> None:
    """Mean and standard deviation as scipy.stats.lognorm gives them for centre and log sd."""
    one = belief_of(9.0, 3.0, 1.0)
    law = stats.lognorm(one.log_sd, scale=np.exp(one.centre))
    assert (one.mean, one.sd) == pytest.approx((law.mean(), law.std()), rel=1e-9)
    assert (one.mean, one.sd) == pytest.approx((9.0, 3.0), rel=1e-9)


def test_ranges_hold_the_truth() -> None:
    """Over 400 samples of 80 times, a few running, the 90 % range holds the mean about 90 %.

    Binomial, 400 trials, chance 0.9: 1-in-1000 limits 340 and 378; 335 and 385 are asked since
    the range is a normal approximation. Seed fixed.
    """
    draws = np.random.default_rng(20260302)
    mean = float(np.exp(2 + 0.4**2 / 2))
    held = 0
    for _ in range(400):
        true = draws.lognormal(2.0, 0.4, 80)
        times = Lives.of(np.minimum(true, 11.0), true <= 11.0)
        held += updated(None, times).mean_interval().holds(mean)
    assert 335 <= held <= 385


def test_product_limit_as_scipy() -> None:
    """The curve agrees with scipy.stats.ecdf of censored data, ties and all."""
    draws = np.random.default_rng(5)
    lengths = np.ceil(draws.exponential(10, 200))
    ended = draws.random(200) < 0.7
    curve = product_limit(Lives.of(lengths, ended))
    data = stats.CensoredData(uncensored=lengths[ended], right=lengths[~ended])
    other = stats.ecdf(data).sf
    for length in (1, 2, 5, 10, 17, 30):
        assert curve.at(length) == pytest.approx(float(other.evaluate(length)), abs=1e-12)


def test_mean_of_complete_times_is_their_mean() -> None:
    """Without censoring the mean under the curve is the plain mean."""
    lengths = [3.0, 4.0, 4.0, 9.0]
    assert product_limit(Lives.of(lengths, [True] * 4)).mean_up_to() == pytest.approx(5.0)
