"""How long something takes: a bar a day, with what was promised and what came of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor

from pacewright.reports.drawings.scale import Scale, largest, round_steps
from pacewright.reports.drawings.svg import Drawing, drawing, group, line, num, path, rect, words
from pacewright.reports.written import number, share

LEFT, TOP, WIDE, TALL = 42.0, 46.0, 490.0, 150.0
MOST_BARS = 40
"""Above so many days several of them share a bar."""


@dataclass(frozen=True, slots=True)
class Times:
    """What is drawn.

    Parameters
    ----------
    name : single on the page.
    title : what takes the time.
    first, shares : first day of each bar, all one day apart, and its share.
    promised : days promised; None: nothing is.
    marks : (days, words) of figures named under the axis, first the nearest to it.
    """

    name: str
    title: str
    first: Sequence[float]
    shares: Sequence[float]
    promised: float | None
    marks: Sequence[tuple[float, str]] = ()


def day_bars(times: Times) -> Drawing:
    """The bars; those that end after the promise are striped, the promise is a line through all."""
    each, first, shares = gathered(times.first, times.shares)
    ends = [f + each for f in first]
    reach = [*ends, times.promised or 0.0, *(d for d, _ in times.marks)]
    least = min([*first, *(d for d, _ in times.marks), times.promised or 1e9], default=0.0)
    across = Scale(floor(least), max(floor(least) + 1.0, ceil(largest(reach))), LEFT, LEFT + WIDE)
    ticks = round_steps(largest(shares), 3)
    up = Scale(0, ticks[-1], TOP + TALL, TOP)
    base = TOP + TALL
    late = times.promised if times.promised is not None else 1e9
    bars = [
        rect(across(f) + 0.4, up(s), (max(0.6, across(f + each) - across(f) - 0.8), base - up(s)),
             "taken late" if f + each > late + 1e-9 else "taken",
             f"{number(f, 0)} to {number(f + each, 0)} working days: {share(s, 1)}")
        for f, s in zip(first, shares, strict=True) if s > 0
    ]  # fmt: skip
    return drawing(
        times.name,
        (LEFT + WIDE + 18, base + 40 + 16 * len(times.marks)),
        (times.title, _about(times, each)),
        _grid(up, ticks),
        group("bars", *bars),
        _days(across, base),
        _marks(times, across, base),
        _promise(times.promised, across, base),
    )


def gathered(
    first: Sequence[float], shares: Sequence[float]
) -> tuple[int, list[float], list[float]]:
    """Days a bar, and the bars: whole days put together until there are at most ``MOST_BARS``.

    Examples
    --------
    >>> gathered([0, 1, 2], [0.2, 0.5, 0.3])
    (1, [0, 1, 2], [0.2, 0.5, 0.3])
    """
    each = max(1, ceil(len(first) / MOST_BARS))
    return (
        each,
        [first[n] for n in range(0, len(first), each)],
        [sum(shares[n : n + each]) for n in range(0, len(first), each)],
    )


def _grid(up: Scale, ticks: Sequence[float]) -> str:
    rules = [line((LEFT, up(t)), (LEFT + WIDE, up(t)), "grid") for t in ticks[1:]]
    marks = [words(LEFT - 5, up(t) + 4, f"{t * 100:g} %", "tick end") for t in ticks]
    return group("scale", *rules, *marks)


def _days(across: Scale, base: float) -> str:
    step = round_steps(across.most - across.least, 8)[1]
    day = ceil(across.least / step - 1e-9) * step
    parts = [line((LEFT, base), (LEFT + WIDE, base), "axis")]
    while day <= across.most + 1e-9:
        parts.append(line((across(day), base), (across(day), base + 5), "axis"))
        parts.append(words(across(day), base + 17, f"{day:g}", "tick mid"))
        day += step
    return group("scale", *parts)


def _marks(times: Times, across: Scale, base: float) -> str:
    parts = []
    for row, (days, said) in enumerate(times.marks):
        x, y = across.held(days), base + 34 + 16 * row
        right = x > LEFT + WIDE * 0.62
        parts.append(path(f"M{num(x)} {num(base + 1)}V{num(y - 4)}", "leader"))
        parts.append(path(f"M{num(x - 4)} {num(y)}l4 -7l4 7z", "pointer"))
        parts.append(words(x + (-8 if right else 8), y, said, "tick end" if right else "tick"))
    return group("marks", *parts)


def _promise(promised: float | None, across: Scale, base: float) -> str:
    if promised is None:
        return ""
    x = across.held(promised)
    right = x > LEFT + WIDE * 0.6
    return group(
        "promise",
        line((x, TOP - 22), (x, base), "paceline"),
        words(x + (-6 if right else 6), TOP - 14, f"promised {number(promised)}",
              "tick strong end" if right else "tick strong"),
    )  # fmt: skip


def _about(times: Times, each: int) -> str:
    said = "; ".join(said for _, said in times.marks)
    unit = "a bar a working day" if each == 1 else f"a bar each {each} working days"
    return f"{len(times.shares)} days, {unit}. {said}."
