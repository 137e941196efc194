"""Clock minutes and working minutes: when work goes on, and when so much of it is done."""

from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from pacewright.simulate.table import FAR, Days
from pacewright.works import Works

DAY = 1440
"""Minutes of a day."""


@dataclass(frozen=True)
class Clock:
    """The calendars of a table on plain integers.

    Parameters
    ----------
    workday, before, minutes, open_minute : as in ``Days``.
    """

    workday: list[int]
    before: list[int]
    minutes: list[int]
    open_minute: int

    @classmethod
    def of(cls, days: Days) -> "Clock":
        """The clock of the days of a table."""
        return cls(
            days.workday.tolist(), days.before.tolist(), days.minutes.tolist(), days.open_minute
        )

    def opening(self, i: int) -> int:
        """Minute at which working day ``i`` begins; FAR beyond the table."""
        return self.workday[i] * DAY + self.open_minute if i < len(self.workday) else FAR

    def next_day(self, t: int) -> int:
        """The first working day that begins at minute ``t`` or later."""
        d = (t - self.open_minute + DAY - 1) // DAY
        return self.before[d] if d < len(self.before) else len(self.workday)

    def place(self, k: int, t: int) -> tuple[int, int]:
        """First working moment of calendar ``k`` from ``t`` on: working day, minutes into it."""
        d = (t - self.open_minute) // DAY
        if d < 0:
            return 0, 0
        if d + 1 >= len(self.before):
            return len(self.workday), 0
        i, after = self.before[d], self.before[d + 1]
        into = t - self.open_minute - d * DAY
        return (i, into) if after > i and into < self.minutes[k] else (after, 0)

    def is_open(self, k: int, t: int) -> bool:
        """True when calendar ``k`` works at minute ``t``."""
        return self.open_from(k, t) == t

    def open_from(self, k: int, t: int) -> int:
        """The first minute from ``t`` on at which calendar ``k`` works."""
        i, into = self.place(k, t)
        begin = self.opening(i)
        return begin if begin == FAR else begin + into

    def end_of_work(self, k: int, t: int, work: int) -> int:
        """The minute at which ``work`` minutes, begun at ``t`` or at the next opening, are done.

        It may be the very minute of closing, but not that of the next opening.
        """
        i, into = self.place(k, t)
        if work <= 0 or i >= len(self.workday):
            return self.open_from(k, t)
        total = into + work
        full = (total - 1) // self.minutes[k]
        begin = self.opening(i + full)
        return begin if begin == FAR else begin + total - full * self.minutes[k]

    def worked(self, t: int, k: int = 0) -> int:
        """Working minutes of calendar ``k`` from minute 0 to minute ``t``."""
        d = (t - self.open_minute) // DAY
        if d < 0:
            return 0
        length = self.minutes[k]
        if d + 1 >= len(self.before):
            return len(self.workday) * length
        full, after = self.before[d], self.before[d + 1]
        into = t - self.open_minute - d * DAY
        return full * length + (min(length, into) if after > full else 0)


@dataclass(frozen=True)
class Stretch:
    """The days of a run.

    Parameters
    ----------
    monday : day 0.
    first : first day run.
    weeks : weeks run from the week of ``first`` on.
    lengths : minutes a day of every calendar, the works' own first.
    days : the rows of the table.
    """

    monday: date
    first: date
    weeks: int
    lengths: tuple[int, ...]
    days: Days

    def calendar_of(self, hours_a_day: float) -> int:
        """The calendar with so many hours a day."""
        return self.lengths.index(round(hours_a_day * 60))

    def minute(self, day: date) -> int:
        """Midnight at which ``day`` begins; 0 for days before the run."""
        return max(0, (day - self.monday).days * DAY)

    def working_day(self, day: date, works: Works) -> int:
        """Number of the first working day from ``day`` on; negative before day 0."""
        if day >= self.monday:
            return int(self.days.before[min((day - self.monday).days, len(self.days.before) - 1)])
        return -works.calendar.count(day, self.monday - timedelta(days=1))


def stretch_of(works: Works, weeks: int, measure_from_week: int) -> Stretch:
    """The days of a run of so many weeks from the plan's start.

    Parameters
    ----------
    works : its calendar, and the hours of its shops.
    weeks : weeks run, 1 or more.
    measure_from_week : first week that counts in the time integrals, 0 the week of the start.
    """
    first = works.settings.plan.start
    stretch = stretch_from(works, first - timedelta(days=first.weekday()), first, weeks)
    days = stretch.days
    measure_from = max(days.start, measure_from_week * 7 * DAY)
    return replace(stretch, days=replace(days, measure_from=measure_from))


def stretch_from(works: Works, monday: date, first: date, weeks: int) -> Stretch:
    """The days of so many weeks from a Monday on, run from a day on.

    Parameters
    ----------
    works : its calendar, and the hours of its shops.
    monday : day 0.
    first : first day run.
    weeks : weeks from ``monday`` on, 1 or more.
    """
    # A fortnight more, so that the last moments of the run still see an opening.
    count = (weeks + 2) * 7
    calendar = works.settings.calendar.calendar(monday, monday + timedelta(days=count - 1))
    workday = np.array([(day - monday).days for day in calendar.days], np.int64)
    own = round(calendar.hours_a_day * 60)
    lengths = [own, *(round(hours * 60) for hours in works.shop_hours_a_day.values())]
    starts = works.settings.calendar.shifts[0].starts
    start = (first - monday).days * DAY
    days = Days(
        workday=workday,
        before=np.searchsorted(workday, np.arange(count + 1)).astype(np.int64),
        minutes=np.array(list(dict.fromkeys(lengths)), np.int64),
        open_minute=starts.hour * 60 + starts.minute,
        start=start,
        measure_from=start,
        end=weeks * 7 * DAY,
    )
    return Stretch(monday, first, weeks, tuple(days.minutes.tolist()), days)
