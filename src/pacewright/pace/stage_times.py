"""How long a piece stands on a position: three estimates made into a mean, a spread and a law."""

from dataclasses import dataclass
from functools import cached_property
from math import floor

import numpy as np
from numpy.typing import NDArray

from pacewright.shops.tables import Stage

Floats = NDArray[np.float64]

HOURS_A_NIGHT_AND_DAY = 24.0
_TABLE_POINTS = 401


@dataclass(frozen=True)
class StageTime:
    """Time on one position as three estimates [working days].

    Parameters
    ----------
    least_days, usual_days, most_days : a, m, b; 0 < a <= m <= b.
    """

    least_days: float
    usual_days: float
    most_days: float

    @property
    def once_days(self) -> float:
        """(a + 4 m + b) / 6 (Malcolm, Roseboom, Clark and Fazar 1959)."""
        return (self.least_days + 4 * self.usual_days + self.most_days) / 6

    @property
    def mean_days(self) -> float:
        """Mean of all the time on the position; here that of once."""
        return self.once_days

    @property
    def longest_days(self) -> float:
        """No stay is longer, or next to none."""
        return self.most_days

    @property
    def sd_days(self) -> float:
        """(b - a) / 6 (same source)."""
        return (self.most_days - self.least_days) / 6

    @cached_property
    def _table(self) -> tuple[Floats, Floats]:
        # Beta law on [a, b] whose mean is (a + 4m + b) / 6; integrated by the trapezium rule.
        a, m, b = self.least_days, self.usual_days, self.most_days
        x = np.linspace(0.0, 1.0, _TABLE_POINTS)
        low, high = 4 * (m - a) / (b - a), 4 * (b - m) / (b - a)
        density = x**low * (1 - x) ** high
        area = np.concatenate([[0.0], np.cumsum((density[1:] + density[:-1]) / 2)])
        return a + (b - a) * x, 1 - area / area[-1]

    def points(self) -> tuple[Floats, Floats]:
        """Days and the chance of each, the law on as many points as are needed."""
        if self.most_days - self.least_days < 1e-9:
            return np.array([self.least_days]), np.ones(1)
        at, longer = self._table
        return (at[1:] + at[:-1]) / 2, longer[:-1] - longer[1:]

    def outlasts(self, days: Floats) -> Floats:
        """Chance that the time on the position is longer than ``days``; 1 for negative days."""
        if self.most_days - self.least_days < 1e-9:
            # The small step lets a stay of exactly so many takts end before the next piece comes.
            return np.where(days < self.least_days - 1e-9, 1.0, 0.0)
        at, chance = self._table
        return np.interp(days, at, chance, left=1.0, right=0.0)


def stage_time(stage: Stage, shop_hours_a_day: float) -> StageTime:
    """Time on a position of the stage in working days of its shop.

    Parameters
    ----------
    stage : its three estimates of hours, and whether they run on outside working time.
    shop_hours_a_day : working hours of the shop's day [h].
    """
    estimates = (stage.hours_least, stage.hours_usual, stage.hours_most)
    if stage.night_goes_on:
        days = [days_with_nights(hours, shop_hours_a_day) for hours in estimates]
    else:
        days = [hours / shop_hours_a_day for hours in estimates]
    return StageTime(*days)


def days_with_nights(hours: float, shop_hours_a_day: float) -> float:
    """Working days that a process of so many hours takes when it runs through the night.

    It starts at any moment of the shop's day, each as likely, and ends at once when the shop
    is at work, else next morning. Weekends are not counted on: nobody unloads then.

    Parameters
    ----------
    hours : time of the process by the clock [h], D.
    shop_hours_a_day : h; 0 < h <= 24.

    Equations
    ---------
    g(t) = floor(t / 24) + min(1, (t mod 24) / h) working days have passed t hours after a
    morning; result = 1/h * integral of g from D to D + h, less 1/2 (own derivation).

    >>> days_with_nights(24, 8)
    1.0
    >>> days_with_nights(8, 8)
    0.5
    """
    day = shop_hours_a_day
    return (_passed_area(hours + day, day) - _passed_area(hours, day)) / day - 0.5


def _passed_area(until: float, day: float) -> float:
    whole = floor(until / HOURS_A_NIGHT_AND_DAY)
    rest = until - whole * HOURS_A_NIGHT_AND_DAY
    full = HOURS_A_NIGHT_AND_DAY * whole * (whole - 1) / 2
    full += whole * (HOURS_A_NIGHT_AND_DAY - day / 2)
    return full + whole * rest + min(rest, day) ** 2 / (2 * day) + max(0.0, rest - day)
