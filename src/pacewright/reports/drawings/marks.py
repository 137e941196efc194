"""The marks of the four gears: a shape and a word each, so that colour is never alone."""

from math import cos, pi, sin

from pacewright.reports.drawings.svg import Drawing, circle, group, num, path

LOOKS = {
    "holds up": "slow",
    "tight": "tight",
    "geared": "geared",
    "runs ahead": "ahead",
}
"""Gear -> class of the style sheet."""


def shape(gear: str, x: float, y: float, size: float = 6.0) -> str:
    """The mark of a gear with its middle at (x, y): octagon, triangle, circle, double arrow."""
    look = "mark " + LOOKS.get(gear, "geared")
    if gear == "holds up":
        corners = [pi / 8 + n * pi / 4 for n in range(8)]
        return path(_closed([(x + size * cos(a), y + size * sin(a)) for a in corners]), look)
    if gear == "tight":
        return path(
            _closed(
                [
                    (x, y - size),
                    (x + size * 1.05, y + size * 0.8),
                    (x - size * 1.05, y + size * 0.8),
                ]
            ),
            look,
        )
    if gear == "runs ahead":
        return group(look, *(path(_arrow(x + d, y, size), "") for d in (-size, 0)))
    return circle(x, y, size * 0.85, look)


def badge(gear: str) -> Drawing:
    """The mark alone, to stand before its word."""
    return Drawing(
        '<svg class="badge" viewBox="0 0 16 16" width="16" height="16" aria-hidden="true">'
        f"{shape(gear, 8, 8)}</svg>"
    )


def _closed(points: list[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{num(x)} {num(y)}" for x, y in points) + "Z"


def _arrow(x: float, y: float, size: float) -> str:
    return _closed([(x, y - size * 0.8), (x + size, y), (x, y + size * 0.8)])
