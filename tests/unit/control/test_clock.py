"""The clock of the works: working days and moments."""

from datetime import date, datetime, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacewright.base.settings import Shift
from pacewright.control.clock import WorksClock, clock_of
from small_works import SETTINGS, small_works

NOW = datetime(2026, 3, 2, 9, 0)
"""A Monday; the small works works from 7:00 to 15:30, half an hour of it break."""
CLOCK = clock_of(small_works(), NOW)


def test_a_day_passes_from_its_start_to_its_end() -> None:
    """The day is whole at 7:00, half gone half way through its shift, gone at 15:30."""
    start = CLOCK.day_of(datetime(2026, 3, 2, 7, 0))
    assert start == int(start)
    assert CLOCK.day_of(datetime(2026, 3, 2, 11, 15)) - start == pytest.approx(0.5)
    assert CLOCK.day_of(datetime(2026, 3, 2, 15, 30)) - start == pytest.approx(1)
    assert CLOCK.day_of(datetime(2026, 3, 2, 23, 0)) - start == pytest.approx(1)
    assert CLOCK.day_of(datetime(2026, 3, 3, 5, 0)) - start == pytest.approx(1)


def test_days_not_worked_do_not_count() -> None:
    """From Thursday evening over Good Friday 3 April 2026 to Monday morning nothing passes."""
    evening = datetime(2026, 4, 2, 15, 30)
    monday = datetime(2026, 4, 6, 7, 0)
    assert CLOCK.days_between(evening, monday) == pytest.approx(0)
    assert CLOCK.days_between(datetime(2026, 4, 2, 7), datetime(2026, 4, 7, 7)) == pytest.approx(2)
    assert CLOCK.days_between(monday, evening) == 0


def test_what_ends_with_a_day_ends_in_its_evening() -> None:
    """Day 5 on the dot begins on the morning of one day, and ends what ended the evening before."""
    monday = CLOCK.day_of(datetime(2026, 3, 9, 7, 0))
    assert CLOCK.moment_of(monday) == datetime(2026, 3, 9, 7, 0)
    assert CLOCK.end_of(monday) == datetime(2026, 3, 6, 15, 30)
    assert CLOCK.date_of(monday) == date(2026, 3, 6)
    assert CLOCK.start_of_day(monday + 0.7) == monday


def test_beyond_its_days_there_is_no_date() -> None:
    """What never comes, or comes years from now, has no date."""
    assert CLOCK.moment_of(float("inf")) is None
    assert CLOCK.moment_of(1e6) is None
    assert CLOCK.date_of(-5) is None


def test_a_night_shift_belongs_to_the_day_it_began() -> None:
    """With shifts from 6:00, 14:00 and 22:00 five in the morning is the end of the day before."""
    shifts = tuple(
        Shift(name, time(start), time((start + 8) % 24), 30.0)
        for name, start in (("early", 6), ("late", 14), ("night", 22))
    )
    calendar = CLOCK.calendar
    round_the_clock = WorksClock(
        type(calendar)(calendar.weekdays, calendar.closed, calendar.first, calendar.last, 3 * 7.5),
        shifts,
    )
    start = round_the_clock.day_of(datetime(2026, 3, 6, 6, 0))
    assert round_the_clock.day_of(datetime(2026, 3, 7, 2, 0)) - start == pytest.approx(2.5 / 3)
    assert round_the_clock.moment_of(start + 2.5 / 3) == datetime(2026, 3, 7, 2, 0)
    assert round_the_clock.day_of(datetime(2026, 3, 7, 12, 0)) - start == pytest.approx(1)


@given(st.floats(min_value=1, max_value=500))
def test_a_working_moment_is_found_back(day: float) -> None:
    """From a working day to its moment and back is the same, to the minute."""
    moment = CLOCK.moment_of(day)
    assert moment is not None
    assert CLOCK.day_of(moment) == pytest.approx(day, abs=1 / 60 / 8 + 1e-9)


def test_the_settings_are_those_of_the_works() -> None:
    """The clock takes shifts and calendar from works.toml."""
    assert "07:00:00" in SETTINGS
    assert CLOCK.shifts[0].starts == time(7)
