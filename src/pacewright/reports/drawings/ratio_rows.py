"""Figures proposed beside those that stand: each row over its old figure, with its range."""

from collections.abc import Sequence
from dataclasses import dataclass

from pacewright.reports.drawings.scale import Scale, round_steps
from pacewright.reports.drawings.svg import (
    Drawing,
    circle,
    drawing,
    group,
    line,
    num,
    path,
    rect,
    small,
    within,
    words,
)

LEFT, TOP, WIDE, TALL = 250.0, 52.0, 480.0, 26.0
MOST = 3.0
"""Ratio at which the scale ends; what reaches further is cut there."""
SMALL = 230.0
_MOST_SIGNS = 38


@dataclass(frozen=True, slots=True)
class RatioRow:
    """One figure, all over the old one.

    Parameters
    ----------
    told : old and proposed in figures, at the right of the row.
    shown : what the record alone shows. ``low``, ``high``: range that holds the true figure.
    """

    name: str
    told: str
    shown: float
    proposed: float
    low: float
    high: float


def ratio_rows(name: str, title: str, rows: Sequence[RatioRow]) -> Drawing:
    """The rows over one scale on which the old figure is 1.

    Parameters
    ----------
    name : single on the page.
    """
    most = min(MOST, max([1.25, *(max(row.high, row.shown) for row in rows)]))
    ticks = round_steps(most, 6)
    across = Scale(0, ticks[-1], LEFT, LEFT + WIDE)
    base = TOP + TALL * len(rows)
    return drawing(
        name,
        (LEFT + WIDE + 190, base + 34),
        (title, f"{len(rows)} figures, each over the one that stands in the table."),
        _key(),
        group("scale", *(line((across(t), TOP), (across(t), base), "grid") for t in ticks)),
        group("scale", *(words(across(t), base + 16, f"{t:g}", "tick mid") for t in ticks)),
        words(LEFT + WIDE, base + 31, "times the figure of the table", "tick end"),
        line((across(1), TOP - 4), (across(1), base), "promised"),
        *(_row(across, TOP + TALL * place, row) for place, row in enumerate(rows)),
    )


def ratio_bar(row: RatioRow) -> Drawing:
    """One row alone, to stand beside its form; the scale runs from 0 to three times the table."""
    across = Scale(0, MOST, 6, SMALL - 14)
    low, high, shown = across.held(row.low), across.held(row.high), across.held(row.shown)
    return small(
        (SMALL, 40),
        f"{row.name}: {row.told}",
        line((across(0), 14), (across.end, 14), "track"),
        rect(low, 9, (max(2.0, high - low), 10), "ranked"),
        path(f"M{num(shown)} 8l6 6l-6 6l-6 -6z", "against"),
        circle(across.held(row.proposed), 14, 4.2, "here"),
        line((across(1), 2), (across(1), 26), "promised"),
        words(across(1), 38, "table", "tick mid"),
    )


def _key() -> str:
    x, y = LEFT, 14.0
    return group(
        "key",
        line((x + 2, y - 11), (x + 2, y + 4), "promised"), words(x + 10, y, "the table", "tick"),
        rect(x + 74, y - 9, (28, 9), "ranked"), words(x + 108, y, "range of 90 %", "tick"),
        circle(x + 198, y - 4, 4.2, "here"), words(x + 208, y, "proposed", "tick"),
        path(f"M{num(x + 276)} {num(y - 10)}l6 6l-6 6l-6 -6z", "against"),
        words(x + 288, y, "the record alone", "tick"),
    )  # fmt: skip


def _row(across: Scale, top: float, row: RatioRow) -> str:
    middle = top + TALL / 2
    low, high, shown = across.held(row.low), across.held(row.high), across.held(row.shown)
    says = f"{row.name}: {row.told}"
    parts = [
        words(LEFT - 10, middle + 4, within(row.name, _MOST_SIGNS), "rowname end"),
        line((LEFT, middle), (LEFT + WIDE, middle), "track"),
        rect(low, middle - 5, (max(2.0, high - low), 10), "ranked", says),
        path(f"M{num(shown)} {num(middle - 6)}l6 6l-6 6l-6 -6z", "against", says),
        circle(across.held(row.proposed), middle, 4.2, "here", says),
        words(LEFT + WIDE + 14, middle + 4, row.told, "tick"),
    ]
    if max(row.high, row.shown) > across.most:
        parts.append(path(f"M{num(across.end)} {num(middle - 7)}l9 7l-9 7z", "ranked"))
    return group("ratiorow", *parts)
