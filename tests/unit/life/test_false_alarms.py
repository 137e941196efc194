"""Where the table is right, few differences are called real: counted over many made-up records.

Limits are binomial, two-sided one in a thousand, seeds fixed.
"""

from dataclasses import replace
from datetime import date

import numpy as np
from scipy import stats

from pacewright.life.censored import Lives
from pacewright.life.lognormal import belief_of, updated
from pacewright.life.turn_times import Turns
from pacewright.life.weighing import JUDGED_WEIGHT, REAL_LEVEL, believed_mean, believed_share

CELLS = 2000
MOST = int(stats.binom.ppf(0.9995, CELLS, 1 - REAL_LEVEL))


def test_true_shares_are_seldom_called_wrong() -> None:
    """Of 2,000 shares that are as the table says about one in a hundred is called different.

    The old value weighs in on its own side, so that it is fewer than that.
    """
    draws = np.random.default_rng(11)
    wrong = 0
    for _ in range(CELLS):
        share, looked_at = draws.uniform(0.05, 0.95), int(draws.integers(20, 400))
        needed = int(draws.binomial(looked_at, share))
        believed = believed_share(float(share), JUDGED_WEIGHT, needed, looked_at)
        wrong += not believed.real.holds(float(share))
    assert wrong <= MOST


def test_false_shares_are_found() -> None:
    """A share wrong by 0.15 is called different nine times of ten from 300 cases on.

    Power of the binomial test of 0.5 against 0.35 on 300 cases at 1 %: scipy gives above 0.99.
    """
    draws = np.random.default_rng(12)
    found = 0
    for _ in range(400):
        needed = int(draws.binomial(300, 0.35))
        found += not believed_share(0.5, JUDGED_WEIGHT, needed, 300).real.holds(0.5)
    assert found >= 380


def test_true_means_are_seldom_called_wrong() -> None:
    """Of 2,000 means of 12 weeks each that are as the table says about one in a hundred."""
    draws = np.random.default_rng(13)
    wrong = 0
    for _ in range(CELLS):
        weeks = draws.normal(200, 30, 12)
        error = float(weeks.std(ddof=1)) / 12**0.5
        believed = believed_mean(200.0, 0, float(weeks.mean()), error, 12)
        wrong += not believed.real.holds(200.0)
    assert stats.binom.ppf(0.0005, CELLS, 0.01) <= wrong <= MOST


def held_of(worth: bool) -> int:
    """Of 300 records with bad and good weeks, in how many the 90 % range holds the true mean."""
    draws = np.random.default_rng(14)
    true = float(np.exp(2 + (0.25**2 + 0.25**2) / 2))
    held = 0
    for _ in range(300):
        week = np.repeat(np.arange(52), 10)
        logs = 2 + draws.normal(0, 0.25, 52)[week] + draws.normal(0, 0.25, 520)
        lives = Lives.of(np.exp(logs), [True] * 520)
        turns = Turns(lives, tuple(week.tolist()), date(2026, 1, 5), date(2026, 12, 28))
        cases = turns.cases_worth if worth else 520.0
        belief = updated(belief_of(true, true / 3, 1e-6), lives)
        held += replace(belief, weight=cases).mean_interval().holds(true)
    return held


def test_turns_of_one_week_do_not_feign_certainty() -> None:
    """The range by independent turns holds the truth about 90 %; by plain count far less.

    Binomial, 300 trials, chance 0.9: limits 252 and 286; 245 is asked of a normal approximation.
    """
    assert held_of(worth=True) >= 245
    assert held_of(worth=False) < 220
