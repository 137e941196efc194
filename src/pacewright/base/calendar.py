"""The works calendar: which days are worked, counted in working days and weeks."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta


@dataclass(frozen=True, slots=True)
class Week:
    """One calendar week, Monday to Sunday, and the days of it that are worked."""

    index: int
    monday: date
    working_days: tuple[date, ...]

    @property
    def sunday(self) -> date:
        return self.monday + timedelta(days=6)

    @property
    def label(self) -> str:
        """ISO 8601 week, e.g. ``2026-W46``."""
        year, week, _ = self.monday.isocalendar()
        return f"{year}-W{week:02d}"


@dataclass(frozen=True)
class WorkCalendar:
    """Working days between two dates and arithmetic on them.

    Parameters
    ----------
    weekdays : weekdays that are worked, Monday 0.
    closed : dates not worked (holidays and every day of each shutdown).
    first, last : the stretch the calendar covers; outside it ``ValueError`` is raised.
    hours_a_day : working hours of one working day [h].
    """

    weekdays: frozenset[int]
    closed: frozenset[date]
    first: date
    last: date
    hours_a_day: float
    days: tuple[date, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        stretch = (self.last - self.first).days + 1
        every = (self.first + timedelta(days=n) for n in range(stretch))
        worked = tuple(d for d in every if d.weekday() in self.weekdays and d not in self.closed)
        object.__setattr__(self, "days", worked)

    def is_working(self, day: date) -> bool:
        """True when the works works on ``day``."""
        return day.weekday() in self.weekdays and day not in self.closed

    def count(self, first: date, last: date) -> int:
        """Working days from ``first`` to ``last``, both included."""
        return max(0, bisect_right(self.days, last) - bisect_left(self.days, first))

    def add(self, day: date, working_days: int) -> date:
        """The working day that lies ``working_days`` after ``day`` (0: first on or after it)."""
        place = bisect_left(self.days, day) + working_days
        if not 0 <= place < len(self.days):
            raise ValueError(f"{day} + {working_days} working days lies outside the calendar")
        return self.days[place]

    def weeks(self, start: date, count: int) -> tuple[Week, ...]:
        """``count`` weeks from the week of ``start`` on; days before ``start`` do not count."""
        monday = start - timedelta(days=start.weekday())
        found = []
        for index in range(count):
            first = monday + timedelta(weeks=index)
            low = bisect_left(self.days, max(first, start))
            high = bisect_right(self.days, first + timedelta(days=6))
            found.append(Week(index, first, self.days[low:high]))
        return tuple(found)


def closed_days(
    holidays: Iterable[date], shutdowns: Iterable[tuple[date, date]]
) -> frozenset[date]:
    """Every date not worked: holidays, and each shutdown from first to last day."""
    shut = (
        first + timedelta(days=n)
        for first, last in shutdowns
        for n in range((last - first).days + 1)
    )
    return frozenset(holidays) | frozenset(shut)
