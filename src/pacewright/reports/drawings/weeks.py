"""The week axis shared by all drawings over the horizon, so that they can be read down the page."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from pacewright.reports.drawings.svg import group, line, rect, words
from pacewright.reports.written import MONTHS

LEFT, RIGHT = 132.0, 20.0


@dataclass(frozen=True, slots=True)
class WeekAxis:
    """Weeks laid out from left to right.

    Parameters
    ----------
    mondays : the Monday of each week.
    closed : places of the weeks without a working day.
    zones : (name, first week, week after the last) in order.
    """

    mondays: tuple[date, ...]
    closed: tuple[int, ...]
    zones: tuple[tuple[str, int, int], ...]

    @property
    def step(self) -> float:
        """Width of one week."""
        return max(4.0, min(24.0, 980.0 / max(1, len(self.mondays))))

    @property
    def width(self) -> float:
        """Width of the whole drawing."""
        return LEFT + self.end - LEFT + RIGHT

    @property
    def end(self) -> float:
        """Where the last week ends."""
        return LEFT + self.step * len(self.mondays)

    def x(self, week: float) -> float:
        """Left edge of a week."""
        return LEFT + week * self.step

    def of(self, day: date) -> float:
        """Place of a day, kept inside the horizon."""
        if not self.mondays:
            return LEFT
        weeks = (day - self.mondays[0]).days / 7
        return self.x(min(float(len(self.mondays)), max(0.0, weeks)))

    def months(self, base: float) -> str:
        """Month ticks and names below ``base``; every third month when weeks are narrow."""
        marks = []
        every = 3 if self.step < 12 else 1
        for day in _first_days(self.mondays):
            if (day.month - 1) % every:
                continue
            x = self.of(day)
            new_year = day.month == 1
            marks.append(line((x, base), (x, base + (9 if new_year else 5)), "axis"))
            name = MONTHS[day.month - 1]
            if x + 22 < self.end:
                marks.append(words(x + 3, base + 14, f"{name} {day.year}" if new_year else name,
                                   "tick strong" if new_year else "tick"))  # fmt: skip
        return group("months", line((LEFT, base), (self.end, base), "axis"), *marks)

    def shutdowns(self, top: float, height: float) -> str:
        """Bands over the weeks in which the works is closed."""
        runs: list[list[int]] = []
        for week in self.closed:
            if runs and runs[-1][1] == week:
                runs[-1][1] = week + 1
            else:
                runs.append([week, week + 1])
        return group(
            "closed",
            *(
                rect(self.x(a), top, ((b - a) * self.step, height), "shut", "works closed")
                for a, b in runs
            ),
        )

    def zone_strip(self, top: float) -> str:
        """Names of the zones over their weeks."""
        parts = []
        for name, first, after in self.zones:
            x, width = self.x(first), (after - first) * self.step
            parts.append(rect(x + 0.5, top, (max(0.0, width - 1), 3), f"zone {name}"))
            parts.append(words(x + 2, top + 15, name, "tick strong"))
        return group("zones", *parts)

    def zone_edges(self, top: float, bottom: float) -> str:
        """A line where one zone gives way to the next."""
        return group(
            "edges",
            *(line((self.x(f), top), (self.x(f), bottom), "edge") for _, f, _ in self.zones[1:]),
        )


def _first_days(mondays: Sequence[date]) -> list[date]:
    if not mondays:
        return []
    day, found = mondays[0].replace(day=1), []
    last = mondays[-1] + timedelta(days=6)
    while day <= last:
        if day >= mondays[0]:
            found.append(day)
        day = (day + timedelta(days=32)).replace(day=1)
    return found
