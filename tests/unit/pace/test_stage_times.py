"""Time on a position: three estimates, and hours that run through the night."""

import numpy as np
import pytest
from scipy import stats

from pacewright.pace.stage_times import StageTime, days_with_nights, stage_time
from pacewright.shops.tables import Stage


def test_three_estimates_by_hand() -> None:
    """4, 6 and 14 days: mean (4 + 24 + 14) / 6 = 7, sd 10 / 6 (Malcolm and others 1959)."""
    time = StageTime(4.0, 6.0, 14.0)
    assert time.mean_days == pytest.approx(7)
    assert time.sd_days == pytest.approx(10 / 6)


def test_law_is_the_beta_law_of_scipy() -> None:
    """The chance to outlast a time is that of scipy's beta law with the same three estimates."""
    time = StageTime(4.0, 6.0, 14.0)
    law = stats.beta(1 + 4 * 2 / 10, 1 + 4 * 8 / 10, loc=4, scale=10)
    days = np.linspace(3, 15, 61)
    assert time.outlasts(days) == pytest.approx(law.sf(days), abs=2e-4)
    assert law.mean() == pytest.approx(time.mean_days)


def test_time_without_scatter_ends_at_its_hour() -> None:
    """A stay of exactly two days is over after two days, not before."""
    assert StageTime(2.0, 2.0, 2.0).outlasts(np.array([1.99, 2.0, 2.01])).tolist() == [1, 0, 0]


@pytest.mark.parametrize(
    ("hours", "day", "days"),
    [
        # Started anywhere in an 8-hour day, 8 hours end in the evening: half a day on average.
        (8, 8, 0.5),
        # 16 hours always end before next morning.
        (16, 8, 0.5),
        (24, 8, 1.0),
        (72, 8, 3.0),
        # Without nights the day goes round: 30 hours are 1.25 days.
        (30, 24, 1.25),
        # 16 hours of work a day, 12 h by the clock: begun in the first 4 h they take 12/16; from
        # 4 to 12 h they end next morning after 1 - u/16, 4 h worth of days in all; begun in
        # the last 4 h they take 4/16: (3 + 4 + 1) / 16.
        (12, 16, 0.5),
    ],
)
def test_days_with_nights_by_hand(hours: float, day: float, days: float) -> None:
    """Worked by hand: mean over a start at any moment of the working day."""
    assert days_with_nights(hours, day) == pytest.approx(days)


@pytest.mark.parametrize("day", [6.0, 8.0, 15.5, 24.0])
def test_days_with_nights_against_every_start(day: float) -> None:
    """The closed form against trying 20,000 starts."""
    starts = (np.arange(20_000) + 0.5) / 20_000 * day
    for hours in (0.5, 3.0, 7.9, 11.0, 25.0, 50.0):
        nights, clock = np.divmod(starts + hours, 24)
        tried = (nights + np.minimum(clock / day, 1) - starts / day).mean()
        assert days_with_nights(hours, day) == pytest.approx(tried, abs=1e-5)


def test_stage_in_a_two_shift_shop() -> None:
    """24 working hours are a day and a half where the shop works 16 hours a day."""
    stage = Stage("s", "s", "shop", "vehicle", 1, 24, 24, 24)
    assert stage_time(stage, 16).mean_days == pytest.approx(1.5)
