"""Draws that are the same on every machine and with every version of the number library."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]


class Draws:
    """A stream of chance from one seed.

    Only the raw bits of the generator are used: numpy promises that they stay the same for a
    seed, and promises nothing of the kind for its ready-made laws (NEP 19). Logarithms and sines
    are kept out because their last digit differs between machines.

    Parameters
    ----------
    seed : any whole number of 0 or more.
    purpose : what is drawn; each purpose has a stream of its own, so that a change in one leaves
        the others as they were.
    """

    def __init__(self, seed: int, purpose: str) -> None:
        self._bits = np.random.PCG64(np.random.SeedSequence([seed, *purpose.encode()]))

    def even(self, count: int, low: float = 0.0, high: float = 1.0) -> Floats:
        """``count`` numbers, each place between ``low`` and ``high`` alike."""
        raw = self._bits.random_raw(count)
        return low + (high - low) * ((raw >> np.uint64(11)).astype(np.float64) * 2.0**-53)

    def bell(self, count: int) -> Floats:
        """``count`` numbers of mean 0 and standard deviation 1, none beyond 6: twelve even summed.

        The sum of twelve even numbers less six has variance 12 x 1/12 = 1 and is near normal.
        """
        total = np.full(count, -6.0)
        for _ in range(12):
            total += self.even(count)
        return total

    def whole(self, count: int, low: int, high: int) -> Whole:
        """``count`` whole numbers from ``low`` to ``high``, both included."""
        return np.floor(self.even(count, low, high + 1)).astype(np.int64)

    def shuffled(self, count: int) -> Whole:
        """The whole numbers from 0 to ``count`` - 1 in chance order."""
        return np.argsort(self._bits.random_raw(count), kind="stable").astype(np.int64)

    def by_share(self, count: int, shares: list[float]) -> Whole:
        """``count`` places in ``shares``, in chance order, each as often as its share says."""
        ends = np.cumsum(np.array(shares) / sum(shares)) * count
        places = np.searchsorted(ends, np.arange(count) + 0.5)
        return np.minimum(places, len(shares) - 1)[self.shuffled(count)].astype(np.int64)
