"""The draws: their laws, and that each purpose has a stream of its own."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pacewright.invent.draws import Draws


def test_even_numbers_are_the_doubles_of_the_raw_bits() -> None:
    """53 bits of each raw number, as numpy documents for its own double (outside reference)."""
    raw = np.random.PCG64(np.random.SeedSequence([7, *b"roll"]))
    reference = np.random.Generator(raw).random(1000)
    assert np.array_equal(Draws(7, "roll").even(1000), reference)


def test_even_numbers_pass_the_kolmogorov_smirnov_test() -> None:
    """20,000 even numbers against scipy's uniform law; false alarm once in a thousand seeds."""
    assert stats.kstest(Draws(3, "check").even(20_000), "uniform").pvalue > 0.001


def test_bell_has_the_moments_of_twelve_even_numbers_summed() -> None:
    """Mean 0, variance 1, skewness 0, excess kurtosis -6/(5 x 12) = -0.1 (Irwin 1927, Hall 1927;
    moments from memory). Limits are four standard errors for 200,000 numbers.
    """
    bell = Draws(11, "check").bell(200_000)
    assert bell.mean() == pytest.approx(0, abs=4 / np.sqrt(200_000))
    assert bell.var() == pytest.approx(1, abs=4 * np.sqrt(2 / 200_000))
    assert stats.skew(bell) == pytest.approx(0, abs=4 * np.sqrt(6 / 200_000))
    assert stats.kurtosis(bell) == pytest.approx(-0.1, abs=4 * np.sqrt(24 / 200_000))


@given(st.integers(0, 2**40), st.integers(-50, 50), st.integers(0, 100))
def test_whole_numbers_stay_between_their_ends(seed: int, low: int, width: int) -> None:
    """Both ends may come, nothing beyond them."""
    found = Draws(seed, "check").whole(200, low, low + width)
    assert found.min() >= low
    assert found.max() <= low + width


@given(st.integers(0, 2**40), st.integers(1, 300))
def test_shuffled_holds_every_place_once(seed: int, count: int) -> None:
    """A shuffle loses and doubles nothing."""
    assert sorted(Draws(seed, "check").shuffled(count).tolist()) == list(range(count))


@given(st.integers(1, 500), st.lists(st.floats(0.05, 1), min_size=1, max_size=9))
def test_by_share_is_within_one_of_the_share(count: int, shares: list[float]) -> None:
    """Each place comes as often as its share says, to the next whole number."""
    places = Draws(5, "check").by_share(count, shares)
    counts = np.bincount(places, minlength=len(shares))
    assert np.all(np.abs(counts - np.array(shares) / sum(shares) * count) <= 1 + 1e-9)


def test_purposes_have_streams_of_their_own() -> None:
    """What is drawn for one purpose says nothing of another."""
    one, other = Draws(1, "roll").even(5000), Draws(1, "dates").even(5000)
    assert abs(np.corrcoef(one, other)[0, 1]) < 4 / np.sqrt(5000)
