"""A small lateness curve: chance to wait longer than so many days."""

from collections.abc import Sequence

from pacewright.reports.drawings.scale import Scale
from pacewright.reports.drawings.svg import Drawing, group, line, num, path, small, steps, words
from pacewright.reports.written import share

WIDE, TALL, LEFT, TOP = 250.0, 92.0, 34.0, 8.0


def late_curve(days: Sequence[float], chance: Sequence[float], most: float) -> Drawing:
    """The curve, on a height that several curves share (``most`` is the highest chance)."""
    base = TALL - 20
    across = Scale(0, max(days, default=1.0) or 1.0, LEFT, WIDE - 8)
    up = Scale(0, most, base, TOP)
    points = [(across(d), up.held(c)) for d, c in zip(days, chance, strict=True)]
    course = steps(points) or f"M{num(LEFT)} {num(base)}"
    end = num(points[-1][0] if points else LEFT)
    return small(
        (WIDE, TALL),
        f"chance to wait at all {share(chance[0] if chance else None, 1)}",
        line((LEFT, up(most)), (WIDE - 8, up(most)), "grid"),
        path(f"{course}H{end}V{num(base)}H{num(LEFT)}Z", "area"),
        path(course, "calledrun"),
        line((LEFT, base), (WIDE - 8, base), "axis"),
        group(
            "scale",
            words(LEFT - 5, TOP + 5, share(most), "tick end"),
            words(LEFT - 5, base + 3, "0", "tick end"),
            words(LEFT, base + 14, "0", "tick mid"),
            words(WIDE - 8, base + 14, f"{across.most:g} days", "tick end"),
        ),
    )
