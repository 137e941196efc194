"""Counter-based chance: every draw is a pure function of what it is for.

A draw asks for no generator that others share. So two engines, two orders of events and two
what-if cases give the same vehicle the same chance, and a difference between cases is no noise.
"""

from enum import IntEnum
from hashlib import blake2b

import numpy as np

from pacewright.simulate.table import QUANTILES, Floats, Keys

GAMMA = 0x9E3779B97F4A7C15
"""2^64 over the golden ratio, made odd: the step of splitmix64."""
_FIRST, _SECOND = 0xBF58476D1CE4E5B9, 0x94D049BB133111EB
_MASK = (1 << 64) - 1
_WHOLE_BITS = 12
_UNIT = 2.0**-52


class Stream(IntEnum):
    """What a draw is for; the three keys after it say for whom."""

    STAGE_TIME = 1
    SCOPE = 2
    REMOVED = 3
    SCRAP = 4
    TURN = 5
    BENCH = 6
    PASS = 7
    LATE = 8
    SITE = 9
    PRESENT = 10
    UPSET = 11
    RESIDUAL = 12


def key_of(name: str) -> int:
    """A 64-bit key that a name keeps for good, on every machine."""
    return int.from_bytes(blake2b(name.encode(), digest_size=8).digest(), "big")


def mixed(z: int) -> int:
    """The finaliser of splitmix64: every bit of the result hangs on every bit of ``z``.

    Equations
    ---------
    z ^= z >> 30; z *= 0xbf58476d1ce4e5b9; z ^= z >> 27; z *= 0x94d049bb133111eb; z ^= z >> 31,
    modulo 2^64 (Steele, Lea and Flood 2014; constants of variant 13 of Stafford 2011).
    """
    z = (z ^ (z >> 30)) * _FIRST & _MASK
    z = (z ^ (z >> 27)) * _SECOND & _MASK
    return z ^ (z >> 31)


def stepped(h: int, x: int) -> int:
    """The state after one more key, modulo 2^64; negative keys as two's complement."""
    return mixed(((h ^ (x & _MASK)) + GAMMA) & _MASK)


def base_of(seed: int, replication: int) -> int:
    """The state from which all draws of one run go out."""
    return stepped(stepped(0, seed), replication)


def draw(base: int, stream: int, a: int, b: int, c: int) -> float:
    """A number evenly spread over 0 < u < 1.

    Parameters
    ----------
    base : of the run, from ``base_of``.
    stream : what it is for, a ``Stream``.
    a, b, c : whom it is for: keys of the vehicle, stage, unit kind; a count.

    Equations
    ---------
    u = (top 52 bits + 1/2) / 2^52: never 0 and, unlike with 53 bits, never rounded up to 1.
    """
    h = stepped(stepped(stepped(stepped(base, stream), a), b), c)
    return ((h >> _WHOLE_BITS) + 0.5) * _UNIT


def quantile(table: Floats, u: float) -> float:
    """The value below which a share ``u`` of a law lies, by straight lines between its points."""
    x = u * (QUANTILES - 1)
    place = int(x)
    low = float(table[place])
    return low + (float(table[place + 1]) - low) * (x - place)


def beyond(share: float, u: float) -> float:
    """The draw ``u`` of a law, given that its value lies beyond a share of it.

    Equations
    ---------
    F(T) given T > t is even over F(t) to 1: F(t) + (1 - F(t)) u; never rounded up to 1.
    """
    return min(share + (1.0 - share) * u, 1.0 - _UNIT)


def whole_minutes(minutes: float) -> int:
    """Minutes to the nearest whole one, at least 1."""
    return max(1, int(minutes + 0.5))


def stepped_keys(h: Keys, x: Keys) -> Keys:
    """``stepped`` on arrays of unsigned 64-bit integers.

    Written in operations that a compiler of numeric code takes as they stand, for arrays and for
    single numbers alike; uncompiled it is for arrays only.
    """
    z = (h ^ x) + np.uint64(GAMMA)
    z = (z ^ (z >> np.uint64(30))) * np.uint64(_FIRST)
    z = (z ^ (z >> np.uint64(27))) * np.uint64(_SECOND)
    return z ^ (z >> np.uint64(31))


def unit_of_keys(h: Keys) -> Floats:
    """Numbers between 0 and 1 from the last states, as ``draw`` makes them."""
    # A compiler of numeric code wants plain arithmetic; the stubs do not see its float64.
    return ((h >> np.uint64(_WHOLE_BITS)) + 0.5) * _UNIT  # type: ignore[return-value]
