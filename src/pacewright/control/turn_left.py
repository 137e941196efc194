"""Time left until a unit in repair is serviceable, given that it has lasted so long."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from pacewright.floats.turn_time import ConstantTurn, TurnLaw, longest_days, mean_beyond, turn_law
from pacewright.works import Works

Floats = NDArray[np.float64]

LAST_CHANCE = 1e-4
"""A turn longer than all but this share is overdue: the law of the kind says no more about it."""


@dataclass(frozen=True)
class TurnTime:
    """Turn time of a unit kind, from removal to serviceable, waiting included.

    Parameters
    ----------
    mean_days, sd_days : working days; a lognormal law with these, constant where sd is 0.
    sample : turns it rests on; 0: the works' table.
    source : ``record`` or ``unit_kinds table``; stands beside every figure made from it.
    """

    mean_days: float
    sd_days: float
    sample: int = 0
    source: str = "unit_kinds table"

    @cached_property
    def _law(self) -> TurnLaw:
        return turn_law(self.mean_days, self.sd_days)

    @cached_property
    def overdue_days(self) -> float:
        """From this age on a unit is overdue."""
        return longest_days(self._law, LAST_CHANCE)

    def days_left(self, spent_days: Floats) -> Floats:
        """Mean time left of turns that have lasted so long: E(T - t | T > t).

        From ``overdue_days`` on the time left at that age; 0 for a constant turn that is past.
        """
        spent = np.clip(spent_days, 0.0, None if self.sd_days <= 0 else self.overdue_days)
        beyond = mean_beyond(self._law, spent)
        if isinstance(self._law, ConstantTurn):
            return beyond
        return np.asarray(beyond / self._law.survival(spent))

    def chances_within(self, spent_days: Floats, more_days: Floats) -> Floats:
        """Chance that turns that have lasted so long end within so many days more.

        Parameters
        ----------
        spent_days : below 0: the turn begins in so many days.
        more_days : below 0 the chance is 0. The two are broadcast against each other.
        """
        more = more_days + np.minimum(spent_days, 0.0)
        spent = np.maximum(spent_days, 0.0)
        if isinstance(self._law, ConstantTurn):
            past = self.mean_days - spent <= more
            return np.where(more < 0, 0.0, past.astype(float))
        spent = np.minimum(spent, self.overdue_days)
        later = self._law.survival(spent + np.maximum(more, 0.0))
        return np.where(more < 0, 0.0, 1 - later / self._law.survival(spent))

    def longest_left(self, spent_days: float, share: float) -> float:
        """Days within which all but ``share`` of the turns that have lasted so long are over."""
        spent = min(max(spent_days, 0.0), self.overdue_days)
        alive = float(self._law.survival(np.array([spent]))[0])
        return max(0.0, longest_days(self._law, share * alive) - spent)

    def back_mean(self, days: Floats) -> Floats:
        """Mean time by which turns begun now are over by each of ``days``: E(d - T)+."""
        return np.asarray(days - self.mean_days + mean_beyond(self._law, days))


TurnTimes = Mapping[str, TurnTime]
"""Unit kind -> its turn time."""


def turn_times(
    works: Works, real: Mapping[str, tuple[float, float, int]] | None = None
) -> TurnTimes:
    """The turn time of every unit kind: from the record where it has some, else the table's.

    Parameters
    ----------
    real : unit kind -> (mean days, standard deviation days, turns seen) from the record.
    """
    found = {
        one.unit_kind_id: TurnTime(one.turn_days, one.turn_sd_days) for one in works.unit_kinds
    }
    for kind_id, (mean, sd, sample) in (real or {}).items():
        if sample and kind_id in found:
            found[kind_id] = TurnTime(mean, sd, sample, "record")
    return found
