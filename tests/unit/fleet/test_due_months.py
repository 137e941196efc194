"""Months on the calendar against the rule of law and against numpy's month arithmetic."""

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacewright.fleet.months import EARLY_DAY, FAR_DAY, add_days, add_months


@pytest.mark.parametrize(
    ("start", "months", "end"),
    [
        # German Civil Code section 188(2): the day with the same number.
        (date(2024, 1, 15), 12, date(2025, 1, 15)),
        (date(2024, 2, 29), 48, date(2028, 2, 29)),
        (date(2023, 11, 30), 1, date(2023, 12, 30)),
        (date(2025, 2, 28), 1, date(2025, 3, 28)),
        # Section 188(3): where the month lacks the number, its last day.
        (date(2023, 1, 31), 1, date(2023, 2, 28)),
        (date(2024, 1, 31), 1, date(2024, 2, 29)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2023, 8, 31), 42, date(2027, 2, 28)),
        (date(2024, 3, 31), 1, date(2024, 4, 30)),
        # Section 189(2): whole months and a half: 15 days, counted last.
        (date(2024, 1, 31), 1.5, date(2024, 3, 15)),
        (date(2026, 3, 2), 0.5, date(2026, 3, 17)),
    ],
)
def test_months_end_as_the_law_counts_them(start: date, months: float, end: date) -> None:
    """German Civil Code (BGB) sections 188 and 189, text read; the cases are worked by hand."""
    assert add_months(start, months) == end


@given(st.dates(date(1950, 1, 1), date(2200, 12, 31)), st.integers(0, 600))
def test_whole_months_agree_with_numpy(start: date, months: int) -> None:
    """Month and year as numpy's month arithmetic; the day is the same or the month's last."""
    end = add_months(start, months)
    month = np.datetime64(start, "M") + months
    last = (month + 1).astype("datetime64[D]") - np.timedelta64(1, "D")
    assert np.datetime64(end, "M") == month
    assert end.day == min(start.day, last.astype(date).day)


@given(st.dates(date(1950, 1, 1), date(2200, 12, 31)), st.floats(0, 1e9), st.floats(0, 1e9))
def test_more_months_never_end_earlier(start: date, one: float, other: float) -> None:
    """A longer interval ends on the same day or later, whatever its fraction and size."""
    shorter, longer = sorted((one, other))
    # Parts of a month are days rounded, so that 0.99 months may pass the end of February.
    assert add_months(start, shorter) <= add_months(start, longer) + timedelta(days=3)
    assert start <= add_months(start, shorter) <= FAR_DAY


@given(st.dates(date(1950, 1, 1), date(2200, 12, 31)), st.integers(-10_000, 50_000))
def test_whole_days_agree_with_the_standard_library(day: date, days: int) -> None:
    """Adding whole days is plain date arithmetic; a hair less than whole is whole."""
    assert add_days(day, days) == day + timedelta(days=days)
    assert add_days(day, days - 1e-9) == day + timedelta(days=days)
    assert add_days(day, days + 0.5) == day + timedelta(days=days)


@pytest.mark.parametrize(("days", "end"), [(1e300, FAR_DAY), (1e6, FAR_DAY), (-1e300, EARLY_DAY)])
def test_days_beyond_the_calendar_stop_at_its_ends(days: float, end: date) -> None:
    """However many days, the result is a date."""
    assert add_days(date(2026, 1, 1), days) == end
