"""A route by day: branches as lanes, the critical path bold, slack as a thin tail."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from textwrap import wrap

from pacewright.reports.drawings.scale import Scale
from pacewright.reports.drawings.svg import Drawing, drawing, group, line, num, path, rect, words
from pacewright.reports.written import number

LEFT, WIDE, ROW, TOP, GAP = 112.0, 1010.0, 36.0, 34.0, 14.0
LETTER = 6.3
"""Width of a letter of the labels [user units]; generous, so that labels never touch."""


@dataclass(frozen=True, slots=True)
class Step:
    """One stage on the drawing; days from gate-in."""

    key: str
    name: str
    lane: str
    start: float
    end: float
    latest_end: float
    critical: bool


def route_map(
    name: str, title: str, steps: Sequence[Step], links: Sequence[tuple[str, str]], middle: str
) -> Drawing:
    """The route of one type.

    Parameters
    ----------
    name : single on the page.
    title : what is drawn.
    links : (stage, stage after it).
    middle : the lane of the whole vehicle, drawn between those of its assemblies.
    """
    last = max((s.latest_end for s in steps), default=1.0)
    days = max(1, ceil(last - 1e-6))
    scale = Scale(0, days, LEFT, LEFT + WIDE)
    lanes = _lanes(steps, middle)
    rows, tops, base = _place(steps, lanes, scale)
    at = {s.key: (scale(s.start), scale(s.end), rows[s.key]) for s in steps}
    bold = {s.key for s in steps if s.critical}
    size = {lane: sum(1 for s in steps if s.lane == lane) for lane in lanes}
    order = sorted(links, key=lambda one: one[0] in bold and one[1] in bold)
    parts = []
    for lane in lanes:
        top, tall = tops[lane]
        parts.append(rect(0, top, (LEFT + WIDE + 12, tall), "lane"))
        parts += [
            words(8, top + 18 + 14 * n, said, "lanename")
            for n, said in enumerate(wrap(lane, 14)[:3])
        ]
    parts.append(_day_lines(scale, days, base))
    parts += [_link(at[a], at[b], a in bold and b in bold) for a, b in order if {a, b} <= set(at)]
    parts += [_step(s, scale, rows[s.key]) for s in steps]
    about = ", then ".join(s.name for s in sorted(steps, key=lambda s: s.start) if s.critical)
    lane_words = ", ".join(f"{size[lane]} stages of {lane}" for lane in lanes)
    return drawing(
        name,
        (LEFT + WIDE + 14, base + 8),
        (title, f"{number(last)} working days; {lane_words}. Critical path: {about}."),
        *parts,
    )


def _lanes(steps: Sequence[Step], middle: str) -> list[str]:
    others = [lane for lane in dict.fromkeys(s.lane for s in steps) if lane != middle]
    half = (len(others) + 1) // 2
    inner = [middle] if any(s.lane == middle for s in steps) else []
    return [*others[:half], *inner, *others[half:]]


def _place(
    steps: Sequence[Step], lanes: Sequence[str], scale: Scale
) -> tuple[dict[str, float], dict[str, tuple[float, float]], float]:
    """Rows within each lane so that no bar, tail or label touches another."""
    rows: dict[str, float] = {}
    tops: dict[str, tuple[float, float]] = {}
    y = TOP
    for lane in lanes:
        ends: list[float] = []
        for step in sorted((s for s in steps if s.lane == lane), key=lambda s: (s.start, s.key)):
            left, right = _extent(step, scale)
            row = next((n for n, end in enumerate(ends) if end + 8 <= left), len(ends))
            ends[row : row + 1] = [right]
            rows[step.key] = y + 4 + row * ROW
        tall = len(ends) * ROW + 8
        tops[lane] = (y, tall)
        y += tall + GAP
    return rows, tops, y - GAP


def _extent(step: Step, scale: Scale) -> tuple[float, float]:
    wide = len(step.name) * LETTER
    left = scale(step.start)
    if left + wide > scale.end:
        left = max(scale.start, scale.end - wide)
    return min(left, scale(step.start)), max(left + wide, scale(step.latest_end))


def _day_lines(scale: Scale, days: int, base: float) -> str:
    every = 1 if days <= 40 else 5
    parts = []
    for day in range(0, days + 1, every):
        x = scale(day)
        parts.append(line((x, TOP - 8), (x, base), "grid"))
        parts.append(
            words(x, TOP - 14, f"{day}", "tick mid strong" if day % 5 == 0 else "tick mid")
        )
    parts.append(words(8, TOP - 14, "working day", "tick"))
    return group("scale", *parts)


def _step(step: Step, scale: Scale, y: float) -> str:
    left, right, late = scale(step.start), scale(step.end), scale(step.latest_end)
    name_left, _ = _extent(step, scale)
    says = f"{step.name}: day {number(step.start)} to {number(step.end)}, slack " + number(
        step.latest_end - step.end
    )
    look = "critical" if step.critical else "loose"
    parts = []
    if late - right > 0.5:
        parts.append(path(f"M{num(right)} {num(y + 22)}H{num(late)}m0 -4v8", "tail"))
    parts.append(rect(left, y + 16, (max(3.0, right - left), 12), f"step {look}", says))
    parts.append(words(max(name_left, LEFT) + 3, y + 12, step.name, f"stepname {look}"))
    return group("stage", *parts)


def _link(first: tuple[float, float, float], then: tuple[float, float, float], bold: bool) -> str:
    x1, y1 = first[1], first[2] + 22
    x2, y2 = then[0], then[2] + 22
    turn = x2 - 5 if x2 - x1 >= 10 else (x1 + x2) / 2
    course = f"M{num(x1)} {num(y1)}H{num(turn)}V{num(y2)}H{num(x2)}"
    return path(course, "link critical" if bold else "link")
