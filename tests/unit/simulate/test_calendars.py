"""Clock and working minutes against counting minute by minute."""

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pacewright.simulate.calendars import DAY, Clock, stretch_of
from pacewright.simulate.table import FAR
from small_works import small_works

DAYS = 24


@st.composite
def clocks(draw: st.DrawFn) -> Clock:
    """Clocks over 24 days with two calendars and any days worked."""
    worked = draw(st.lists(st.booleans(), min_size=DAYS, max_size=DAYS))
    workday = [d for d, one in enumerate(worked) if one]
    lengths = draw(st.lists(st.integers(1, DAY), min_size=2, max_size=2))
    return Clock(
        workday=workday,
        before=[sum(worked[:d]) for d in range(DAYS + 1)],
        minutes=lengths,
        open_minute=draw(st.integers(0, DAY - 1)),
    )


def opens(clock: Clock, k: int) -> list[bool]:
    """For each minute of the days whether calendar k works, by its definition."""
    minutes = [False] * (DAY * (DAYS + 2))
    for day in clock.workday:
        begin = day * DAY + clock.open_minute
        minutes[begin : begin + clock.minutes[k]] = [True] * clock.minutes[k]
    return minutes


@settings(max_examples=60, deadline=None)
@given(clocks(), st.integers(0, DAY * (DAYS - 4)), st.integers(0, 3000), st.integers(0, 1))
def test_work_ends_where_counting_ends(clock: Clock, t: int, work: int, k: int) -> None:
    """open_from, is_open and end_of_work give what counting minute by minute gives."""
    minutes = opens(clock, k)
    begin = next((m for m in range(t, len(minutes)) if minutes[m]), FAR)
    assert clock.open_from(k, t) == begin
    assert clock.is_open(k, t) == minutes[t]
    left, m = work, begin
    while left > 0 and m < len(minutes):
        left -= minutes[m]
        m += 1
    end = clock.end_of_work(k, t, work)
    if work == 0:
        assert end == begin
    elif left == 0:
        assert end == m
    else:
        assert end == FAR


@settings(max_examples=60, deadline=None)
@given(clocks(), st.integers(0, DAY * DAYS - 1), st.integers(0, 1))
def test_worked_minutes_are_counted(clock: Clock, t: int, k: int) -> None:
    """worked is the number of open minutes before t; next_day the next opening."""
    assert clock.worked(t, k) == sum(opens(clock, k)[:t])
    later = [i for i, day in enumerate(clock.workday) if day * DAY + clock.open_minute >= t]
    assert clock.next_day(t) == (later[0] if later else len(clock.workday))


@settings(max_examples=60, deadline=None)
@given(clocks(), st.integers(0, DAY * 3), st.integers(1, 2000))
def test_work_done_is_work_asked(clock: Clock, t: int, work: int) -> None:
    """Between t and the end of the work exactly so many minutes of calendar 0 are worked."""
    end = clock.end_of_work(0, t, work)
    if end != FAR:
        assert clock.worked(end) - clock.worked(t) == work


def test_the_stretch_of_a_works() -> None:
    """Days of the small works: holidays and shutdown closed, lengths of its shops, first shift."""
    works = small_works()
    stretch = stretch_of(works, 30, 2)
    days = stretch.days
    assert stretch.monday == date(2026, 3, 9)
    assert (days.start, days.measure_from, days.end) == (0, 14 * DAY, 210 * DAY)
    # Easter Friday 3 April is day 25; the first shutdown day, 3 August, is day 147.
    assert 24 in days.workday
    assert 25 not in days.workday
    assert not set(range(147, 159)) & set(days.workday.tolist())
    assert days.minutes.tolist() == [480, 960]
    assert days.open_minute == 7 * 60
    assert stretch.working_day(date(2026, 3, 6), works) == -1
    assert stretch.working_day(date(2026, 3, 9), works) == 0
    assert stretch.working_day(date(2026, 4, 3), works) == 19
    assert stretch.calendar_of(16) == 1
    with pytest.raises(ValueError, match="not in"):
        stretch.calendar_of(5)
