"""Laws of a count of units: from the transform of a sum to chances."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Complex = NDArray[np.complex128]

MANY, WIDE = 400, 16.0
"""Terms, and variance of their sum, above which a sum is gathered."""
GRID = 256
"""Cells of the grid of chances on which it is."""


@dataclass(frozen=True, slots=True)
class Window:
    """The stretch of whole numbers on which laws are worked out, one lowest value a law.

    A transform knows a law only up to whole turns of ``size``; the window is laid so wide about
    the mean (seven standard deviations and some) that nothing measurable lies outside. Only the
    first ``kept`` of its points are worked out: at the others every transform is below 1e-13.
    A window may begin at a later point (``first``) to work them out in stretches.
    """

    low: Ints
    size: int
    kept: int
    first: int = 0

    @property
    def steps(self) -> Ints:
        """The points kept, counted round the unit circle from 1."""
        return np.arange(self.first, self.kept)

    @property
    def turns(self) -> Complex:
        """The points z of the unit circle at which transforms E z^D are wanted."""
        return np.asarray(np.exp(-2j * np.pi * self.steps / self.size))

    def shifted(self, counts: Ints) -> Complex:
        """Transform of a fixed count taken off, one row a count: z^-count."""
        turned = np.exp(2j * np.pi * np.outer(counts % self.size, self.steps) / self.size)
        return np.asarray(turned)


def window(
    means: Array, variance: float, margin: float = 0.0, least_variance: float = 0.0
) -> Window:
    """The window for laws with these means and at most this variance.

    Parameters
    ----------
    least_variance : variance v of the independent yes-or-no counts that every law holds at least.

    Equations: |1 + p (z - 1)|^2 = 1 - 2 p (1 - p)(1 - cos a) at z = exp(-i a), so that each
    transform is at most exp(-v (1 - cos a)) in size; where that is below 1e-13 it counts as 0.
    """
    half = 7 * math.sqrt(max(0.0, variance)) + 10 + margin
    size = 1 << math.ceil(math.log2(2 * half))
    # Three quarters of a power of two suits the fast Fourier transform as well.
    size = size * 3 // 4 if size * 3 // 4 >= 2 * half else size
    reach = 1 - 30 / least_variance if least_variance > 15 else -1.0
    kept = min(size // 2, math.ceil(math.acos(reach) / (2 * math.pi) * size)) + 1
    return Window(np.floor(np.asarray(means)).astype(np.int64) - size // 2, size, kept)


@dataclass(frozen=True, slots=True)
class CountLaws:
    """One law a row: ``weights[c, n]`` is the chance that count c equals ``low[c] + n``."""

    low: Ints
    weights: Array

    def ready(self, most: int) -> Array:
        """P(count <= S) for S = 0 ... ``most``, one row a law."""
        return self._summed(np.arange(most + 1))

    def _summed(self, floats: Ints) -> Array:
        size = self.weights.shape[1]
        total = np.minimum(1.0, np.cumsum(self.weights, axis=1))
        place = floats[None, :] - self.low[:, None]
        found = np.take_along_axis(total, np.clip(place, 0, size - 1), axis=1)
        summed: Array = np.where(place < 0, 0.0, np.where(place >= size - 1, 1.0, found))
        return summed

    def chance_within(self, units: int) -> float:
        """P(count <= units) of the first law."""
        return float(self._summed(np.array([units]))[0, 0])

    def values(self) -> Ints:
        """The counts that belong to ``weights``."""
        found: Ints = self.low[:, None] + np.arange(self.weights.shape[1])
        return found

    def mean(self) -> float:
        """Mean count of the first law."""
        return float(self.values()[0] @ self.weights[0])

    def variance(self) -> float:
        """Variance of the count of the first law."""
        return float((self.values()[0] - self.mean()) ** 2 @ self.weights[0])

    def short_mean(self, units: int) -> float:
        """Mean units short with ``units`` of float: E(count - units)+ of the first law."""
        return float(np.maximum(0, self.values()[0] - units) @ self.weights[0])

    def least_float(self, chance: float) -> int:
        """Least float of 0 or more with P(count <= float) >= ``chance``, first law."""
        top = max(0, int(self.low[0]) + self.weights.shape[1])
        return int(np.argmax(self.ready(top)[0] >= chance - 1e-12))


def from_transform(transform: Complex, where: Window) -> CountLaws:
    """The laws whose transforms at ``where.turns`` are the rows of ``transform``."""
    weights = np.fft.irfft(transform * where.shifted(where.low), n=where.size, axis=1)
    weights = np.maximum(weights, 0.0)
    return CountLaws(where.low, weights / weights.sum(axis=1, keepdims=True))


def from_weights(weights: Array) -> CountLaws:
    """The law of a count of 0, 1, 2 ... with these chances."""
    row = np.asarray(weights, dtype=float)[None, :]
    return CountLaws(np.zeros(1, dtype=np.int64), row / row.sum())


def yes_or_no_sum(chances: Array, where: Window, units: Ints | None = None) -> Complex:
    """Transform of a sum of independent yes-or-no counts, one row of chances a law.

    Parameters
    ----------
    units : how many counts have each chance; one each when not given.

    Equations: E z^D = prod_i (1 + p_i (z - 1))^u_i. Terms below 1e-6 are drawn together as
    exp(sum u_i p_i (z - 1)), which errs by less than the sum of their squares. Very many terms
    of a wide sum are gathered by ``gathered_sum``.
    """
    times = np.ones(chances.shape, dtype=np.int64) if units is None else units
    turns = where.turns - 1
    found = np.ones((chances.shape[0], turns.size), dtype=complex)
    rest = np.ones(chances.shape[1], dtype=bool)
    for chance, columns in _steady(chances):
        found *= (1 + chance * turns) ** times[:, columns].sum(axis=1)[:, None]
        rest[columns] = False
    chances, times = chances[:, rest], times[:, rest]
    means = times * chances
    strong = ((chances > 1e-6) & (times > 0)).any(axis=0)
    found *= np.exp(np.outer(means[:, ~strong].sum(axis=1), turns))
    chances, times = chances[:, strong], times[:, strong]
    if times.shape[1] > MANY:
        variances = (means[:, strong] * (1 - chances)).sum(axis=1)
        if float(variances.min()) >= WIDE:
            return np.asarray(found * gathered_sum(chances, where, times))
    for count in np.unique(times[times > 0]):
        found *= _product(_drawn_together(chances, times == count), turns) ** int(count)
    return found


def _steady(chances: Array) -> Iterator[tuple[float, Ints]]:
    # Chances that very many columns have in all rows alike (out of the works until bought anew).
    low, high = chances.min(axis=0), chances.max(axis=0)
    even = np.flatnonzero(high - low < 1e-13)
    _, place, counts = np.unique(np.round(low[even], 12), return_inverse=True, return_counts=True)
    for value in np.flatnonzero(counts >= 8):
        columns = even[place == value]
        yield float(low[columns].mean()), columns


def _drawn_together(chances: Array, mine: NDArray[np.bool_]) -> Array:
    # The chances marked, row by row, in as few columns as hold them.
    if mine.all():
        return chances
    order = np.argsort(~mine, axis=1, kind="stable")[:, : int(mine.sum(axis=1).max())]
    return np.asarray(np.take_along_axis(np.where(mine, chances, 0.0), order, axis=1))


def _product(chances: Array, turns: Complex) -> Complex:
    # Four by four, as one polynomial in z - 1 of degree four.
    rows, spare = chances.shape[0], -chances.shape[1] % 4
    parts = np.pad(chances, ((0, 0), (0, spare))).reshape(rows, -1, 4)
    first, second = parts[:, :, 0] + parts[:, :, 1], parts[:, :, 0] * parts[:, :, 1]
    third, fourth = parts[:, :, 2] + parts[:, :, 3], parts[:, :, 2] * parts[:, :, 3]
    terms = np.stack(
        [
            first + third,
            second + fourth + first * third,
            first * fourth + second * third,
            second * fourth,
        ],
        axis=2,
    )
    powers = (turns ** np.arange(1, 5)[:, None]).view(float)
    found = np.ones((rows, turns.size), dtype=complex)
    # In stretches, so that the three-way table stays small.
    stretch = max(1, 20_000 // max(1, rows * turns.size))
    for place in range(0, terms.shape[1], stretch):
        found *= _multiplied((terms[:, place : place + stretch] @ powers).view(complex) + 1)
    return found


def _multiplied(factors: Complex) -> Complex:
    # The product along the middle axis, half by half.
    while factors.shape[1] > 1:
        half = factors.shape[1] // 2
        last = factors[:, 2 * half :]
        factors = factors[:, :half] * factors[:, half : 2 * half]
        factors[:, : last.shape[1]] *= last
    return np.asarray(factors[:, 0])


def gathered_sum(chances: Array, where: Window, units: Ints) -> Complex:
    """``yes_or_no_sum`` with each chance shared out among three neighbours on a fixed grid.

    Equations: ln(1 + p w) is taken as the parabola through the grid points about p, which keeps
    the mean and the variance v of the sum. On the grid g_j = sin^2(pi j / 2 ``GRID``) it misses the
    third cumulant by at most 0.77 (pi / ``GRID``)^3 v / 2, so that P(D <= S) is out by less than
    5e-8 / sqrt(v) (that over six times the sharpest bend of the law, 0.4 / v^1.5; own derivation,
    first order), however many terms there are.
    """
    grid = np.sin(np.pi / 2 * np.arange(GRID + 1) / GRID) ** 2
    factors = 1 + np.outer(grid, where.turns - 1)
    logs = np.log(np.where(np.abs(factors) < 1e-30, 1e-30, factors))
    # Few rows at a time, so that the tables between stay in fast memory.
    step = max(1, 8_000 // chances.shape[1])
    shares = [
        _shared_out(chances[first : first + step], units[first : first + step], grid)
        for first in range(0, chances.shape[0], step)
    ]
    # As real numbers, so that the shares need not be made complex.
    return np.asarray(np.exp((np.concatenate(shares) @ logs.view(float)).view(complex)))


def _shared_out(chances: Array, units: Ints, grid: Array) -> Array:
    """Units at each point of ``grid``, a row a law: each chance by Lagrange's three shares."""
    nearest = np.rint(np.arcsin(np.sqrt(chances)) * (2 * GRID / np.pi)).astype(np.int64)
    nearest = np.clip(nearest, 1, GRID - 1)
    steps = np.diff(grid)
    whole = steps[:-1] + steps[1:]
    below, above = (1 / (steps[:-1] * whole))[nearest - 1], (1 / (steps[1:] * whole))[nearest - 1]
    low_gap, high_gap = chances - grid[nearest - 1], chances - grid[nearest + 1]
    ahead = units * (chances - grid[nearest])
    low, high = ahead * high_gap * below, ahead * low_gap * above
    cells = (nearest + np.arange(chances.shape[0])[:, None] * (GRID + 1)).ravel()
    size = chances.shape[0] * (GRID + 1)
    counts = np.bincount(cells, (units - low - high).ravel(), size)
    counts += np.bincount(cells - 1, low.ravel(), size) + np.bincount(cells + 1, high.ravel(), size)
    return np.asarray(counts.reshape(-1, GRID + 1))
