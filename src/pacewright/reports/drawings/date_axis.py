"""A line of dates on which other drawings stand: weeks or months, today, and closed weekends."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import ceil

from pacewright.reports.drawings.svg import group, line, words
from pacewright.reports.written import MONTHS

_LEAST_GAP = 58.0
"""Space between two written dates, so that none runs into the next."""


@dataclass(frozen=True, slots=True)
class DateAxis:
    """Maps dates from ``first`` to the end of ``last`` onto ``start``..``end``."""

    first: date
    last: date
    start: float
    end: float

    @property
    def days(self) -> int:
        """Calendar days shown."""
        return max(1, (self.last - self.first).days + 1)

    def x(self, moment: date | datetime) -> float:
        """Place of a moment; of a date its beginning; kept inside the axis."""
        passed = float(moment.toordinal() - self.first.toordinal())
        if isinstance(moment, datetime):
            passed += (moment.hour + moment.minute / 60) / 24
        return self.start + min(max(passed / self.days, 0.0), 1.0) * (self.end - self.start)

    def x_end(self, day: date) -> float:
        """Place at which a day is over."""
        return self.x(day + timedelta(days=1))

    def marks(self, top: float, base: float) -> str:
        """Lines at the start of weeks, with their dates above ``top``."""
        found = []
        for day in self._mondays():
            x = self.x(day)
            found.append(line((x, top), (x, base), "grid"))
            found.append(words(x + 3, top - 6, short(day), "tick"))
        return group("scale", *found)

    def now(self, moment: datetime, top: float, base: float, said: str = "now") -> str:
        """A strong line at the present, named."""
        x = self.x(moment)
        near_end = x > self.end - 40
        return group(
            "now",
            line((x, top - 2), (x, base), "paceline"),
            words(x + (-4 if near_end else 4), base + 13, said,
                  "tick strong end" if near_end else "tick strong"),
        )  # fmt: skip

    def _mondays(self) -> list[date]:
        monday = self.first + timedelta(days=-self.first.weekday() % 7)
        a_week = (self.end - self.start) * 7 / self.days
        step = max(1, ceil(_LEAST_GAP / a_week))
        return [
            monday + timedelta(weeks=n)
            for n in range(0, self.days // 7 + 1, step)
            if monday + timedelta(weeks=n) <= self.last
        ]


def axis_of(
    moments: Iterable[date | datetime | None], now: datetime, reach: tuple[float, float]
) -> DateAxis:
    """The axis that holds all moments and the present.

    Parameters
    ----------
    reach : where it starts and ends on the paper.
    """
    days = [now.date()]
    days += [one.date() if isinstance(one, datetime) else one for one in moments if one]
    return DateAxis(min(days), max(days) + timedelta(days=1), *reach)


def short(day: date) -> str:
    """A date without its year.

    Examples
    --------
    >>> short(date(2026, 3, 9))
    '9 Mar'
    """
    return f"{day.day} {MONTHS[day.month - 1]}"
