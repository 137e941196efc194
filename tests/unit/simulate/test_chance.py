"""The counter-based draws: known values, evenness, no memory, no kinship between streams."""

import numpy as np
import pytest
from scipy import stats

from pacewright.simulate.chance import (
    GAMMA,
    Stream,
    base_of,
    draw,
    key_of,
    mixed,
    quantile,
    stepped,
    stepped_keys,
    unit_of_keys,
    whole_minutes,
)

MASK = (1 << 64) - 1

# First outputs of splitmix64.c by Sebastiano Vigna (public domain) started at state 1234567, as
# they are given with the task "Pseudo-random numbers/Splitmix64" of Rosetta Code; from memory.
SPLITMIX64_FROM_1234567 = (
    6457827717110365317,
    3203168211198807973,
    9817491932198370423,
    4593380528125082431,
    16408922859458223821,
)
# First output from state 0: the value that starts many a seeding of xoshiro; from memory.
SPLITMIX64_FROM_0 = 0xE220A8397B1DCDAF


def many(base: int, stream: int, a: np.ndarray, b: int, c: np.ndarray) -> np.ndarray:
    """Draws for arrays of keys, by the array form."""
    h = np.full(len(a), stepped(base, stream), np.uint64)
    for key in (a, np.full(len(a), b), c):
        h = stepped_keys(h, key.astype(np.uint64))
    return unit_of_keys(h)


def test_the_mixing_is_splitmix64() -> None:
    """The finaliser gives the published outputs when the state goes up by the golden step."""
    state = 1234567
    for wanted in SPLITMIX64_FROM_1234567:
        state = (state + GAMMA) & MASK
        assert mixed(state) == wanted
    assert mixed(GAMMA) == SPLITMIX64_FROM_0


def test_arrays_give_what_single_numbers_give() -> None:
    """The array form and the form on plain integers agree to the last bit."""
    base = base_of(7, 3)
    a = np.array([0, 1, key_of("104/now"), MASK], np.uint64)
    c = np.array([0, 5, 1000, 2**40], np.uint64)
    together = many(base, Stream.TURN, a, 9, c)
    alone = [draw(base, Stream.TURN, int(x), 9, int(y)) for x, y in zip(a, c, strict=True)]
    assert together.tolist() == alone
    assert stepped(5, -1) == stepped(5, MASK)


def test_the_ends_are_never_reached() -> None:
    """The lowest and the highest state give numbers above 0 and below 1."""
    low, high = unit_of_keys(np.array([0, MASK], np.uint64)).tolist()
    assert low == 2.0**-53
    assert 1 - high == 2.0**-53


COUNT = 200_000
# One in so many good generators would fail one such test; there are some twenty of them here.
FALSE_ALARM = 1e-6


@pytest.mark.parametrize("counted", ["a", "c", "replication", "seed", "stream"])
def test_draws_are_even(counted: str) -> None:
    """Chi-square of 1,000 classes, whichever key counts up."""
    ones = np.arange(COUNT, dtype=np.uint64)
    fixed = np.full(COUNT, 17, np.uint64)
    if counted in ("a", "c"):
        a, c = (ones, fixed) if counted == "a" else (fixed, ones)
        u = many(base_of(1, 1), Stream.SCOPE, a, 5, c)
    else:
        few = COUNT // 20
        runs = {
            "replication": lambda n: draw(base_of(1, n), Stream.SCOPE, 17, 5, 17),
            "seed": lambda n: draw(base_of(n, 1), Stream.SCOPE, 17, 5, 17),
            "stream": lambda n: draw(base_of(1, 1), n, 17, 5, 17),
        }
        u = np.array([runs[counted](n) for n in range(few)])
    classes = 1000 if len(u) == COUNT else 100
    seen = np.bincount((u * classes).astype(int), minlength=classes)
    assert stats.chisquare(seen).pvalue > FALSE_ALARM
    assert stats.kstest(u, "uniform").pvalue > FALSE_ALARM


@pytest.mark.parametrize("lag", [1, 2, 3, 7, 64, 1000])
def test_draws_have_no_memory(lag: int) -> None:
    """Serial correlation at several lags, and pairs in a square of 32 x 32, are as by chance."""
    count = np.arange(COUNT, dtype=np.uint64)
    u = many(base_of(2, 0), Stream.TURN, np.full(COUNT, key_of("v")), 3, count)
    first, second = u[:-lag], u[lag:]
    r = np.corrcoef(first, second)[0, 1]
    assert abs(r) * np.sqrt(len(first)) < stats.norm.isf(FALSE_ALARM / 2)
    # Every second pair only: pairs that share a draw are not independent.
    square = (first * 32).astype(int) * 32 + (second * 32).astype(int)
    apart = square.reshape(-1)[: len(square) // (2 * lag) * 2 * lag].reshape(-1, 2, lag)[:, 0]
    seen = np.bincount(apart.ravel(), minlength=1024)
    assert stats.chisquare(seen).pvalue > FALSE_ALARM


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ((1, 0, Stream.PASS), (1, 0, Stream.SCRAP)),
        ((1, 0, Stream.PASS), (1, 1, Stream.PASS)),
        ((1, 0, Stream.PASS), (2, 0, Stream.PASS)),
        ((0, 1, Stream.PASS), (1, 0, Stream.PASS)),
    ],
)
def test_streams_are_strangers(
    one: tuple[int, int, Stream], other: tuple[int, int, Stream]
) -> None:
    """Draws for the same thing from two streams, replications or seeds do not go together."""
    keys = np.arange(COUNT, dtype=np.uint64)
    zero = np.zeros(COUNT, np.uint64)
    u, w = (many(base_of(seed, run), stream, keys, 0, zero) for seed, run, stream in (one, other))
    r = np.corrcoef(u, w)[0, 1]
    assert abs(r) * np.sqrt(COUNT) < stats.norm.isf(FALSE_ALARM / 2)
    square = (u * 32).astype(int) * 32 + (w * 32).astype(int)
    assert stats.chisquare(np.bincount(square, minlength=1024)).pvalue > FALSE_ALARM


def test_one_bit_of_a_key_turns_half_the_bits() -> None:
    """Avalanche: changing any one bit of any key changes each bit of the state half the time."""
    rng = np.random.default_rng(5)
    keys = rng.integers(0, 2**63, 2000, dtype=np.uint64)
    state = np.full(2000, 99, np.uint64)
    plain = stepped_keys(state, keys)
    for bit in range(64):
        turned = plain ^ stepped_keys(state, keys ^ np.uint64(1 << bit))
        bits = np.unpackbits(turned.view(np.uint8)).reshape(2000, 64).mean(0)
        # 64 x 64 shares of 2,000 fair bits: sd 0.0112; 6 sd leave a false alarm of 1e-5.
        assert np.abs(bits - 0.5).max() < 6 * 0.5 / np.sqrt(2000)


def test_keys_stay() -> None:
    """A name's key is the first 8 bytes of its BLAKE2b digest, the same for good."""
    # BLAKE2b with an 8-byte digest of "abc"; RFC 7693 defines it, this value by b2sum -l 64.
    assert key_of("abc") == 0xD8BB14D833D59559
    assert key_of("101/1") != key_of("101/2")


def test_quantiles_lie_on_straight_lines() -> None:
    """Between two points of the table the value goes straight."""
    table = np.arange(1025.0) ** 2
    assert quantile(table, 0.5) == 512.0**2
    assert quantile(table, 0.5 + 0.25 / 1024) == pytest.approx(512.0**2 + 0.25 * 1025)
    assert quantile(table, 1 - 2.0**-53) <= 1024.0**2
    assert [whole_minutes(x) for x in (0.0, 0.4, 1.5, 2.49)] == [1, 1, 2, 2]
