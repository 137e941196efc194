"""The marks of the causes of a hold-up: a shape each, so that no cause hangs on colour."""

from math import cos, pi, sin

from pacewright.reports.drawings.svg import Drawing, num

_HEXAGON = "M" + "L".join(
    f"{num(8 + 6.5 * cos(n * pi / 3))} {num(8 + 6.5 * sin(n * pi / 3))}" for n in range(6)
)

SHAPES = {
    "gate": "M2.5 2v12M13.5 2v12M2.5 6h11M2.5 10h11",
    "position": "M2.5 4.5v9h11v-9M6 2h4v7h-4z",
    "part": f"{_HEXAGON}ZM10.5 8a2.5 2.5 0 1 0 -5 0a2.5 2.5 0 1 0 5 0",
    "assembly": "M2 2.5h8v8h-8zM6 6.5h8v8h-8z",
    "batch": "M2.5 3h11M2.5 6.5h11M2.5 10h5.5M2.5 13.5h11",
    "people": "M10.8 4.6a2.8 2.8 0 1 0 -5.6 0a2.8 2.8 0 1 0 5.6 0M2.5 14.5c0 -8 11 -8 11 0z",
    "inspection": "M11 6.5a4.5 4.5 0 1 0 -9 0a4.5 4.5 0 1 0 9 0M9.8 9.8L14.5 14.5",
}
"""Cause -> course: a barred gate, a full berth, a nut, two that belong together, a charge with a
gap, a person, a magnifying glass."""


def cause_mark(cause: str) -> Drawing:
    """The mark alone, to stand before its word."""
    return Drawing(
        '<svg class="badge cause" viewBox="0 0 16 16" width="16" height="16" aria-hidden="true">'
        f'<path d="{SHAPES.get(cause, "M3 8h10")}"/></svg>'
    )
