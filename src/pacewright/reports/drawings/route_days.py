"""The way of one vehicle through the works over its days: done, there now, to come."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from pacewright.reports.drawings.date_axis import DateAxis, axis_of
from pacewright.reports.drawings.svg import Drawing, drawing, group, line, rect, within, words
from pacewright.reports.written import day

LEFT, TOP, WIDE, TALL, HEAD = 340.0, 44.0, 720.0, 22.0, 26.0
DONE, NOW, COMING = "done", "now", "coming"
_SIGN = {DONE: "✓", NOW: "▶", COMING: "○"}
_MOST_SIGNS = 54
_MOST_BOLD = 48
"""Signs of a name that fit beside its bar; bold ones are wider."""


@dataclass(frozen=True, slots=True)
class Bar:
    """One stage on the way.

    Parameters
    ----------
    name : of the stage; ``state`` is done, now or coming.
    begins, ends : as far as is known; told where it is done, expected where it comes.
    """

    name: str
    state: str
    begins: date | datetime | None
    ends: date | datetime | None


@dataclass(frozen=True, slots=True)
class Lane:
    """Stages passed one after another by one thing."""

    name: str
    bars: Sequence[Bar]


def route_days(
    lanes: Sequence[Lane], now: datetime, promises: tuple[date | None, date | None]
) -> Drawing:
    """The lanes below each other over one line of dates.

    Parameters
    ----------
    promises : first and current promise.
    """
    first, promise = promises
    moments = [moment for lane in lanes for bar in lane.bars for moment in (bar.begins, bar.ends)]
    axis = axis_of([*moments, first, promise], now, (LEFT, LEFT + WIDE))
    base = TOP + sum(HEAD + TALL * len(lane.bars) for lane in lanes) + 4
    found, top = [], TOP
    for lane in lanes:
        found.append(words(12, top + HEAD - 8, lane.name, "lanename"))
        for place, bar in enumerate(lane.bars):
            found.append(_bar(axis, top + HEAD + TALL * place, bar))
        top += HEAD + TALL * len(lane.bars)
    return drawing(
        "routedays",
        (LEFT + WIDE + 24, base + 20),
        ("The way through the works", _about(lanes, promise)),
        _key(),
        axis.marks(TOP, base),
        *found,
        _promises(axis, base, first, promise),
        axis.now(now, TOP, base),
    )


def _key() -> str:
    x, y = LEFT, 12.0
    return group(
        "key",
        rect(x, y - 10, (26, 11), "stagedone"), words(x + 31, y, "✓ done", "tick"),
        rect(x + 92, y - 10, (26, 11), "stagenow"), words(x + 123, y, "▶ there now", "tick"),
        rect(x + 208, y - 10, (26, 11), "stagecoming"), words(x + 239, y, "○ to come", "tick"),
        line((x + 318, y - 11), (x + 318, y + 3), "promised"),
        words(x + 325, y, "current promise", "tick"),
        line((x + 430, y - 11), (x + 430, y + 3), "edge"),
        words(x + 437, y, "first promise", "tick"),
    )  # fmt: skip


def _bar(axis: DateAxis, top: float, bar: Bar) -> str:
    middle = top + TALL / 2
    most = _MOST_BOLD if bar.state == NOW else _MOST_SIGNS
    name = within(bar.name, most)
    look = "rowname strong" if bar.state == NOW else "rowname"
    parts = [
        words(14, middle + 4, _SIGN[bar.state], "tick"),
        words(30, middle + 4, name, look),
        line((LEFT, middle), (axis.end, middle), "track"),
    ]
    if bar.begins is not None and bar.ends is not None:
        start = axis.x(bar.begins)
        end = axis.x(bar.ends)
        parts.append(
            rect(start, top + 4, (max(4.0, end - start), TALL - 8), f"stage{bar.state}", _said(bar))
        )
    elif bar.begins is not None:
        parts.append(
            rect(axis.x(bar.begins), top + 4, (4, TALL - 8), f"stage{bar.state}", _said(bar))
        )
    else:
        parts.append(words(LEFT + 6, middle + 4, "no date", "tick"))
    return group("stagerow", *parts)


def _said(bar: Bar) -> str:
    return f"{bar.name}, {bar.state}: {_day(bar.begins)} to {_day(bar.ends)}"


def _day(moment: date | datetime | None) -> str:
    return day(moment.date() if isinstance(moment, datetime) else moment)


def _promises(axis: DateAxis, base: float, first: date | None, promise: date | None) -> str:
    parts = []
    if first is not None and first != promise:
        parts.append(line((axis.x_end(first), TOP), (axis.x_end(first), base), "edge"))
    if promise is not None:
        parts.append(line((axis.x_end(promise), TOP), (axis.x_end(promise), base), "promised"))
    return group("promises", *parts)


def _about(lanes: Sequence[Lane], promise: date | None) -> str:
    bars = [bar for lane in lanes for bar in lane.bars]
    count = {state: sum(bar.state == state for bar in bars) for state in _SIGN}
    said = f"{count[DONE]} stages done, {count[NOW]} going on, {count[COMING]} to come"
    return f"{said}; promised for {day(promise)}." if promise else f"{said}; nothing is promised."
