"""One row of a ranked list of differences: less to the left of nothing, more to the right."""

from collections.abc import Sequence

from pacewright.reports.drawings.ranked_bar import TALL, WIDE, whisker
from pacewright.reports.drawings.scale import Scale, round_steps
from pacewright.reports.drawings.svg import Drawing, line, rect, small


def difference_scale(reaches: Sequence[float]) -> Scale:
    """The common scale of a list, as far below nothing as above it.

    Parameters
    ----------
    reaches : how far each row reaches from nothing, its interval included.
    """
    most = round_steps(max(reaches, default=1.0), 2)[-1]
    return Scale(-most, most, 6, WIDE - 6)


def difference_bar(value: tuple[float, float], scale: Scale, look: str, says: str) -> Drawing:
    """The bar from nothing with its interval; ``value`` is (difference, half width)."""
    nothing, end = scale(0), scale.held(value[0])
    left = min(nothing, end)
    return small(
        (WIDE, TALL),
        says,
        rect(left, 5, (max(1.0, abs(end - nothing)), 10), f"ranked {look}"),
        line((nothing, 1), (nothing, TALL - 1), "pointerline"),
        whisker(value, scale, TALL / 2),
    )
