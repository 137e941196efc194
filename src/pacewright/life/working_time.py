"""Moments of the works clock as working days, so that spells can be measured in them."""

from datetime import date, datetime

from pacewright.base.settings import CalendarSettings


class WorkingTime:
    """Counts working days, with their fractions, from the first of a stretch.

    Parameters
    ----------
    settings : when the works works.
    first, last : the stretch; moments outside it count as its ends.

    Notes
    -----
    The working day runs from the start of the first shift to the end of the last; nights, closed
    days and weekends do not count.
    """

    def __init__(self, settings: CalendarSettings, first: date, last: date) -> None:
        calendar = settings.calendar(first, last)
        worked = {day.toordinal() for day in calendar.days}
        self._first = first.toordinal()
        self._last = last.toordinal()
        self._before: list[int] = []
        self._is_worked: list[bool] = []
        count = 0
        for ordinal in range(self._first, self._last + 1):
            self._before.append(count)
            self._is_worked.append(ordinal in worked)
            count += ordinal in worked
        starts = settings.shifts[0].starts
        self._start = starts.hour + starts.minute / 60
        ends = settings.shifts[-1].ends
        length = (ends.hour + ends.minute / 60 - self._start) % 24
        self._length = length or 24.0

    def at(self, moment: datetime) -> float:
        """Working days from the start of the stretch to a moment."""
        place = min(max(moment.toordinal(), self._first), self._last) - self._first
        if not self._is_worked[place]:
            return float(self._before[place])
        past = moment.hour + moment.minute / 60 - self._start
        return self._before[place] + min(max(past / self._length, 0.0), 1.0)

    def days_between(self, first: date, last: date) -> int:
        """Working days after ``first`` up to and with ``last``."""
        return self._until(last) - self._until(first)

    def _until(self, day: date) -> int:
        place = min(max(day.toordinal(), self._first), self._last) - self._first
        return self._before[place] + self._is_worked[place]

    def days_of_week(self, week: int) -> int:
        """Working days of a week by its number."""
        monday = monday_of(week).toordinal() - self._first
        places = range(monday, monday + 7)
        return sum(self._is_worked[n] for n in places if 0 <= n < len(self._is_worked))


def week_of(day: date) -> int:
    """The number of the week of a day, from Monday on; quicker to sort by than its Monday."""
    return (day.toordinal() - 1) // 7


def monday_of(week: int) -> date:
    """The Monday of a week by its number."""
    return date.fromordinal(7 * week + 1)
