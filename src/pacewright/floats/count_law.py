"""Laws of a count of units: from the transform of a sum to chances."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Complex = NDArray[np.complex128]


@dataclass(frozen=True, slots=True)
class Window:
    """The stretch of whole numbers on which laws are worked out, one lowest value a law.

    A transform knows a law only up to whole turns of ``size``; the window is laid so wide about
    the mean (seven standard deviations and some) that nothing measurable lies outside.
    """

    low: Ints
    size: int

    @property
    def turns(self) -> Complex:
        """The points z of the unit circle at which transforms E z^D are wanted."""
        steps = np.arange(self.size // 2 + 1)
        return np.asarray(np.exp(-2j * np.pi * steps / self.size))


def window(means: Array, variance: float, margin: float = 0.0) -> Window:
    """The window for laws with these means and at most this variance."""
    half = 7 * math.sqrt(max(0.0, variance)) + 10 + margin
    size = 1 << math.ceil(math.log2(2 * half))
    return Window(np.floor(np.asarray(means)).astype(np.int64) - size // 2, size)


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
    steps = np.arange(where.size // 2 + 1)
    shift = np.exp(2j * np.pi * np.outer(where.low % where.size, steps) / where.size)
    weights = np.fft.irfft(transform * shift, n=where.size, axis=1)
    weights = np.maximum(weights, 0.0)
    return CountLaws(where.low, weights / weights.sum(axis=1, keepdims=True))


def from_weights(weights: Array) -> CountLaws:
    """The law of a count of 0, 1, 2 ... with these chances."""
    row = np.asarray(weights, dtype=float)[None, :]
    return CountLaws(np.zeros(1, dtype=np.int64), row / row.sum())


def yes_or_no_sum(chances: Array, where: Window) -> Complex:
    """Transform of a sum of independent yes-or-no counts, one row of chances a law.

    Equations: E z^D = prod_i (1 + p_i (z - 1)). Terms below 1e-6 are drawn together as
    exp(sum p_i (z - 1)), which errs by less than the sum of their squares.
    """
    turns = where.turns - 1
    strong = np.flatnonzero((chances > 1e-6).any(axis=0))
    weak = np.flatnonzero(~(chances > 1e-6).any(axis=0))
    found = np.exp(np.outer(chances[:, weak].sum(axis=1), turns))
    # In stretches, so that the three-way table stays small.
    stretch = max(1, 400_000 // max(1, chances.shape[0] * turns.size))
    for first in range(0, strong.size, stretch):
        part = chances[:, strong[first : first + stretch]]
        found *= np.prod(1 + part[:, :, None] * turns, axis=1)
    return np.asarray(found)
