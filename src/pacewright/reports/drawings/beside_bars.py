"""Rows of bars, each beside a mark at what it is held against: scope beside standard."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from pacewright.reports.drawings.scale import Scale, largest, round_steps
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
from pacewright.reports.written import number

LEFT, TOP, WIDE, TALL = 262.0, 40.0, 560.0, 26.0
_MOST_SIGNS = 42


@dataclass(frozen=True, slots=True)
class BesideRow:
    """One row: a figure and what it is held against; ``over`` sets it apart by a sign."""

    name: str
    here: float
    against: float
    over: bool = False


@dataclass(frozen=True, slots=True)
class BesideWords:
    """What the bars are.

    Parameters
    ----------
    title : of the drawing. ``here``, ``against`` : what bar and mark are.
    over : what the triangle before a name says.
    unit : of both.
    digits : decimals.
    most : what reaches further is cut there and ends in an arrow; its figure says how far it goes.
    """

    title: str
    here: str
    against: str
    over: str
    unit: str
    digits: int = 1
    most: float = inf


def beside_bars(name: str, said: BesideWords, rows: Sequence[BesideRow]) -> Drawing:
    """The rows over one scale; the figures stand at the right.

    Parameters
    ----------
    name : single on the page.
    """
    reach = min(said.most, largest([max(row.here, row.against) for row in rows]))
    ticks = round_steps(reach, 6)
    across = Scale(0, ticks[-1], LEFT, LEFT + WIDE)
    base = TOP + TALL * len(rows)
    over = sum(row.over for row in rows)
    return drawing(
        name,
        (LEFT + WIDE + 130, base + 24),
        (said.title, f"{len(rows)} rows; {said.over}: {over}."),
        _key(said),
        group("scale", *(line((across(t), TOP), (across(t), base), "grid") for t in ticks)),
        group("scale", *(words(across(t), base + 16, f"{t:,g}", "tick mid") for t in ticks),
              words(LEFT + WIDE + 14, base + 16, said.unit, "tick")),
        *(_row(across, TOP + TALL * place, row, said) for place, row in enumerate(rows)),
        line((LEFT, TOP), (LEFT, base), "axis"),
    )  # fmt: skip


def _key(said: BesideWords) -> str:
    after = LEFT + 46 + 6.6 * len(said.here)
    last = after + 26 + 6.6 * len(said.against)
    return group(
        "key",
        rect(LEFT, 6, (28, 10), "ranked"), words(LEFT + 34, 15, said.here, "tick"),
        line((after, 3), (after, 19), "promised"), words(after + 8, 15, said.against, "tick"),
        words(last, 15, f"▲ {said.over}", "tick strong"),
    )  # fmt: skip


def _row(across: Scale, top: float, row: BesideRow, said: BesideWords) -> str:
    middle = top + TALL / 2
    both = f"{number(row.here, said.digits)} / {number(row.against, said.digits)}"
    says = f"{row.name}: {said.here} {number(row.here, said.digits)}, {said.against} "
    says += f"{number(row.against, said.digits)} {said.unit}"
    return group(
        "besiderow",
        words(LEFT - 10, middle + 4, ("▲ " if row.over else "") + within(row.name, _MOST_SIGNS),
              "rowname strong end" if row.over else "rowname end"),
        rect(LEFT, top + 6, (max(1.0, across.held(row.here) - LEFT), TALL - 12), "ranked", says),
        path(f"M{num(across.end)} {num(middle - 7)}l9 7l-9 7z", "ranked")
        if row.here > across.most
        else "",
        line((across.held(row.against), top + 2), (across.held(row.against), top + TALL - 2),
             "promised"),
        words(LEFT + WIDE + 14, middle + 4, both, "tick"),
    )  # fmt: skip
