"""What each vehicle waits for: a bar from the day a unit is needed to the day it is expected."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from pacewright.reports.drawings.scale import Scale
from pacewright.reports.drawings.svg import (
    Drawing,
    drawing,
    group,
    line,
    num,
    path,
    rect,
    within,
    words,
)
from pacewright.reports.written import day as written
from pacewright.reports.written import number, share

LEFT, WIDE, TOP, ROW = 240.0, 1120.0, 34.0, 30.0
RIGHT = 190.0
"""Room for the figures after the bars."""

MOST_SIGNS = 36


@dataclass(frozen=True, slots=True)
class Wait:
    """One row.

    Parameters
    ----------
    name : what is waited for; ``under`` who waits.
    expected : None: none in sight; the bar then ends in an arrow.
    cost : vehicle-days it costs.
    sure : chance that it comes in time after all.
    """

    name: str
    under: str
    needed: date
    expected: date | None
    cost: float
    sure: float


def wait_bars(rows: Sequence[Wait], today: date, until: date) -> Drawing:
    """The bars over one axis of days.

    Parameters
    ----------
    until : last day drawn where none is in sight.
    """
    ends = [one.expected or until for one in rows]
    first = min([today, *(one.needed for one in rows)]) - timedelta(days=1)
    last = max([until, *ends]) + timedelta(days=3)
    scale = Scale(first.toordinal(), last.toordinal(), LEFT, WIDE - RIGHT)
    base = TOP + ROW * len(rows)
    return drawing(
        "waits",
        (WIDE, base + 28),
        (
            "Units that come later than they are needed",
            f"{len(rows)} rows, from the day needed to the day expected; an arrow: none in sight.",
        ),
        _weeks(scale, first, last, base),
        line((scale(today.toordinal()), TOP - 8), (scale(today.toordinal()), base), "edge"),
        words(scale(today.toordinal()) + 3, TOP - 12, "today", "tick strong"),
        *(_row(scale, TOP + ROW * place, one) for place, one in enumerate(rows)),
    )


def _weeks(scale: Scale, first: date, last: date, base: float) -> str:
    found = [line((LEFT, base), (WIDE - RIGHT, base), "axis")]
    day = first + timedelta(days=-first.weekday() % 7)
    each = 7 * max(1, (last - first).days // 70)
    while day <= last:
        x = scale(day.toordinal())
        found.append(line((x, TOP - 4), (x, base + 4), "grid"))
        found.append(words(x, base + 18, written(day).rsplit(" ", 1)[0], "tick mid"))
        day += timedelta(days=each)
    return group("weeks", *found)


def _row(scale: Scale, y: float, one: Wait) -> str:
    start = scale(one.needed.toordinal())
    end = scale(one.expected.toordinal()) if one.expected else WIDE - RIGHT - 10
    came = f"expected {written(one.expected)}" if one.expected else "none in sight"
    says = f"{one.name} for {one.under}: needed {written(one.needed)}, {came}"
    found = [
        words(LEFT - 10, y + 12, within(one.name, MOST_SIGNS), "rowname end"),
        words(LEFT - 10, y + 25, within(one.under, MOST_SIGNS), "tick end"),
        rect(start, y + 6, (max(3.0, end - start), 12), "load slow", says),
    ]
    if one.expected is None:
        found.append(path(f"M{num(end)} {num(y + 3)}l10 9l-10 9z", "load slow"))
    found.append(line((start, y + 2), (start, y + 22), "paceline"))
    cost = f"{number(one.cost)} vehicle-days; {share(one.sure)} in time"
    found.append(words(min(end + 16, WIDE - RIGHT + 8), y + 16, cost, "tick strong"))
    return group("wait", *found)
