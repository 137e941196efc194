"""One row with a share and its interval, and the share it is held against."""

from dataclasses import dataclass

from pacewright.reports.drawings.ranked_bar import whisker
from pacewright.reports.drawings.scale import Scale
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

WIDE, TALL = 220.0, 22.0


@dataclass(frozen=True, slots=True)
class ShareMark:
    """What a row shows, shares of 1.

    ``value`` and ``half_width`` of the simulation; ``against`` the plan's, None where it has none;
    ``bar`` True for a bar from nothing, False for a point; ``bad`` True where it is worse than it
    should be: the row must say so in words as well.
    """

    value: float
    half_width: float
    against: float | None
    bar: bool = False
    bad: bool = False


def share_row(mark: ShareMark, scale: Scale, says: str) -> Drawing:
    """A point or a bar with its interval, and a hollow diamond at the plan's share."""
    here, middle = scale.held(mark.value), TALL / 2
    look = " short" if mark.bad else ""
    parts = []
    if mark.bar:
        parts.append(rect(scale.start, 7, (scale.end - scale.start, 8), "track"))
        parts.append(rect(scale.start, 7, (max(1.0, here - scale.start), 8), f"inuse{look}"))
    else:
        parts.append(line((scale.start, middle), (scale.end, middle), "track"))
    if mark.against is not None:
        there = scale.held(mark.against)
        parts.append(path(f"M{num(there)} 5l6 6l-6 6l-6 -6z", "against"))
    parts.append(whisker((mark.value, mark.half_width), scale, middle))
    if not mark.bar:
        parts.append(circle(here, middle, 4.0, f"here{look}"))
    return small((WIDE, TALL), says, *parts)


def share_scale(least: float) -> Scale:
    """A scale of shares that begins at the tenth below ``least``."""
    start = max(0.0, min(0.9, int(least * 10 + 1e-9) / 10))
    return Scale(start, 1.0, 16, WIDE - 20)


def share_axis(scale: Scale) -> Drawing:
    """The scale over the rows: its ends and the middle, per cent."""
    ticks = (scale.least, (scale.least + scale.most) / 2, scale.most)
    return small(
        (WIDE, 24),
        f"scale from {scale.least:.0%} to {scale.most:.0%}",
        group(
            "scale",
            *(words(scale(t), 12, f"{t * 100:g} %", "tick mid") for t in ticks),
            *(line((scale(t), 17), (scale(t), 24), "axis") for t in ticks),
        ),
    )
