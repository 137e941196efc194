"""Stacked bars by week against the able pace."""

from collections.abc import Mapping, Sequence

from pacewright.reports.drawings.scale import Scale, largest, round_steps
from pacewright.reports.drawings.svg import Drawing, drawing, group, line, num, path, rect, words
from pacewright.reports.drawings.weeks import LEFT, WeekAxis

TOP, TALL = 30.0, 190.0


def week_bars(
    axis: WeekAxis,
    kinds: Sequence[str],
    counts: Sequence[Mapping[str, int]],
    able: Sequence[int],
    labels: Sequence[str],
) -> Drawing:
    """Bars of ``counts`` by week, one pattern a kind, with the able pace as level strokes.

    Parameters
    ----------
    kinds : kinds in the order they are stacked from below; patterns 1, 2, 3 ... follow it.
    counts : for each week, kind -> count.
    able : for each week, what the pace can take.
    labels : for each week, its name.
    """
    totals = [sum(week.values()) for week in counts]
    ticks = round_steps(largest([*totals, *able]), 4)
    scale = Scale(0, ticks[-1], TOP + TALL, TOP)
    bars = []
    for place, week in enumerate(counts):
        base = 0
        for number, kind in enumerate(kinds):
            count = week.get(kind, 0)
            if not count:
                continue
            top = scale(base + count)
            says = f"{labels[place]}: {count} {kind}; {totals[place]} of {able[place]}"
            bars.append(
                rect(axis.x(place) + 0.4, top, (axis.step - 0.8, scale(base) - top),
                     f"kind{number % 6 + 1}", says)
            )  # fmt: skip
            base += count
    return drawing(
        "weekbars",
        (axis.width, TOP + TALL + 26),
        (
            "Vehicles called in by week and type",
            f"{len(counts)} weeks, {sum(totals):,} vehicles; strokes: what the pace can take.",
        ),
        axis.shutdowns(TOP, TALL),
        _grid(scale, ticks, axis),
        axis.zone_strip(4),
        group("bars", *bars),
        path(_levels(axis, scale, able), "paceline"),
        axis.zone_edges(TOP, TOP + TALL),
        axis.months(TOP + TALL),
        words(LEFT - 10, TOP + TALL / 2 - 14, "vehicles", "tick end"),
        words(LEFT - 10, TOP + TALL / 2 + 1, "a week", "tick end"),
    )


def _grid(scale: Scale, ticks: Sequence[float], axis: WeekAxis) -> str:
    rules = [line((LEFT, scale(t)), (axis.end, scale(t)), "grid") for t in ticks[1:]]
    marks = [words(LEFT - 6, scale(t) + 4, f"{t:g}", "tick end") for t in (ticks[0], ticks[-1])]
    return group("scale", *rules, *marks)


def _levels(axis: WeekAxis, scale: Scale, able: Sequence[int]) -> str:
    """Level strokes only: where counts are small, upright ones would hide the bars."""
    course, last = "", -1
    for week, most in enumerate(able):
        if not most:
            last = -1
            continue
        start = "" if most == last else f"M{num(axis.x(week))} {num(scale(most))}"
        course += f"{start}H{num(axis.x(week + 1))}"
        last = most
    return course or "M0 0"
