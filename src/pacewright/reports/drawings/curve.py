"""A rising curve of a share against an amount, with a target and named points."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor

from pacewright.reports.drawings.scale import Scale, round_steps
from pacewright.reports.drawings.svg import (
    Drawing,
    circle,
    drawing,
    group,
    line,
    num,
    path,
    steps,
    words,
)
from pacewright.reports.written import number, share

LEFT, TOP, WIDE, TALL = 62.0, 16.0, 700.0, 250.0


@dataclass(frozen=True, slots=True)
class Point:
    """A named point of the plane; ``hollow`` sets it apart from the others."""

    name: str
    amount: float
    share: float
    hollow: bool = False


def curve(
    points: Sequence[tuple[float, float]], target: float, named: Sequence[Point], unit: str
) -> Drawing:
    """Share reached (0 to 1) against amount spent, stepped as units are whole."""
    ticks = _ticks([a for a, _ in points] + [p.amount for p in named])
    across, up = Scale(ticks[0], ticks[-1], LEFT, LEFT + WIDE), Scale(0, 1, TOP + TALL, TOP)
    base = TOP + TALL
    course = steps((across(a), up(s)) for a, s in sorted(points)) or "M0 0"
    rules = [line((LEFT, up(n / 4)), (LEFT + WIDE, up(n / 4)), "grid") for n in range(1, 5)]
    marks = [words(LEFT - 8, up(n / 4) + 4, f"{25 * n} %", "tick end") for n in range(5)]
    marks += [words(across(t), base + 18, f"{t:,.0f}", "tick mid") for t in ticks]
    return drawing(
        "curve",
        (LEFT + WIDE + 90, base + 44),
        ("Readiness against money", _about(named, target)),
        group("scale", *rules, *marks, line((LEFT, base), (LEFT + WIDE, base), "axis")),
        words(LEFT + WIDE / 2, base + 38, unit, "tick mid"),
        line((LEFT, up(target)), (LEFT + WIDE, up(target)), "paceline"),
        words(LEFT + WIDE + 6, up(target) + 4, f"target {share(target)}", "tick strong"),
        path(course, "calledrun"),
        *(_point(one, across.held(one.amount), up.held(one.share)) for one in named),
    )


def _ticks(amounts: Sequence[float]) -> list[float]:
    """Round ticks around the amounts; they need not begin at 0, as only differences are read."""
    least, most = min(amounts, default=0.0), max(amounts, default=1.0)
    step = round_steps((most - least) or most or 1.0, 5)[1]
    first = floor(least / step)
    return [step * n for n in range(first, max(first + 1, ceil(most / step)) + 1)]


def _point(one: Point, x: float, y: float) -> str:
    said = f"{one.name} {share(one.share, 1)}"
    right = x > LEFT + WIDE * 0.7
    mark = (
        path(f"M{num(x)} {num(y - 7)}l7 7l-7 7l-7 -7z", "against")
        if one.hollow
        else circle(x, y, 5.5, "here")
    )
    return group(
        "point", mark, words(x + (-11 if right else 11), y + 16, said, "tick strong end" if right
                             else "tick strong")
    )  # fmt: skip


def _about(named: Sequence[Point], target: float) -> str:
    said = [f"{p.name}: {share(p.share, 1)} at {number(p.amount, 0)}" for p in named]
    return "; ".join([*said, f"target {share(target)}"])
