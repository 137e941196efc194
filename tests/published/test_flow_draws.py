"""A battery on the counter-based draws: birthday spacings, runs, gaps, kinship of streams.

Tests of Knuth, The Art of Computer Programming 2, 3.3.2, and Marsaglia's birthday spacings (from
memory); chi-square and serial tests are in ``tests/unit/simulate/test_chance.py``. A good generator
would fail one of these in a million times.
"""

import numpy as np
import pytest
from scipy import stats

from pacewright.simulate.chance import Stream, base_of, stepped, stepped_keys, unit_of_keys

FALSE_ALARM = 1e-6 / 40
COUNT = 2**17
STREAMS = [Stream.STAGE_TIME, Stream.TURN, Stream.SITE, Stream.PRESENT]


def row(stream: int, key: int = 17, replication: int = 0) -> np.ndarray:
    """Draws of one stream whose last key counts up."""
    h = np.full(COUNT, stepped(base_of(1, replication), stream), np.uint64)
    for one in (np.full(COUNT, key), np.full(COUNT, 5), np.arange(COUNT)):
        h = stepped_keys(h, one.astype(np.uint64))
    return unit_of_keys(h)


@pytest.mark.parametrize("stream", STREAMS)
def test_birthday_spacings(stream: int) -> None:
    """Equal spacings among m birthdays in n days: Poisson with mean m^3 / 4 n."""
    birthdays, bits = 512, 24
    years = (row(stream) * 2**bits).astype(np.int64).reshape(-1, birthdays)
    spacings = np.sort(np.diff(np.sort(years, axis=1), axis=1), axis=1)
    equal = int((np.diff(spacings, axis=1) == 0).sum())
    mean = len(years) * birthdays**3 / (4 * 2**bits)
    tail = min(stats.poisson.cdf(equal, mean), stats.poisson.sf(equal - 1, mean))
    assert 2 * tail > FALSE_ALARM


@pytest.mark.parametrize("stream", STREAMS)
def test_orders_of_five(stream: int) -> None:
    """All 120 orders of five draws come alike often (Knuth's permutation test)."""
    fives = row(stream)[: COUNT // 5 * 5].reshape(-1, 5).argsort(axis=1)
    counts = np.bincount(fives @ 5 ** np.arange(5))
    counts = counts[counts > 0]
    assert len(counts) == 120
    assert stats.chisquare(counts).pvalue > FALSE_ALARM


@pytest.mark.parametrize("stream", STREAMS)
def test_runs_above_and_below_the_middle(stream: int) -> None:
    """The number of changes of side is binomial with share one half."""
    high = row(stream) > 0.5
    changes = int((high[1:] != high[:-1]).sum())
    assert stats.binomtest(changes, COUNT - 1, 0.5).pvalue > FALSE_ALARM


@pytest.mark.parametrize("other", ["stream", "key", "replication"])
def test_rows_next_to_each_other_are_strangers(other: str) -> None:
    """Pairs of draws with the same count fill 32 x 32 cells alike."""
    first = row(Stream.TURN)
    second = {
        "stream": lambda: row(Stream.BENCH),
        "key": lambda: row(Stream.TURN, key=18),
        "replication": lambda: row(Stream.TURN, replication=1),
    }[other]()
    cells = (first * 32).astype(int) * 32 + (second * 32).astype(int)
    assert stats.chisquare(np.bincount(cells, minlength=1024)).pvalue > FALSE_ALARM
