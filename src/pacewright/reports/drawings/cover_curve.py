"""The float of one unit kind on the days ahead: expected stock, its range, and when it is out."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from pacewright.reports.drawings.date_axis import short
from pacewright.reports.drawings.scale import Scale, round_steps
from pacewright.reports.drawings.svg import Drawing, drawing, group, line, path, polyline, words
from pacewright.reports.written import number

LEFT, TOP, WIDE, TALL = 54.0, 34.0, 760.0, 220.0


@dataclass(frozen=True, slots=True)
class StockDay:
    """One day: expected stock and its range; below 0 so many are wanted and not there."""

    day: date | None
    expected: float
    low: float
    high: float


def cover_curve(now_units: int, days: Sequence[StockDay], out: int | None) -> Drawing:
    """The curve from now on, a working day a step.

    Parameters
    ----------
    now_units : serviceable in store now.
    out : place of the first day on which the expected stock is below nothing; None: on none.
    """
    highs, lows = [one.high for one in days], [one.low for one in days]
    most = round_steps(max([now_units, 1, *highs]), 4)
    least = min([0.0, *lows])
    step = most[1]
    floor = 0.0
    while floor > least:
        floor -= step
    up = Scale(floor, most[-1], TOP + TALL, TOP)
    across = Scale(0, len(days), LEFT, LEFT + WIDE)
    expected = [(across(0), up(now_units))]
    expected += [(across(n), up(one.expected)) for n, one in enumerate(days, 1)]
    band = [(across(0), up(now_units))]
    band += [(across(n), up(one.high)) for n, one in enumerate(days, 1)]
    band += [(across(n), up(one.low)) for n, one in reversed(list(enumerate(days, 1)))]
    ticks = [floor + step * n for n in range(int((most[-1] - floor) / step + 1.5))]
    return drawing(
        "covercurve",
        (LEFT + WIDE + 24, TOP + TALL + 40),
        ("Stock on the days ahead", _about(now_units, days, out)),
        _key(),
        group("scale", *(line((LEFT, up(t)), (LEFT + WIDE, up(t)), "grid") for t in ticks)),
        group("scale", *(words(LEFT - 8, up(t) + 4, f"{t:,g}", "tick end") for t in ticks)),
        path(polyline(band) + "Z", "band"),
        path(polyline(expected), "calledrun"),
        line((LEFT, up(0)), (LEFT + WIDE, up(0)), "paceline"),
        _dates(across, days),
        _out(across, up, days, out),
    )  # fmt: skip


def _key() -> str:
    return group(
        "key",
        line((LEFT, 12), (LEFT + 26, 12), "calledrun"),
        words(LEFT + 32, 16, "expected in store", "tick"),
        path(f"M{LEFT + 150} 6h26v12h-26z", "band"),
        words(LEFT + 182, 16, "nine cases of ten", "tick"),
        words(LEFT + 300, 16, "below the strong line: wanted and not there [units]", "tick"),
    )


def _dates(across: Scale, days: Sequence[StockDay]) -> str:
    base, found = TOP + TALL, []
    for place, one in enumerate(days, 1):
        if one.day is not None and (place == 1 or place % 5 == 0):
            x = across(place)
            found.append(line((x, base), (x, base + 5), "axis"))
            found.append(words(x, base + 18, short(one.day), "tick mid"))
    return group("scale", line((LEFT, base), (LEFT + WIDE, base), "axis"), *found)


def _out(across: Scale, up: Scale, days: Sequence[StockDay], out: int | None) -> str:
    if out is None:
        return ""
    x, day = across(out + 1), days[out].day
    said = f"▲ out {short(day)}" if day else "▲ out"
    end = x > LEFT + WIDE * 0.85
    return group(
        "out",
        line((x, up(0) - 16), (x, up(0) + 16), "promised"),
        words(x + (-6 if end else 6), up(0) - 8, said, "tick strong end" if end else "tick strong"),
    )


def _about(now_units: int, days: Sequence[StockDay], out: int | None) -> str:
    last = days[-1] if days else None
    said = f"{now_units} in store now"
    if last is not None:
        said += f"; {number(last.expected)} expected after {len(days)} working days"
    return said + ("; it runs out" if out is not None else "; it does not run out on the mean")
