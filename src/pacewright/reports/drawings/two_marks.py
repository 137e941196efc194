"""One row with two marks on a common scale: what is there, and what it is held against."""

from pacewright.reports.drawings.scale import Scale, round_steps
from pacewright.reports.drawings.svg import (
    Drawing,
    circle,
    group,
    line,
    num,
    path,
    rect,
    small,
    words,
)

WIDE, TALL = 210.0, 22.0


def two_marks(here: float, against: float, scale: Scale, says: str) -> Drawing:
    """A full circle at ``here``, a hollow diamond at ``against``; thick between when short."""
    a, b = scale.held(here), scale.held(against)
    bad = says.startswith("short")
    parts = [line((scale.start, 11), (scale.end, 11), "track")]
    if abs(a - b) > 0.1:
        parts.append(rect(min(a, b), 8.5 if bad else 10, (abs(a - b), 5 if bad else 2),
                          "gap short" if bad else "gap"))  # fmt: skip
    parts.append(path(f"M{num(b)} 4.5l6.5 6.5l-6.5 6.5l-6.5 -6.5z", "against"))
    parts.append(circle(a, 11, 4.2, "here short" if bad else "here"))
    return small((WIDE, TALL), says, *parts)


def marks_scale(most: float) -> Scale:
    """The common scale of a column, from 0 to a round figure not below ``most``."""
    return Scale(0, round_steps(most, 4)[-1], 10, WIDE - 14)


def ratio_scale() -> Scale:
    """A scale from nothing over once to twice, for rows of very different size."""
    return Scale(0, 2, 10, WIDE - 14)


def ratio_axis(scale: Scale, once: str) -> Drawing:
    """The scale over rows of ratios; ``once`` names the 1."""
    names = ((0, "0", "tick mid"), (1, once, "tick mid strong"), (2, "twice", "tick end"))
    return small(
        (WIDE, 24),
        f"scale from 0 over {once} to twice that",
        group(
            "scale",
            *(words(scale(t) + (6 if t == 2 else 0), 12, name, look) for t, name, look in names),
            *(line((scale(t), 17), (scale(t), 24), "axis") for t, _, _ in names),
        ),
    )


def marks_axis(scale: Scale, unit: str) -> Drawing:
    """The scale over the rows."""
    ticks = round_steps(scale.most, 4)
    return small(
        (WIDE, 24),
        f"scale from 0 to {scale.most:g} {unit}",
        group(
            "scale",
            *(words(scale(t), 12, f"{t:g}", "tick mid") for t in ticks),
            *(line((scale(t), 17), (scale(t), 24), "axis") for t in ticks),
        ),
    )
