"""The clock of the works: moments counted in working days, and back."""

from bisect import bisect_left
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cached_property
from math import floor, isfinite

from pacewright.base.calendar import WorkCalendar
from pacewright.base.settings import Shift
from pacewright.works import Works

LOOK_DAYS = 800
"""Calendar days that the clock covers before and after its moment."""

_MOMENT_DAYS = 1e-9
_MINUTES_A_DAY = 24 * 60
_ONE_DAY = timedelta(days=1)


@dataclass(frozen=True)
class WorksClock:
    """Working days as numbers: whole at the start of a day, growing through its shifts.

    Parameters
    ----------
    calendar : the days worked; day 0 is its first.
    shifts : those of a working day, in order; the first begins it. A break is spread evenly
        over its shift.
    """

    calendar: WorkCalendar
    shifts: tuple[Shift, ...]

    @cached_property
    def _spans(self) -> tuple[tuple[float, float, float], ...]:
        # For each shift: hours from the start of the day, hours by the clock, hours worked.
        return tuple(
            (
                (_minutes(one.starts) - self._begins) % _MINUTES_A_DAY / 60,
                one.hours + one.break_minutes / 60,
                one.hours,
            )
            for one in self.shifts
        )

    @cached_property
    def _begins(self) -> int:
        return _minutes(self.shifts[0].starts)

    @cached_property
    def _worked(self) -> tuple[float, ...]:
        # Share of the working day that is over so many minutes after its start.
        hours_a_day = self.calendar.hours_a_day
        return tuple(
            sum(
                min(max(minute / 60 - start, 0.0), length) / length * hours
                for start, length, hours in self._spans
            )
            / hours_a_day
            for minute in range(_MINUTES_A_DAY)
        )

    @cached_property
    def _places(self) -> dict[date, int]:
        return {day: place for place, day in enumerate(self.calendar.days)}

    def day_of(self, moment: datetime) -> float:
        """The moment in working days, to the minute; outside working time the next worked."""
        day = moment.date()
        passed = moment.hour * 60 + moment.minute - self._begins
        if passed < 0:
            day, passed = day - _ONE_DAY, passed + _MINUTES_A_DAY
        place = self._places.get(day)
        if place is None:
            return float(bisect_left(self.calendar.days, day))
        return place + self._worked[passed]

    def moment_of(self, day: float) -> datetime | None:
        """When the working day has come so far; None: not within the days covered."""
        days = self.calendar.days
        if not isfinite(day) or not 0 <= day < len(days):
            return None
        place = floor(day)
        left = (day - place) * self.calendar.hours_a_day
        begin = datetime.combine(days[place], self.shifts[0].starts)
        for start, length, hours in self._spans:
            if left <= hours + _MOMENT_DAYS:
                return _to_minute(begin + timedelta(hours=start + left / hours * length))
            left -= hours
        return _to_minute(begin + timedelta(hours=self._spans[-1][0] + self._spans[-1][1]))

    def end_of(self, day: float) -> datetime | None:
        """As ``moment_of``, but what ends with a day ends in its evening, not next morning."""
        return self.moment_of(day - _MOMENT_DAYS)

    def date_of(self, day: float) -> date | None:
        """The date on which something that ends then ends; None: not within the days covered."""
        moment = self.end_of(day)
        return moment.date() if moment else None

    def start_of_day(self, day: float) -> float:
        """The working day in which ``day`` lies, as its number at its start."""
        return float(floor(day))

    def days_between(self, first: datetime, last: datetime) -> float:
        """Working days from one moment to another, at least none."""
        return max(0.0, self.day_of(last) - self.day_of(first))


def clock_of(works: Works, now: datetime) -> WorksClock:
    """The clock of a works round a moment."""
    settings = works.settings.calendar
    look = timedelta(days=LOOK_DAYS)
    calendar = settings.calendar(now.date() - look, now.date() + look)
    return WorksClock(calendar, settings.shifts)


def _minutes(clock: time) -> int:
    return clock.hour * 60 + clock.minute


def _to_minute(moment: datetime) -> datetime:
    return (moment + timedelta(seconds=30)).replace(second=0, microsecond=0)
