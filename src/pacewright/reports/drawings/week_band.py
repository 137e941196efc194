"""A figure week by week as it came out in many runs: its mean, and where nine runs of ten lie."""

from collections.abc import Sequence
from dataclasses import dataclass

from pacewright.reports.drawings.scale import Scale, largest, round_steps
from pacewright.reports.drawings.svg import Drawing, drawing, group, line, num, path, rect, words
from pacewright.reports.drawings.weeks import LEFT, WeekAxis

TOP = 26.0


@dataclass(frozen=True, slots=True)
class WeekBand:
    """What is drawn.

    Parameters
    ----------
    name : single on the page.
    said : its title, and the words at the left with ``|`` between lines.
    low, mean, high : one value a week.
    called : drawn beside it as a dotted course; empty: none.
    able : level strokes; None in a week leaves a gap; empty: none.
    limit : one level line with its name; None: none.
    uncounted : weeks at the start that do not count.
    tall : height of the plot.
    """

    name: str
    said: tuple[str, str]
    low: Sequence[float]
    mean: Sequence[float]
    high: Sequence[float]
    called: Sequence[int] = ()
    able: Sequence[int | None] = ()
    limit: float | None = None
    uncounted: int = 0
    tall: float = 190.0


def week_band(axis: WeekAxis, band: WeekBand) -> Drawing:
    """The band with its mean, on the axis of the weeks."""
    reach = [*band.high, *band.called, *(a for a in band.able if a), band.limit or 0.0]
    ticks = round_steps(largest(reach), 4)
    scale = Scale(0, ticks[-1], TOP + band.tall, TOP)
    base = TOP + band.tall
    upper = _levels(axis, scale, band.high)
    lower = _levels(axis, scale, band.low)
    area = "M" + "L".join(f"{num(x)} {num(y)}" for x, y in upper + lower[::-1]) + "Z"
    title, side = band.said
    most = largest(band.mean, 0.0)
    return drawing(
        band.name,
        (axis.width, base + 26),
        (title, f"{len(band.mean)} weeks; mean of the runs at most {most:,.1f}."),
        axis.shutdowns(TOP, band.tall),
        _grid(axis, scale, ticks),
        path(area, "runband") if upper else "",
        _uncounted(axis, band.uncounted, band.tall),
        path(_strokes(axis, scale, band.able), "paceline"),
        path(_course(axis, scale, band.called), "duerun called"),
        _limit(axis, scale, band.limit),
        path(_course(axis, scale, band.mean), "calledrun"),
        axis.months(base),
        *(
            words(LEFT - 32, TOP + band.tall / 2 - 6 + 15 * n, part, "tick end")
            for n, part in enumerate(side.split("|"))
        ),
    )


def _levels(axis: WeekAxis, scale: Scale, values: Sequence[float]) -> list[tuple[float, float]]:
    return [
        (axis.x(week + side), scale(value)) for week, value in enumerate(values) for side in (0, 1)
    ]


def _course(axis: WeekAxis, scale: Scale, values: Sequence[float]) -> str:
    points = _levels(axis, scale, values)
    return "M" + "L".join(f"{num(x)} {num(y)}" for x, y in points) if points else "M0 0"


def _strokes(axis: WeekAxis, scale: Scale, able: Sequence[int | None]) -> str:
    course, last = "", None
    for week, most in enumerate(able):
        if most:
            start = "" if most == last else f"M{num(axis.x(week))} {num(scale(most))}"
            course += f"{start}H{num(axis.x(week + 1))}"
        last = most or None
    return course or "M0 0"


def _grid(axis: WeekAxis, scale: Scale, ticks: Sequence[float]) -> str:
    rules = [line((LEFT, scale(t)), (axis.end, scale(t)), "grid") for t in ticks[1:]]
    marks = [words(LEFT - 6, scale(t) + 4, f"{t:g}", "tick end") for t in ticks]
    return group("scale", *rules, *marks)


def _uncounted(axis: WeekAxis, weeks: int, tall: float) -> str:
    if not weeks:
        return ""
    wide = axis.x(weeks) - LEFT
    return group(
        "warm",
        rect(LEFT, TOP, (wide, tall), "uncounted", "these weeks do not count"),
        line((axis.x(weeks), TOP - 12), (axis.x(weeks), TOP + tall), "edge"),
        words(axis.x(weeks) + 4, TOP - 6, "counts from here on", "tick"),
    )


def _limit(axis: WeekAxis, scale: Scale, limit: float | None) -> str:
    if limit is None:
        return ""
    y = scale(limit)
    return group(
        "limit",
        line((LEFT, y), (axis.end, y), "paceline"),
        words(axis.end - 4, y - 5, f"limit {limit:g}", "tick strong end"),
    )
