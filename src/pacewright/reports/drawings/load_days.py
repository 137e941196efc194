"""The load of the days ahead: a row a place, a bar a day, the line at what it is able."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from pacewright.reports.drawings.svg import Drawing, drawing, group, line, rect, within, words
from pacewright.reports.written import day as written_day
from pacewright.reports.written import share

LEFT, TOP, WIDE, TALL, GAP = 290.0, 44.0, 70.0, 40.0, 24.0
MOST = 1.5
"""Top of a bar, in ables; what reaches further is cut there, its figure says how far it goes."""

OVER = 1.005
MOST_SIGNS = 50
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


@dataclass(frozen=True, slots=True)
class LoadRow:
    """One place.

    Parameters
    ----------
    name : as people read it; ``under`` a second line, smaller.
    days : for each day the parts of the load, stacked from below, in ables; None: something is
        asked, and nobody is there.
    pace : a mean day at the pace, in ables; None: not known.
    """

    name: str
    days: Sequence[tuple[float, ...] | None]
    pace: float | None = None
    under: str = ""


def load_days(
    name: str,
    said: tuple[str, str],
    days: Sequence[date],
    parts: Sequence[str],
    rows: Sequence[LoadRow],
) -> Drawing:
    """The rows under their days.

    Parameters
    ----------
    name : single on the page.
    said : title, and what an able is.
    parts : names of the parts of a bar, in order; patterns 1, 2, 3 follow it.
    """
    width = LEFT + WIDE * len(days) + 8
    over = sum(cell is None or sum(cell) > OVER for row in rows for cell in row.days)
    return drawing(
        name,
        (width, TOP + (TALL + GAP) * len(rows) + 6),
        (said[0], f"{said[1]} {len(rows)} rows, {len(days)} days; {over} over what is able."),
        _key(parts, any(row.pace is not None for row in rows)),
        _heads(days),
        *(_row(place, row, days, parts) for place, row in enumerate(rows)),
    )


def _key(parts: Sequence[str], with_pace: bool) -> str:
    found, x = [], LEFT
    for number, name in enumerate(parts, 1):
        found += [rect(x, 2, (12, 12), f"kind{number}"), words(x + 16, 12, name, "tick")]
        x += 34 + 6.4 * len(name)
    found += [line((x, 8), (x + 20, 8), "paceline"), words(x + 25, 12, "able", "tick")]
    if with_pace:
        found += [line((x + 60, 8), (x + 80, 8), "edge"), words(x + 85, 12, "at the pace", "tick")]
    return group("key", *found)


def _heads(days: Sequence[date]) -> str:
    return group(
        "days",
        *(
            words(LEFT + WIDE * (place + 0.5), TOP - 10, f"{_DAYS[one.weekday()]} {_short(one)}",
                  "tick strong mid")
            for place, one in enumerate(days)
        ),
    )  # fmt: skip


def _short(day: date) -> str:
    return written_day(day).rsplit(" ", 1)[0]


def _row(place: int, row: LoadRow, days: Sequence[date], parts: Sequence[str]) -> str:
    base = TOP + (TALL + GAP) * place + TALL + 16
    able, end = base - TALL / MOST, LEFT + WIDE * len(days)
    found = [
        words(
            LEFT - 10, base - (18 if row.under else 10), within(row.name, MOST_SIGNS), "rowname end"
        ),
        words(LEFT - 10, base - 3, within(row.under, MOST_SIGNS), "tick end"),
        rect(LEFT, base - TALL, (end - LEFT, TALL), "lane"),
    ]
    for at, (cell, one) in enumerate(zip(row.days, days, strict=True)):
        found.append(_bar(LEFT + WIDE * at, base, cell, (row.name, one, parts)))
    found.append(line((LEFT, able), (end, able), "paceline"))
    if row.pace is not None:
        pace = base - TALL / MOST * min(MOST, row.pace)
        found.append(line((LEFT, pace), (end, pace), "edge"))
    found.append(line((LEFT, base), (end, base), "axis"))
    return group("loadrow", *found)


def _bar(
    x: float, base: float, cell: tuple[float, ...] | None, told: tuple[str, date, Sequence[str]]
) -> str:
    name, day, parts = told
    if cell is None:
        return words(x + WIDE / 2, base - TALL - 4, "▲ nobody", "tick strong mid")
    total = sum(cell)
    says = f"{name}, {written_day(day)}: {share(total)} of what is able"
    says += "".join(f"; {part} {share(one)}" for part, one in zip(parts, cell, strict=True) if one)
    found, low = [], 0.0
    for number, one in enumerate(cell, 1):
        top = min(MOST, low + one)
        if top > low:
            size = (WIDE - 16, TALL / MOST * (top - low))
            found.append(rect(x + 8, base - TALL / MOST * top, size, f"kind{number}", says))
        low = top
    mark = "▲" if total > OVER else ""
    look = "tick strong mid" if mark else "tick mid"
    found.append(words(x + WIDE / 2, base - TALL - 4, mark + share(total), look))
    return group("bar", *found)
