"""The warm-up rule on a queue whose start is known exactly."""

import numpy as np
import pytest
from scipy.linalg import expm

from pacewright.simulate.sample import Settling
from pacewright.simulate.warm_up import BATCH, mser5, settled_after

LOAD = 0.8
"""Arrivals a unit of time at a server that takes 1 a unit of time: in the end 4 are there."""
STEADY = LOAD / (1 - LOAD)


def mm1(chance: np.random.Generator, length: int) -> np.ndarray:
    """Customers there at times 0, 1 ... of a queue M/M/1 that begins empty."""
    count = int(length * LOAD * 1.3) + 50
    arrive = np.cumsum(chance.exponential(1 / LOAD, count))
    work = np.cumsum(chance.exponential(1.0, count))
    before = np.concatenate([[0.0], work[:-1]])
    leave = work + np.maximum.accumulate(arrive - before)
    times = np.arange(length)
    return np.searchsorted(arrive, times, "right") - np.searchsorted(leave, times, "right")


def expected_there(length: int, most: int = 120) -> np.ndarray:
    """Exact E N(t) of M/M/1 from empty, t = 0, 1 ...: the chain of birth and death (scipy)."""
    rates = np.diag(np.full(most, LOAD), 1) + np.diag(np.ones(most), -1)
    step = expm(rates - np.diag(rates.sum(axis=1)))
    state = np.zeros(most + 1)
    state[0] = 1.0
    found = []
    for _ in range(length):
        found.append(state @ np.arange(most + 1))
        state = state @ step
    return np.array(found)


@pytest.mark.parametrize(("runs", "trials", "most_left"), [(10, 200, 0.6), (200, 15, 0.3)])
def test_the_rule_takes_the_start_out_as_far_as_it_shows(
    runs: int, trials: int, most_left: float
) -> None:
    """M/M/1 from empty, load 0.8, 400 units of time: the start takes 0.25 of 4 off the mean.

    The mean of 10 runs has a standard deviation of 0.6, so the start hardly shows; the rule still
    takes half of it out. In the mean of 200 runs it shows, and over three quarters go. What each
    cut leaves is taken from the exact E N(t); measured 0.51 and 0.23 of the whole.
    """
    chance = np.random.default_rng(7)
    expected = expected_there(400)
    whole = STEADY - expected.mean()
    assert whole == pytest.approx(0.2548, abs=1e-3)
    cuts = [
        mser5(np.mean([mm1(chance, 400) for _ in range(runs)], axis=0)).values
        for _ in range(trials)
    ]
    left = np.mean([STEADY - expected[cut:].mean() for cut in cuts])
    assert 0 < left < most_left * whole
    # It must not throw the run away to get there.
    assert np.median(cuts) <= 100


def test_a_series_without_a_start_keeps_nearly_all() -> None:
    """White noise has no start: on average less than a fifth of it is left out."""
    chance = np.random.default_rng(5)
    cuts = [mser5(chance.normal(10, 1, 500)).values for _ in range(200)]
    assert np.mean(cuts) < 100


def test_a_step_is_always_cut_off() -> None:
    """Forty values at 0, then noise about 5: never are any of the forty kept."""
    chance = np.random.default_rng(6)
    for _ in range(100):
        found = mser5(np.concatenate([np.zeros(40), chance.normal(5, 0.5, 160)]))
        assert found.values >= 40
        assert found.settled or found.values == 100


def test_a_series_that_climbs_for_ever_has_not_settled() -> None:
    """The best cut of a straight climb is the last one looked at, and it is said so."""
    found = mser5(np.arange(200.0))
    assert not found.settled
    assert found.values == 100


@pytest.mark.parametrize("value", [0.0, 58.0, 1e6])
def test_what_never_moves_needs_no_warm_up(value: float) -> None:
    """A constant series is settled from the first value on, whatever rounding does."""
    assert mser5(np.full(203, value)).values == 0


def test_a_works_settles_when_the_slower_of_its_series_does() -> None:
    """Vehicles there settle after 20 days, turn time by day of arrival after 40."""
    chance = np.random.default_rng(8)
    days = 300
    there = np.where(np.arange(days) < 20, 0, 50) + chance.integers(0, 2, (10, days))
    turn = np.where(np.arange(days) < 40, 1000, 9000)
    arrived = np.ones((10, days), np.int64)
    out = arrived.copy()
    # Those of the last days are not out yet, and would look quick.
    out[:, 280:] = 0
    pilots = [
        Settling(there[r], arrived[r], out[r], (turn + chance.integers(0, 9, days)) * out[r])
        for r in range(10)
    ]
    found = settled_after(pilots)
    assert found.settled
    assert 40 <= found.values <= 40 + BATCH
