"""Differences side by side: a row a change or place, a column a figure, with their intervals."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import isfinite

from pacewright.reports.drawings.scale import Scale, round_steps
from pacewright.reports.drawings.svg import Drawing, circle, drawing, group, line, num, path, words

WIDE, EDGE = 1150.0, 8.0
LABEL, LONG_LABEL = 210.0, 400.0
"""Room of the names: beside several columns, and beside one."""

HEAD, ROW = 40.0, 46.0
LETTER = 6.2


@dataclass(frozen=True, slots=True)
class Beside:
    """One difference.

    Parameters
    ----------
    difference, half_width : in the unit of its column; not finite: not known.
    real : True where it is more than chance.
    said : in words, with its interval and whether it is better or worse.
    """

    difference: float
    half_width: float
    real: bool
    said: str

    @property
    def reach(self) -> float:
        """How far it reaches from nothing, its interval included; 0 where it is not known."""
        if not isfinite(self.difference):
            return 0.0
        return abs(self.difference) + (self.half_width if isfinite(self.half_width) else 0.0)


@dataclass(frozen=True, slots=True)
class Row:
    """One change, or one place: a name, a word under it, and a cell a column."""

    name: str
    under: str
    cells: Sequence[Beside | None]


def changes_beside(
    said: tuple[str, str, str], heads: Sequence[tuple[str, str]], rows: Sequence[Row]
) -> Drawing:
    """All of them; every column has a scale of its own with nothing in its middle.

    Parameters
    ----------
    said : name, single on the page; title; description.
    heads : name and unit of each column.
    """
    label = LABEL if len(heads) > 1 else LONG_LABEL
    room = (WIDE - label) / max(1, len(heads))
    scales = [
        _scale([row.cells[n] for row in rows], (label + n * room, room)) for n in range(len(heads))
    ]
    tall = HEAD + len(rows) * ROW + 4
    parts = []
    for n, (name, unit) in enumerate(heads):
        x = label + n * room + EDGE
        parts.append(words(x, 14, _short(name, room - EDGE), "nodeword strong"))
        parts.append(words(x, 28, _short(unit, room - EDGE), "nodeword"))
    for n, row in enumerate(rows):
        parts.append(group("changerow", *_row(row, HEAD + n * ROW, scales, label)))
    name, title, about = said
    return drawing(name, (WIDE, tall), (title, about), *parts)


def _scale(cells: Sequence[Beside | None], at: tuple[float, float]) -> Scale:
    """A scale for the cells of one column; ``at`` is its left edge and width."""
    left, room = at
    most = max((one.reach for one in cells if one is not None), default=0.0)
    most = round_steps(most, 2)[-1] if most > 0 else 1.0
    return Scale(-most, most, left + EDGE + 5, left + room - EDGE - 5)


def _row(row: Row, y: float, scales: Sequence[Scale], label: float) -> Iterator[str]:
    yield line((0, y), (WIDE, y), "between")
    yield words(0, y + 17, _short(row.name, label), "nodename strong")
    yield words(0, y + 33, _short(row.under, label), "nodeword")
    for cell, scale in zip(row.cells, scales, strict=True):
        if cell is not None:
            yield from _cell(cell, scale, y)


def _cell(one: Beside, scale: Scale, y: float) -> Iterator[str]:
    middle, left = y + 15, scale.start
    yield path(f"M{num(scale(0))} {num(y + 3)}v24", "nothing")
    yield words(left - 5, y + 37, one.said, "nodeword" + (" strong" if one.real else ""))
    if not isfinite(one.difference):
        return
    if isfinite(one.half_width):
        low, high = (scale.held(one.difference + side * one.half_width) for side in (-1, 1))
        ends = f"M{num(low)} {num(middle - 4)}v8M{num(high)} {num(middle - 4)}v8"
        course = f"M{num(low)} {num(middle)}H{num(high)}{ends}"
        yield path(course, "interval" + ("" if one.real else " unsure"))
    x = scale.held(one.difference)
    if one.real:
        yield path(f"M{num(x)} {num(middle - 6)}l6 6l-6 6l-6 -6z", "really", one.said)
    else:
        yield circle(x, middle, 4, "notshown", one.said)


def _short(said: str, room: float) -> str:
    most = int(room / LETTER)
    return said if len(said) <= most else said[: most - 1].rstrip() + "…"
