"""One node of the flow picture: what waits before a stage, its places and how many are held."""

from dataclasses import dataclass
from math import ceil, sqrt
from textwrap import wrap

from pacewright.reports.drawings.svg import circle, group, line, num, path, rect, words
from pacewright.reports.written import number

STRIP = 14.0
"""Height of the strip above a node in which what waits is drawn."""

LETTER, NAME_LINE, MOST_LINES = 5.9, 12.5, 3
LINE = STRIP + 22.0
"""Height, below the top of a node, at which the lines of the flow meet it."""

DOT, MOST_DOTS = 3.6, 7
MOST_CELLS = 12
"""Above so many places they are drawn as one bar."""


@dataclass(frozen=True, slots=True)
class Node:
    """One stage, or one shop that makes units good.

    Parameters
    ----------
    name : its name.
    waiting : pieces that wait for it on average.
    held, places : how many of its places are held on average; places 0: there are none to draw.
    below : figures in words under its places.
    stands : True where so much waits that the picture must say so.
    says : all figures, when pointed at.
    not_all : True where only some types pass.
    area : the area it stands in; nodes of one area side by side share a ground. Empty: none.
    """

    name: str
    waiting: float
    held: float
    places: int
    below: str
    stands: bool
    says: str
    not_all: bool = False
    area: str = ""

    def lines(self, wide: float) -> int:
        """Lines of its name in a room so wide."""
        return len(name_lines(self.name, wide))

    def tall(self, lines: int) -> float:
        """Its height when the names of its row have so many lines."""
        return tall_of(lines)

    def draw(self, at: tuple[float, float], room: tuple[float, int]) -> str:
        """Itself with its upper left corner at ``at``."""
        return draw_node(self, at, room)


@dataclass(frozen=True, slots=True)
class Store:
    """Finished pieces at the end of a branch: how many, what they wait for, whether they pile up.

    ``mark`` is the word that stands where there are many: ``piles up`` or ``stands``; means are
    told with a decimal, counts without: ``digits``.
    """

    name: str
    pieces: float
    mark: str
    says: str
    digits: int = 1

    @property
    def piles_up(self) -> bool:
        """True where the picture must say so."""
        return bool(self.mark)


def name_lines(name: str, wide: float) -> list[str]:
    """A name in at most three lines; what does not fit ends in dots."""
    letters = max(6, int((wide - 8) / LETTER))
    lines = wrap(name, letters) or [""]
    if len(lines) > MOST_LINES:
        lines = lines[:MOST_LINES]
        lines[-1] = lines[-1][: letters - 1].rstrip(" ,:") + "…"
    return lines


def tall_of(lines: int) -> float:
    """Height of a node, strip and all, whose row has names of so many lines."""
    return STRIP + 6 + lines * NAME_LINE + 12 + 15


def draw_node(node: Node, at: tuple[float, float], room: tuple[float, int]) -> str:
    """The node with its upper left corner at ``at``; ``room`` is its width and lines of name."""
    (x, y), (wide, lines) = at, room
    top = y + STRIP
    look = "node" + (" stands" if node.stands else "") + (" some" if node.not_all else "")
    cells = top + 7 + lines * NAME_LINE
    parts = [
        rect(x, top, (wide, tall_of(lines) - STRIP), look, node.says),
        *(
            words(x + 4, top + 13 + n * NAME_LINE, said, "nodename")
            for n, said in enumerate(name_lines(node.name, wide))
        ),
        _cells(node, (x + 4, cells), wide - 8),
        words(x + 4, cells + 19, node.below, "nodeword"),
        _waiting(node.waiting, (x, y), wide),
    ]
    if node.stands:
        parts.append(words(x + wide - 4, cells + 19, "stands", "nodeword bad end"))
    return group("stage", *parts)


def _cells(node: Node, at: tuple[float, float], wide: float) -> str:
    """Places side by side, filled from the left by how many are held."""
    if not node.places:
        return ""
    (x, y), count = at, node.places if node.places <= MOST_CELLS else 1
    each = wide / count
    gap = min(2.0, each * 0.2)
    full = node.held / node.places * count
    parts = []
    for n in range(count):
        left, room = x + n * each, each - gap
        parts.append(rect(left, y, (room, 8), "place"))
        part = min(1.0, max(0.0, full - n))
        if part > 0.01:
            parts.append(rect(left, y, (room * part, 8), "placeheld"))
    return group("places", *parts)


def _waiting(waiting: float, at: tuple[float, float], wide: float) -> str:
    """A dot a piece, the last as large as its part; the number says how many."""
    if not waiting > 0.05:
        return ""
    (x, y), middle = at, at[1] + STRIP / 2 - 1
    most = min(MOST_DOTS, int((wide - 32) / (2 * DOT + 1)))
    dots = min(most, ceil(waiting))
    parts = []
    for n in range(dots):
        part = min(1.0, waiting - n)
        parts.append(
            circle(x + DOT + n * (2 * DOT + 1), middle, max(1.2, DOT * sqrt(part)), "waits")
        )
    if waiting > most:
        right = x + dots * (2 * DOT + 1) + 1
        parts.append(path(f"M{num(right)} {num(middle - 3)}h5m-5 3h5m-5 3h5", "waitsmore"))
    parts.append(words(x + wide, y + STRIP - 4, number(waiting), "nodeword end"))
    return group("waiting", *parts)


def draw_store(store: Store, at: tuple[float, float], wide: float) -> str:
    """A heap of plates with the number that lies there."""
    x, y = at[0], at[1] + STRIP
    plates = max(1, min(4, ceil(store.pieces)))
    said = wrap(store.name, max(8, int(wide / LETTER)))[:2]
    parts = [rect(x, y, (wide, 44), "store" + (" piles" if store.piles_up else ""), store.says)]
    parts += [
        line((x + wide - 22, y + 16 - 4 * n), (x + wide - 6, y + 16 - 4 * n), "plate")
        for n in range(plates)
    ]
    parts.append(words(x + 4, y + 17, number(store.pieces, store.digits), "nodeword strong"))
    parts += [words(x + 4, y + 29 + 12 * n, one, "nodeword") for n, one in enumerate(said)]
    if store.mark:
        parts.append(words(x + wide, y - 4, store.mark, "nodeword bad end"))
    return group("stored", *parts)
