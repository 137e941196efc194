"""Running totals between two walls: what may have come, what must have come, what does come."""

from collections.abc import Sequence

from pacewright.reports.drawings.scale import Scale, largest, round_steps
from pacewright.reports.drawings.svg import (
    Drawing,
    drawing,
    group,
    line,
    num,
    path,
    polyline,
    words,
)
from pacewright.reports.drawings.weeks import LEFT, WeekAxis

TOP, TALL = 12.0, 250.0


def corridor(
    axis: WeekAxis,
    walls: tuple[Sequence[int], Sequence[int]],
    runs: tuple[Sequence[int], Sequence[int]],
    forced: tuple[float, float, str],
) -> Drawing:
    """Running totals at the end of each week.

    Parameters
    ----------
    walls : totals whose window has opened (upper wall), and whose limit is reached (lower wall).
    runs : totals due, and totals called in; called in keeps between the walls.
    forced : left edge, right edge and words of the interval that forces the least pace.
    """
    upper, lower = walls
    due, called = runs
    ticks = round_steps(largest([*upper, *called]), 5)
    scale = Scale(0, ticks[-1], TOP + TALL, TOP)

    def points(totals: Sequence[int]) -> list[tuple[float, float]]:
        return [(axis.x(week + 1), scale(total)) for week, total in enumerate(totals)]

    band = polyline(points(upper) + points(lower)[::-1]) + "Z" if upper else "M0 0"
    left, right, reason = forced
    base = TOP + TALL
    return drawing(
        "corridor",
        (axis.width, base + 60),
        (
            "Why this pace: running totals of windows and call-ins",
            f"{reason}. The thick line, called in, keeps between the wall of opened windows above"
            " and the wall of limits below.",
        ),
        axis.shutdowns(TOP, TALL),
        group("scale", *(line((LEFT, scale(t)), (axis.end, scale(t)), "grid") for t in ticks[1:])),
        group("scale", *(words(LEFT - 6, scale(t) + 4, f"{t:,.0f}", "tick end") for t in ticks)),
        path(band, "band"),
        path(polyline(points(upper)) if upper else "M0 0", "wall upper"),
        path(polyline(points(lower)) if lower else "M0 0", "wall"),
        path(polyline(points(due)) if due else "M0 0", "duerun"),
        path(polyline(points(called)) if called else "M0 0", "calledrun"),
        axis.zone_edges(TOP, base),
        axis.months(base),
        path(f"M{num(left)} {num(base + 24)}v8H{num(right)}v-8", "brace"),
        words(min(left + 4, axis.end - 420), base + 48, reason, "tick strong"),
    )
