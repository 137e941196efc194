"""Turn times one by one over the days they ended, beside the table's figure and those learned."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from pacewright.reports.drawings.date_axis import DateAxis
from pacewright.reports.drawings.scale import Scale, largest, round_steps
from pacewright.reports.drawings.svg import Drawing, circle, drawing, group, line, words
from pacewright.reports.written import number

LEFT, TOP, WIDE, TALL = 54.0, 40.0, 640.0, 210.0
_LEAST_APART = 14.0


@dataclass(frozen=True, slots=True)
class TurnDot:
    """One turn: when it ended and how long it was; ``says`` is shown when pointed at."""

    ended: datetime
    days: float
    says: str


@dataclass(frozen=True, slots=True)
class TurnLine:
    """A figure they are held against, named at the right; ``look`` its class."""

    name: str
    days: float
    look: str


def turn_history(
    dots: Sequence[TurnDot], lines: Sequence[TurnLine], span: tuple[date, date]
) -> Drawing:
    """The dots over the span, the lines through all of it."""
    axis = DateAxis(*span, LEFT, LEFT + WIDE)
    ticks = round_steps(largest([*(one.days for one in dots), *(one.days for one in lines)]), 5)
    up = Scale(0, ticks[-1], TOP + TALL, TOP)
    base = TOP + TALL
    return drawing(
        "turnhistory",
        (LEFT + WIDE + 190, base + 22),
        ("Turn times as they were", _about(dots, lines)),
        words(LEFT - 8, 16, "working days from removal to serviceable; a ring a unit", "tick"),
        axis.marks(TOP, base),
        group("scale", *(line((LEFT, up(t)), (LEFT + WIDE, up(t)), "grid") for t in ticks)),
        group("scale", *(words(LEFT - 8, up(t) + 4, f"{t:,g}", "tick end") for t in ticks)),
        *(circle(axis.x(one.ended), up.held(one.days), 4, "turndot", one.says) for one in dots),
        *_lines(lines, up),
        line((LEFT, base), (LEFT + WIDE, base), "axis"),
    )


def _lines(lines: Sequence[TurnLine], up: Scale) -> list[str]:
    found, last = [], -1e9
    # From above to below, the names pushed apart where two lines lie close.
    for one in sorted(lines, key=lambda each: -each.days):
        y = up.held(one.days)
        name = max(y + 4, last + _LEAST_APART)
        last = name
        found.append(line((LEFT, y), (LEFT + WIDE, y), one.look))
        found.append(words(LEFT + WIDE + 8, name, f"{one.name} {number(one.days)}", "tick strong"))
    return found


def _about(dots: Sequence[TurnDot], lines: Sequence[TurnLine]) -> str:
    said = "; ".join(f"{one.name} {number(one.days)} working days" for one in lines)
    return f"{len(dots)} turns. {said}."
