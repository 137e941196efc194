"""Time left until a unit in repair is serviceable, given that it has lasted so long."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from pacewright.floats.turn_time import ConstantTurn, TurnLaw, longest_days, mean_beyond, turn_law
from pacewright.works import Works

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

    def days_left(self, spent_days: float) -> float:
        """Mean time left of a turn that has lasted so long: E(T - t | T > t).

        From ``overdue_days`` on the time left at that age; 0 for a constant turn that is past.
        """
        if isinstance(self._law, ConstantTurn):
            return max(0.0, self.mean_days - spent_days)
        spent = np.array([min(max(spent_days, 0.0), self.overdue_days)])
        return float((mean_beyond(self._law, spent) / self._law.survival(spent))[0])

    def chance_within(self, spent_days: float, more_days: float) -> float:
        """Chance that a turn that has lasted so long ends within ``more_days``."""
        if more_days < 0:
            return 0.0
        if isinstance(self._law, ConstantTurn):
            return float(self.mean_days - spent_days <= more_days)
        spent = min(max(spent_days, 0.0), self.overdue_days)
        now, later = self._law.survival(np.array([spent, spent + more_days]))
        return float(1 - later / now)


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
