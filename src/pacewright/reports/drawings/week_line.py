"""One figure week by week as a stepped area, on the axis of the programme."""

from collections.abc import Sequence

from pacewright.reports.drawings.scale import Scale, largest, round_steps
from pacewright.reports.drawings.svg import Drawing, drawing, line, num, path, words
from pacewright.reports.drawings.weeks import LEFT, WeekAxis

TOP, TALL = 8.0, 74.0


def week_line(
    axis: WeekAxis, values: Sequence[int], said: tuple[str, str], limit: float | None = None
) -> Drawing:
    """The values by week; ``said`` is the title and the two words at the left; a limit if any."""
    ticks = round_steps(largest([*values, limit or 0.0]), 2)
    scale = Scale(0, ticks[-1], TOP + TALL, TOP)
    course = ""
    for week, value in enumerate(values):
        head = "V" if course else f"M{num(axis.x(week))} "
        course += f"{head}{num(scale(value))}H{num(axis.x(week + 1))}"
    course = course or f"M{num(LEFT)} {num(scale(0))}"
    title, name = said
    parts = [
        axis.shutdowns(TOP, TALL),
        line((LEFT, scale(ticks[-1])), (axis.end, scale(ticks[-1])), "grid"),
        path(f"{course}V{num(scale(0))}H{num(LEFT)}Z", "area"),
        path(course, "plain"),
        axis.zone_edges(TOP, TOP + TALL),
        axis.months(TOP + TALL),
        words(LEFT - 6, scale(ticks[-1]) + 4, f"{ticks[-1]:g}", "tick end"),
        words(LEFT - 6, scale(0) + 4, "0", "tick end"),
    ]
    parts += [
        words(LEFT - 10, TOP + TALL / 2 - 6 + 15 * n, part, "tick end")
        for n, part in enumerate(name.split("|"))
    ]
    if limit is not None:
        parts.append(line((LEFT, scale(limit)), (axis.end, scale(limit)), "paceline"))
        parts.append(words(axis.end - 4, scale(limit) - 4, f"limit {limit:g}", "tick strong end"))
    most = f"least {min(values)}, most {max(values)}" if values else "no weeks"
    return drawing("weekline", (axis.width, TOP + TALL + 24), (title, most), *parts)
