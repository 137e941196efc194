"""Promises beside forecasts: a row a vehicle, first and current promise, and the forecast range."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from pacewright.reports.drawings.date_axis import DateAxis, axis_of
from pacewright.reports.drawings.svg import (
    Drawing,
    circle,
    drawing,
    group,
    line,
    num,
    path,
    rect,
    words,
)
from pacewright.reports.written import day

LEFT, TOP, WIDE, TALL = 118.0, 46.0, 760.0, 26.0


@dataclass(frozen=True, slots=True)
class PromiseRow:
    """One vehicle.

    Parameters
    ----------
    name : as people read it.
    first, promise : first and current promise of the visit; None: none was made.
    expected, earliest, latest : of the forecast; latest None with an expected day: beyond the time
        run through.
    scheduled : ready by the schedule; None: no date.
    """

    name: str
    first: date | None
    promise: date | None
    expected: datetime | None = None
    earliest: datetime | None = None
    latest: datetime | None = None
    scheduled: date | None = None

    @property
    def late(self) -> bool:
        """True when it is expected after the current promise."""
        told = self.expected.date() if self.expected else self.scheduled
        return bool(self.promise and told and told > self.promise)


def promise_rows(
    name: str, said: tuple[str, str], now: datetime, rows: Sequence[PromiseRow]
) -> Drawing:
    """The rows over a line of dates.

    Parameters
    ----------
    name : single on the page.
    said : title, and what is shown.
    """
    moments = [
        moment
        for row in rows
        for moment in (
            row.first,
            row.promise,
            row.scheduled,
            row.expected,
            row.earliest,
            row.latest,
        )
    ]
    axis = axis_of(moments, now, (LEFT, LEFT + WIDE))
    base = TOP + TALL * len(rows)
    late = sum(row.late for row in rows)
    return drawing(
        name,
        (LEFT + WIDE + 24, base + 22),
        (said[0], f"{said[1]} {len(rows)} vehicles, {late} expected after the current promise."),
        _key(),
        axis.marks(TOP, base),
        *(_row(axis, TOP + TALL * place, row) for place, row in enumerate(rows)),
        axis.now(now, TOP, base),
    )


def _key() -> str:
    x, y = LEFT, 12.0
    return group(
        "key",
        _diamond(x + 6, y - 4), words(x + 16, y, "first promise", "tick"),
        line((x + 112, y - 11), (x + 112, y + 3), "promised"),
        words(x + 120, y, "current promise", "tick"),
        rect(x + 222, y - 8, (28, 8), "ranked"), circle(x + 236, y - 4, 4.2, "here"),
        words(x + 256, y, "forecast: range and mean", "tick"),
        path(f"M{num(x + 408)} {num(y - 9)}l5 9h-10z", "pointer"),
        words(x + 418, y, "by the schedule", "tick"),
        words(x + 524, y, "▲ after the promise", "tick strong"),
    )  # fmt: skip


def _diamond(x: float, y: float) -> str:
    return path(f"M{num(x)} {num(y - 6)}l6 6l-6 6l-6 -6z", "against")


def _row(axis: DateAxis, top: float, row: PromiseRow) -> str:
    middle = top + TALL / 2
    found = [
        words(LEFT - 10, middle + 4, ("▲ " if row.late else "") + row.name,
              "rowname strong end" if row.late else "rowname end"),
        line((LEFT, middle), (LEFT + WIDE, middle), "track"),
    ]  # fmt: skip
    if row.earliest is not None:
        low = axis.x(row.earliest)
        high = axis.x(row.latest) if row.latest else LEFT + WIDE
        found.append(rect(low, middle - 5, (max(3.0, high - low), 10), "ranked", _range_said(row)))
    if row.scheduled is not None:
        x = axis.x_end(row.scheduled)
        found.append(path(f"M{num(x)} {num(middle + 2)}l5 9h-10z", "pointer",
                          f"{row.name}: {day(row.scheduled)} by the schedule"))  # fmt: skip
    if row.promise is not None:
        x = axis.x_end(row.promise)
        found.append(line((x, top + 3), (x, top + TALL - 3), "promised"))
    if row.first is not None:
        found.append(_diamond(axis.x_end(row.first), middle))
    if row.expected is not None:
        found.append(circle(axis.x(row.expected), middle, 4.2, "here short" if row.late else "here",
                            _range_said(row)))  # fmt: skip
    return group("promiserow", *found)


def _range_said(row: PromiseRow) -> str:
    mean = day(row.expected.date()) if row.expected else "not in most runs"
    first = day(row.earliest.date()) if row.earliest else "-"
    last = day(row.latest.date()) if row.latest else "beyond the time run through"
    return f"{row.name}: expected {mean}, range {first} to {last}"
