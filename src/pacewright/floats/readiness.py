"""Readiness: the chance that no vehicle waits for a unit kind, for each float, type and wait."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class ReadyTable:
    """Readiness of one unit kind.

    Parameters
    ----------
    type_ids, shares : the types that carry the kind, and their shares of the call-in.
    look_days : days after the need; row 0 is the need itself.
    ready : chance that a vehicle has all its units so many days after the need, by
        [look, type, float]; beyond the last float the chance stays as in the last column.
    """

    type_ids: tuple[str, ...]
    shares: tuple[float, ...]
    look_days: tuple[float, ...]
    ready: Array

    @property
    def most(self) -> int:
        """The largest float in the table."""
        return int(self.ready.shape[2]) - 1

    def by_type(self, units: int, look: int = 0) -> tuple[float, ...]:
        """Readiness of each type with ``units`` of float."""
        return tuple(float(x) for x in self.ready[look, :, min(units, self.most)])

    def mean(self, units: int, look: int = 0) -> float:
        """Readiness over all vehicles that carry the kind."""
        return float(np.average(self.by_type(units, look), weights=self.shares))

    def means(self, look: int = 0) -> Array:
        """Mean readiness for every float from 0 on."""
        found: Array = np.average(self.ready[look], axis=0, weights=self.shares)
        return found

    def least_float(self, chance: float) -> int | None:
        """Least float whose mean readiness is at least ``chance``; None: none in the table."""
        enough = np.flatnonzero(self.means() >= chance - 1e-9)
        return int(enough[0]) if enough.size else None


def trimmed(ready: Array, chance: float = 1 - 1e-9) -> Array:
    """The table without the floats that add nothing measurable."""
    worst = ready.min(axis=(0, 1))
    enough = np.flatnonzero(worst >= chance)
    last = int(enough[0]) if enough.size else ready.shape[2] - 1
    return ready[:, :, : last + 1]
