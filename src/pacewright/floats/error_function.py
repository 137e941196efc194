"""The complementary error function of whole arrays, from a table of its Taylor terms."""

import math
from functools import cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

REACH = 6.0
"""Beyond +-6 it is 0 or 2 to within 1e-16."""
PER_UNIT = 64
"""Points of the table to a unit."""
STRETCH = 8_000
"""Elements worked out at a time."""


def erfc(scores: Array) -> Array:
    """Complementary error function, element by element, within 1e-13.

    Equations: about the nearest point x of the table, erfc(x + d) = erfc x - 2/sqrt(pi) exp(-x^2)
    (d - x d^2 + (2x^2 - 1) d^3/3 - (2x^3 - 3x) d^4/6 + (4x^4 - 12x^2 + 3) d^5/30): Taylor, with the
    Hermite polynomials as derivatives. The term left out is below 6e-14, as d <= 1/128.
    """
    flat = np.asarray(scores, dtype=float).ravel()
    found = np.empty_like(flat)
    # Few at a time, so that the tables between stay in fast memory.
    for first in range(0, flat.size, STRETCH):
        found[first : first + STRETCH] = _erfc(flat[first : first + STRETCH])
    return found.reshape(np.shape(scores))


def _erfc(scores: Array) -> Array:
    place = np.clip(scores, -REACH, REACH) * PER_UNIT
    nearest = np.rint(place)
    ahead = (place - nearest) / PER_UNIT
    spot = (nearest + REACH * PER_UNIT).astype(np.intp)
    rows = _terms()
    found = rows[-1].take(spot)
    for row in rows[-2::-1]:
        found *= ahead
        found += row.take(spot)
    return np.asarray(found)


@cache
def _terms() -> Array:
    points = np.arange(-REACH * PER_UNIT, REACH * PER_UNIT + 1) / PER_UNIT
    slope = -2 / math.sqrt(math.pi) * np.exp(-(points**2))
    return np.stack(
        [
            np.array([math.erfc(point) for point in points]),
            slope,
            -slope * points,
            slope * (2 * points**2 - 1) / 3,
            -slope * (2 * points**3 - 3 * points) / 6,
            slope * (4 * points**4 - 12 * points**2 + 3) / 30,
        ]
    )
