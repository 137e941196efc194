"""Time on a position where tests fail: the stage done again until its test is passed."""

from dataclasses import dataclass
from functools import cached_property
from math import ceil, log, sqrt

import numpy as np

from pacewright.pace.stage_times import Floats, StageTime, days_with_nights, stage_time
from pacewright.shops.repeats import repeats_mean, repeats_variance
from pacewright.shops.tables import Stage

_GRID = 1 << 15
_UNSEEN = 1e-6
"""The law is told up to where so little of it is left; its mean and spread are exact."""


@dataclass(frozen=True)
class RepeatedStay(StageTime):
    """Time on one position until the test is passed: the first time, then every repeat.

    Parameters
    ----------
    least_days, usual_days, most_days : of the first time, as in ``StageTime``.
    pass_share : chance p to pass, the same each time; 0 < p < 1.
    again : of a repeat: what failed is put right, and the stage done once more.
    """

    pass_share: float
    again: StageTime

    @property
    def mean_days(self) -> float:
        """S + (1 - p) / p r, with s and r the means of the first time and of a repeat (Wald)."""
        return self.once_days + repeats_mean(self.pass_share) * self.again.mean_days

    @property
    def sd_days(self) -> float:
        """Root of var s + E[R] var r + Var[R] r^2, R repeats (law of total variance)."""
        once = StageTime(self.least_days, self.usual_days, self.most_days).sd_days
        share = self.pass_share
        variance = once**2 + repeats_mean(share) * self.again.sd_days**2
        return sqrt(variance + repeats_variance(share) * self.again.mean_days**2)

    @property
    def longest_days(self) -> float:
        """Beyond it lies less than a millionth of the law."""
        repeats = ceil(log(_UNSEEN) / log(1 - self.pass_share))
        return self.most_days + repeats * self.again.most_days

    @cached_property
    def _law(self) -> tuple[Floats, Floats]:
        """Days, and the chance to stay longer, on an even grid.

        Equations
        ---------
        f = p s / (1 - (1 - p) r) in transforms, s and r the laws of first time and repeat.
        """
        step = self.longest_days / (_GRID - 2)
        first = StageTime(self.least_days, self.usual_days, self.most_days)
        once, again = (np.fft.rfft(_on_grid(one, step)) for one in (first, self.again))
        turned = self.pass_share * once / (1 - (1 - self.pass_share) * again)
        mass = np.maximum(np.fft.irfft(turned, _GRID), 0.0)
        longer = 1 - np.cumsum(mass) + mass / 2
        days: Floats = np.arange(_GRID, dtype=np.float64) * step
        chance: Floats = np.clip(longer, 0.0, 1.0)
        return days, chance

    def outlasts(self, days: Floats) -> Floats:
        """Chance that the time on the position is longer than ``days``; 1 for negative days."""
        at, chance = self._law
        return np.interp(days, at, chance, left=1.0, right=0.0)


def stay_of(stage: Stage, shop_hours_a_day: float) -> StageTime:
    """Time on a position of the stage until its test, if it has one, is passed [working days].

    Parameters
    ----------
    stage : its three estimates, its test, and whether its hours run on outside working time.
    shop_hours_a_day : working hours of the shop's day [h].
    """
    first = stage_time(stage, shop_hours_a_day)
    if stage.first_pass_share >= 1:
        return first
    hours = (stage.hours_least, stage.hours_usual, stage.hours_most)
    each = [stage.rectify_hours + one for one in hours]
    if stage.night_goes_on:
        days = [days_with_nights(one, shop_hours_a_day) for one in each]
    else:
        days = [one / shop_hours_a_day for one in each]
    return RepeatedStay(
        first.least_days,
        first.usual_days,
        first.most_days,
        stage.first_pass_share,
        StageTime(*days),
    )


def _on_grid(time: StageTime, step: float) -> Floats:
    """The law as masses on an even grid that keep its mean."""
    at, chance = time.points()
    low = np.floor(at / step).astype(np.int64)
    share = at / step - low
    mass = np.zeros(_GRID)
    np.add.at(mass, low, chance * (1 - share))
    np.add.at(mass, low + 1, chance * share)
    return mass
