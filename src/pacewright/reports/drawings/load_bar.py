"""One row of a load table: how far a place reaches against the pace."""

from dataclasses import dataclass
from math import isfinite

from pacewright.reports.drawings.marks import LOOKS
from pacewright.reports.drawings.scale import Scale
from pacewright.reports.drawings.svg import Drawing, group, line, num, path, rect, small, words

WIDE, TALL = 280.0, 24.0
MOST = 2.2
"""Reach of the scale in paces; what reaches further ends in an arrow."""

_SCALE = Scale(0, MOST, 4, WIDE - 12)


@dataclass(frozen=True, slots=True)
class Reach:
    """What a load bar shows, all in vehicles a week over the pace.

    ``able`` the bar; ``wanted`` a hollow post where the place would reach with what is wanted;
    ``spread`` half width of the band around the pace in which nine weeks of ten fall;
    ``shown`` a diamond at what the records show.
    """

    able: float
    gear: str
    wanted: float | None = None
    spread: float = 0.0
    shown: float | None = None


def load_bar(reach: Reach, says: str) -> Drawing:
    """The bar, the pace line across it, and the marks."""
    pace, end = _SCALE(1), _SCALE.held(reach.able)
    parts = [rect(_SCALE(0), 8, (_SCALE(MOST) - _SCALE(0), 8), "track")]
    if reach.spread > 0:
        left, right = _SCALE.held(1 - reach.spread), _SCALE.held(1 + reach.spread)
        parts.append(rect(left, 3, (right - left, 18), "spread"))
    look = LOOKS.get(reach.gear, "geared")
    parts.append(rect(_SCALE(0), 8, (max(1.0, end - _SCALE(0)), 8), f"load {look}"))
    if reach.able > MOST or not isfinite(reach.able):
        parts.append(path(f"M{num(end)} 6l7 6l-7 6z", f"load {look}"))
    if reach.wanted is not None and isfinite(reach.wanted):
        parts.append(rect(_SCALE.held(reach.wanted) - 1.5, 5, (3, 14), "wanted"))
    if reach.shown is not None and isfinite(reach.shown):
        x = _SCALE.held(reach.shown)
        parts.append(path(f"M{num(x)} 6l5 6l-5 6l-5 -6z", "shown"))
    parts.append(line((pace, 0), (pace, TALL), "paceline"))
    return small((WIDE, TALL), says, *parts)


def load_axis(pace: str) -> Drawing:
    """The scale over the bars: nothing, the pace, twice the pace."""
    return small(
        (WIDE, 26),
        f"scale from 0 to {MOST} times the pace of {pace} vehicles a week",
        group(
            "scale",
            words(_SCALE(0), 11, "0", "tick"),
            words(_SCALE(1), 11, f"pace {pace}", "tick strong mid"),
            words(_SCALE(2), 11, "twice", "tick mid"),
        ),
        *(
            line((_SCALE(n), 16), (_SCALE(n), 26), "paceline" if n == 1 else "axis")
            for n in (0, 1, 2)
        ),
    )
