"""The works calendar against numpy's business-day functions, an independent library."""

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pacewright.base.calendar import WorkCalendar, closed_days

FIRST, LAST = date(2026, 1, 1), date(2027, 12, 31)
DAYS = st.dates(FIRST, LAST)
CLOSED = st.frozensets(DAYS, max_size=40)
WEEKDAYS = st.frozensets(st.integers(0, 6), min_size=1)


def calendar(weekdays: frozenset[int], closed: frozenset[date]) -> WorkCalendar:
    """A calendar over two years."""
    return WorkCalendar(weekdays, closed, FIRST, LAST, 8.0)


def numpy_calendar(weekdays: frozenset[int], closed: frozenset[date]) -> np.busdaycalendar:
    """The same calendar in numpy."""
    mask = [day in weekdays for day in range(7)]
    return np.busdaycalendar(weekmask=mask, holidays=np.array(sorted(closed), "datetime64[D]"))


@settings(max_examples=60, deadline=None)
@given(WEEKDAYS, CLOSED, DAYS, DAYS)
def test_count_agrees_with_busday_count(
    weekdays: frozenset[int], closed: frozenset[date], one: date, other: date
) -> None:
    """Working days between two dates, both included, as numpy counts them up to the day after."""
    first, last = min(one, other), max(one, other)
    expected = np.busday_count(
        first, last + timedelta(days=1), busdaycal=numpy_calendar(weekdays, closed)
    )
    assert calendar(weekdays, closed).count(first, last) == expected


def test_count_backwards_is_nought() -> None:
    """From a later to an earlier day there is no working day."""
    assert calendar(frozenset(range(5)), frozenset()).count(date(2026, 3, 9), date(2026, 3, 2)) == 0


@settings(max_examples=60, deadline=None)
@given(WEEKDAYS, CLOSED, DAYS, st.integers(0, 30))
def test_add_agrees_with_busday_offset(
    weekdays: frozenset[int], closed: frozenset[date], day: date, count: int
) -> None:
    """The day so many working days on, rolled forward first; outside the calendar it is refused."""
    expected = np.busday_offset(
        day, count, roll="forward", busdaycal=numpy_calendar(weekdays, closed)
    ).astype(date)
    ours = calendar(weekdays, closed)
    if expected <= LAST:
        assert ours.add(day, count) == expected
    else:
        with pytest.raises(ValueError, match="outside the calendar"):
            ours.add(day, count)


@settings(max_examples=60, deadline=None)
@given(WEEKDAYS, CLOSED, DAYS)
def test_is_working_agrees_with_is_busday(
    weekdays: frozenset[int], closed: frozenset[date], day: date
) -> None:
    """A day is worked when numpy says so."""
    expected = np.is_busday(day, busdaycal=numpy_calendar(weekdays, closed))
    assert calendar(weekdays, closed).is_working(day) == expected


@settings(max_examples=40, deadline=None)
@given(WEEKDAYS, CLOSED, st.dates(FIRST, date(2027, 6, 1)), st.integers(1, 30))
def test_weeks_hold_every_working_day_once(
    weekdays: frozenset[int], closed: frozenset[date], start: date, count: int
) -> None:
    """Weeks run Monday to Sunday and together hold the days that numpy counts from the start on."""
    weeks = calendar(weekdays, closed).weeks(start, count)
    assert [week.index for week in weeks] == list(range(count))
    assert all(week.monday.weekday() == 0 and week.sunday.weekday() == 6 for week in weeks)
    held = [day for week in weeks for day in week.working_days]
    assert held == sorted(set(held))
    after = weeks[-1].sunday + timedelta(days=1)
    assert len(held) == np.busday_count(start, after, busdaycal=numpy_calendar(weekdays, closed))


@pytest.mark.parametrize(
    ("day", "label"),
    [
        # ISO 8601 week dates, examples of the standard's week rule, from memory.
        (date(2008, 12, 29), "2009-W01"),
        (date(2010, 1, 3), "2009-W53"),
        (date(2026, 12, 31), "2026-W53"),
        (date(2027, 1, 4), "2027-W01"),
    ],
)
def test_week_label_is_the_iso_week(day: date, label: str) -> None:
    """A week is named by ISO 8601: week 1 holds the year's first Thursday."""
    wide = WorkCalendar(frozenset(range(5)), frozenset(), date(2008, 1, 1), date(2028, 1, 1), 8.0)
    assert wide.weeks(day, 1)[0].label == label


def test_shutdowns_close_every_day_from_first_to_last() -> None:
    """Three weeks of shutdown and a holiday close 22 days."""
    closed = closed_days([date(2026, 12, 25)], [(date(2026, 8, 3), date(2026, 8, 23))])
    assert len(closed) == 22
    assert calendar(frozenset(range(5)), closed).count(date(2026, 8, 1), date(2026, 8, 31)) == 6
