"""Units in repair by how long they have been off: a row a place, a ring a unit, stacked."""

from collections.abc import Sequence
from dataclasses import dataclass

from pacewright.reports.drawings.scale import Scale, largest, round_steps
from pacewright.reports.drawings.svg import (
    Drawing,
    circle,
    drawing,
    group,
    line,
    num,
    path,
    within,
    words,
)
from pacewright.reports.written import number

LEFT, TOP, WIDE = 230.0, 56.0, 640.0
EACH = 11.0
"""Width and height of one ring."""
_MOST_SIGNS = 34
_MOST_STACKED = 12


@dataclass(frozen=True, slots=True)
class AgeDot:
    """One unit: days since it came off, and whether that is longer than its law speaks of."""

    days: float
    overdue: bool
    says: str


@dataclass(frozen=True, slots=True)
class AgeRow:
    """One place."""

    name: str
    dots: Sequence[AgeDot]


def age_strip(rows: Sequence[AgeRow], mean_days: float, overdue_days: float) -> Drawing:
    """The rows over one scale of working days.

    Parameters
    ----------
    mean_days : turn time expected. ``overdue_days`` : from which a unit is overdue.
    """
    ages = [dot.days for row in rows for dot in row.dots]
    ticks = round_steps(largest([*ages, mean_days]) * 1.05, 6)
    across = Scale(0, ticks[-1], LEFT, LEFT + WIDE)
    found, base = [], TOP
    for row in rows:
        stacks = _stacks(across, row.dots)
        base += 14 + EACH * min(_MOST_STACKED, max(map(len, stacks.values()), default=1))
        found.append(_row(base, row, stacks))
    overdue = sum(dot.overdue for row in rows for dot in row.dots)
    said = f"{len(ages)} units, {overdue} overdue; a turn takes {number(mean_days)} on the mean."
    marks = [_mark(across, mean_days, (TOP - 24, base), f"mean turn {number(mean_days)}")]
    if overdue_days < ticks[-1]:
        marks.append(_mark(across, overdue_days, (TOP - 8, base), "overdue from here", "edge"))
    return drawing(
        "agestrip",
        (LEFT + WIDE + 40, base + 38),
        ("Units in repair by the days since they came off", said),
        group("scale", *(line((across(t), TOP), (across(t), base), "grid") for t in ticks)),
        group("scale", *(words(across(t), base + 16, f"{t:,g}", "tick mid") for t in ticks)),
        words(LEFT + WIDE, base + 33, "working days since it came off", "tick end"),
        *found,
        *marks,
    )


def _stacks(across: Scale, dots: Sequence[AgeDot]) -> dict[int, list[AgeDot]]:
    found: dict[int, list[AgeDot]] = {}
    for dot in sorted(dots, key=lambda one: one.days):
        found.setdefault(int(across.held(dot.days) / EACH), []).append(dot)
    return found


def _row(base: float, row: AgeRow, stacks: dict[int, list[AgeDot]]) -> str:
    parts = [
        words(
            LEFT - 10, base - 3, f"{within(row.name, _MOST_SIGNS)} ({len(row.dots)})", "rowname end"
        ),
        line((LEFT, base), (LEFT + WIDE, base), "track"),
    ]
    for place, stack in stacks.items():
        x = (place + 0.5) * EACH
        for high, dot in enumerate(stack[:_MOST_STACKED]):
            parts.append(_dot(x, base - (high + 0.6) * EACH, dot))
        if len(stack) > _MOST_STACKED:
            parts.append(words(x, base - (_MOST_STACKED + 0.6) * EACH, f"{len(stack)}", "tick mid"))
    return group("agerow", *parts)


def _dot(x: float, y: float, dot: AgeDot) -> str:
    if dot.overdue:
        return path(f"M{num(x)} {num(y - 5)}l5.5 10h-11z", "agedot over", dot.says)
    return circle(x, y, 4.6, "agedot", dot.says)


def _mark(
    across: Scale, days: float, reach: tuple[float, float], said: str, look: str = "paceline"
) -> str:
    top, base = reach
    x = across.held(days)
    end = x > LEFT + WIDE * 0.8
    return group(
        "mark",
        line((x, top + 2), (x, base), look),
        words(x + (-5 if end else 5), top + 8, said, "tick strong end" if end else "tick strong"),
    )
