"""The few shapes all drawings are made of, as escaped SVG text.

Colours and patterns are classes that the style sheet of the page fills in, so that one drawing
serves light, dark and print.
"""

from collections.abc import Iterable
from html import escape


class Drawing(str):
    """Finished SVG or HTML text, already escaped; templates take it as it is."""

    __slots__ = ()

    def __html__(self) -> str:
        return self


def num(value: float) -> str:
    """A coordinate with one decimal and no needless zero."""
    return f"{value:.1f}".removesuffix(".0")


def rect(x: float, y: float, size: tuple[float, float], look: str, says: str = "") -> str:
    """A rectangle of ``size`` (width, height); ``says`` is shown when pointed at."""
    start = f'<rect x="{num(x)}" y="{num(y)}" width="{num(size[0])}" height="{num(size[1])}"'
    return f'{start} class="{look}"{_end("rect", says)}'


def line(start: tuple[float, float], end: tuple[float, float], look: str) -> str:
    """A straight line."""
    (x1, y1), (x2, y2) = start, end
    return f'<line x1="{num(x1)}" y1="{num(y1)}" x2="{num(x2)}" y2="{num(y2)}" class="{look}"/>'


def path(course: str, look: str, says: str = "") -> str:
    """A path along ``course`` (SVG path data)."""
    return f'<path d="{course}" class="{look}"{_end("path", says)}'


def circle(x: float, y: float, radius: float, look: str, says: str = "") -> str:
    """A circle."""
    start = f'<circle cx="{num(x)}" cy="{num(y)}" r="{num(radius)}" class="{look}"'
    return start + _end("circle", says)


def within(said: str, most: int) -> str:
    """A name in the room there is: what is cut off is told by an ellipsis.

    Examples
    --------
    >>> within("Running gear", 8)
    'Running…'
    """
    return said if len(said) <= most else said[: most - 1].rstrip(" ,:") + "…"


def words(x: float, y: float, said: str, look: str = "") -> str:
    """Text whose baseline starts at (x, y); the look may be ``end`` or ``mid`` for its anchor."""
    kind = f' class="{look}"' if look else ""
    return f'<text x="{num(x)}" y="{num(y)}"{kind}>{escape(said)}</text>'


def group(look: str, *parts: str) -> str:
    """Parts that share a look."""
    return f'<g class="{look}">{"".join(parts)}</g>'


def polyline(points: Iterable[tuple[float, float]]) -> str:
    """Path data through the points."""
    return "M" + "L".join(f"{num(x)} {num(y)}" for x, y in points)


def steps(points: Iterable[tuple[float, float]]) -> str:
    """Path data that keeps each height until the next point."""
    course = ""
    for x, y in points:
        course += f"H{num(x)}V{num(y)}" if course else f"M{num(x)} {num(y)}"
    return course


def drawing(name: str, size: tuple[float, float], said: tuple[str, str], *parts: str) -> Drawing:
    """A whole drawing.

    Parameters
    ----------
    name : single on the page; makes the ids.
    size : width and height in user units; the page never shows it narrower than it is readable.
    said : its title and a description, for those who do not see it.
    """
    title, about = said
    width, height = num(size[0]), num(size[1])
    return Drawing(
        f'<svg class="drawing" viewBox="0 0 {width} {height}" width="{width}" height="{height}"'
        f' role="img" aria-labelledby="{name}-t {name}-d">'
        f'<title id="{name}-t">{escape(title)}</title><desc id="{name}-d">{escape(about)}</desc>'
        f"{''.join(parts)}</svg>"
    )


def small(size: tuple[float, float], says: str, *parts: str) -> Drawing:
    """A drawing that stands in a table cell; the row says the same in figures."""
    width, height = num(size[0]), num(size[1])
    return Drawing(
        f'<svg class="inrow" viewBox="0 0 {width} {height}" width="{width}" height="{height}"'
        f' role="img" aria-label="{escape(says)}">{"".join(parts)}</svg>'
    )


def _end(tag: str, says: str) -> str:
    return f"><title>{escape(says)}</title></{tag}>" if says else "/>"
