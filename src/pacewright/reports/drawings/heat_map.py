"""How full each row is in each week, against its limit; full and over full are also marked."""

from collections.abc import Mapping, Sequence
from math import ceil

from pacewright.reports.drawings.scale import largest
from pacewright.reports.drawings.svg import Drawing, drawing, group, num, path, rect, words
from pacewright.reports.drawings.weeks import LEFT, WeekAxis

ROW, TOP = 18.0, 4.0
MOST_TITLES = 4000
"""Above so many cells none of them says its figures when pointed at: the page stays light."""


def heat_map(
    axis: WeekAxis,
    rows: Sequence[tuple[str, str]],
    cells: Mapping[tuple[str, int], tuple[int, int | None]],
    labels: Sequence[str],
) -> Drawing:
    """One row a depot, one cell a week.

    Parameters
    ----------
    rows : (id, name) of each row.
    cells : (id, week) -> (count, limit or None); without a limit a row is shaded against its most.
    labels : for each week, its name.
    """
    most = {key: largest([c for (k, _), (c, _) in cells.items() if k == key]) for key, _ in rows}
    titled = len(cells) <= MOST_TITLES
    parts = [axis.shutdowns(TOP, ROW * len(rows))]
    marks: dict[str, list[str]] = {"full": [], "over": []}
    for place, (key, name) in enumerate(rows):
        y = TOP + place * ROW
        parts.append(words(LEFT - 8, y + 13, name[:20], "rowname end"))
        for week in range(len(labels)):
            count, limit = cells.get((key, week), (0, None))
            if not count:
                continue
            level = _level(count, limit, most[key])
            says = f"{name}, {labels[week]}: {count} away of {_of(limit)}" if titled else ""
            parts.append(
                rect(axis.x(week) + 0.3, y + 1, (axis.step - 0.6, ROW - 2), f"heat{level}", says)
            )
            if level >= 5:
                marks["over" if level == 6 else "full"].append(_mark(axis, week, y, level))
    base = TOP + ROW * len(rows)
    return drawing(
        "heat",
        (axis.width, base + 24),
        (
            "Vehicles away by depot and week",
            f"{len(rows)} depots; {len(marks['full'])} cells at the limit,"
            f" {len(marks['over'])} over it.",
        ),
        *parts,
        *(path("".join(course), f"heatmark {look}") for look, course in marks.items() if course),
        group("axes", axis.zone_edges(TOP, base), axis.months(base)),
    )


def _of(limit: int | None) -> str:
    return "no limit" if limit is None else str(limit)


def _level(count: int, limit: int | None, most: float) -> int:
    if limit is not None and count >= limit:
        return 6 if count > limit else 5
    return max(1, min(4, ceil(count / (limit or most) * 4)))


def _mark(axis: WeekAxis, week: int, y: float, level: int) -> str:
    x, middle = axis.x(week) + axis.step / 2, y + ROW / 2
    if level == 6:
        return f"M{num(x - 1.8)} {num(middle - 4)}l3.6 8m0 -8l-3.6 8"
    return f"M{num(x)} {num(middle - 3.5)}v7"
