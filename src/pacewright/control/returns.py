"""When so many of the units away are back, and how likely by a day, taken all together.

Of many units in repair the first is back sooner than any one of them is expected: each may be the
one. So the day of the k-th return is read off the expected number back, not unit by unit.
"""

from dataclasses import dataclass
from functools import cached_property
from statistics import NormalDist

import numpy as np

from pacewright.control.turn_left import Floats, TurnTime

_GRID_POINTS = 96
_LAST_SHARE = 0.005
_LEAST = 1e-9


@dataclass(frozen=True)
class Returns:
    """Units of one kind that are away.

    Parameters
    ----------
    turn : turn time of the kind.
    spent_days : how long the turn of each has lasted; below 0: it begins in so many days.
    amounts : units each stands for.
    """

    turn: TurnTime
    spent_days: Floats
    amounts: Floats

    def back_by(self, days: Floats) -> Floats:
        """Expected units back within each of ``days`` from now."""
        chances = self.turn.chances_within(self.spent_days[None, :], days[:, None])
        return np.asarray(chances @ self.amounts)

    def days_until(self, units: Floats) -> Floats:
        """Days from now until so many units are expected back, one answer each.

        The j-th unit counts as back when the expected number has reached j - 1/2: with one unit
        that is the day it is as likely back as not.
        """
        return np.asarray(np.interp(units, self._back, self._grid))

    def chances(self, units: Floats, days: Floats) -> list[float]:
        """Chance that each number of ``units`` is back within its ``days``.

        Equations: the number back is a sum of yes-or-no counts with mean m = sum a p and variance
        v = sum a p (1 - p); normal law with half a unit of correction,
        P = Phi((m - (units - 1/2)) / sqrt(v)).
        """
        chances = self.turn.chances_within(self.spent_days[None, :], days[:, None])
        over = chances @ self.amounts - (units - 0.5)
        spread = np.sqrt((chances * (1 - chances)) @ self.amounts)
        return [
            float(more >= 0) if sd < _LEAST else NormalDist().cdf(more / sd)
            for more, sd in zip(over.tolist(), spread.tolist(), strict=True)
        ]

    @cached_property
    def _grid(self) -> Floats:
        begins = max(0.0, -float(self.spent_days.min()))
        oldest = max(0.0, float(self.spent_days.max()))
        left = max(self.turn.longest_left(age, _LAST_SHARE) for age in (0.0, oldest))
        last = begins + left
        return np.linspace(0.0, last, _GRID_POINTS)

    @cached_property
    def _back(self) -> Floats:
        # Rises all the way, so that a number of units belongs to one day.
        back = np.maximum.accumulate(self.back_by(self._grid))
        return np.asarray(back + np.arange(back.size) * _LEAST)
