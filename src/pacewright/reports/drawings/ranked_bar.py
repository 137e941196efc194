"""One row of a ranked list: a bar from nothing with the interval at its end."""

from collections.abc import Sequence
from math import isfinite

from pacewright.reports.drawings.scale import Scale, round_steps
from pacewright.reports.drawings.svg import Drawing, group, line, num, path, rect, small, words

WIDE, TALL = 230.0, 20.0


OUTGROWN = 3.0
"""A first that is so many times the second is cut, so that the others can still be compared."""


def ranked_scale(reaches: Sequence[float]) -> Scale:
    """The common scale of a list, from nothing to a round figure.

    Parameters
    ----------
    reaches : where the interval of each row ends.
    """
    first, second, *_ = [*sorted(reaches, reverse=True), 0.0, 0.0]
    most = second * 1.2 if 0 < second * OUTGROWN < first else first
    return Scale(0, round_steps(most, 3)[-1], 2, WIDE - 14)


def ranked_bar(mean: float, half_width: float, scale: Scale, look: str, says: str) -> Drawing:
    """The bar and its interval; an interval that is not known runs dashed to the edge.

    What reaches beyond the scale ends in an arrow.
    """
    end = scale.held(mean)
    parts = [rect(scale(0), 5, (max(1.0, end - scale(0)), 10), f"ranked {look}")]
    if mean > scale.most:
        parts.append(path(f"M{num(end)} 3l9 7l-9 7z", f"ranked {look}"))
    else:
        parts.append(whisker((mean, half_width), scale, TALL / 2))
    return small((WIDE, TALL), says, *parts)


def whisker(value: tuple[float, float], scale: Scale, middle: float) -> str:
    """The interval of a figure (mean, half width) as a line with feet, kept inside the scale."""
    mean, half = value
    if not isfinite(half):
        reach = f"M{num(scale.start)} {num(middle)}H{num(scale.end)}"
        return path(reach, "interval unsure")
    left, right = scale.held(mean - half), scale.held(mean + half)
    if right - left < 0.8:
        return ""
    course = f"M{num(left)} {num(middle)}H{num(right)}"
    feet = "".join(f"M{num(x)} {num(middle - 3.5)}v7" for x in (left, right))
    return path(course + feet, "interval")


def ranked_axis(scale: Scale, unit: str) -> Drawing:
    """The scale over the bars: its two ends."""
    return small(
        (WIDE, 24),
        f"scale from 0 to {scale.most:,g} {unit}",
        group(
            "scale",
            words(scale.start, 12, "0", "tick"),
            words(scale.end, 12, f"{scale.most:,g}", "tick end"),
            *(line((x, 17), (x, 24), "axis") for x in (scale.start, scale.end)),
        ),
    )
