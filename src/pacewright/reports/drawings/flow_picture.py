"""The works as a picture of its flow: stages in order by branch, what stands where, what piles up.

A row of nodes is read from left to right. From the end of one lane a line leads to the left edge
and into the next: whole vehicles, then the branches side by side, then whole vehicles again.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import groupby, pairwise
from math import ceil
from typing import Protocol

from pacewright.reports.drawings.flow_node import LINE, Store, draw_store
from pacewright.reports.drawings.svg import Drawing, drawing, group, num, path, rect, words

LEFT, RIGHT, STORE, GAP = 24.0, 1150.0, 96.0, 13.0
MOST_COLUMNS, LEAST_COLUMNS = 9, 6
TITLE, BETWEEN, ROWS = 17.0, 20.0, 12.0
AREA_NAME, AREA_EDGE = 13.0, 5.0
"""Height of the name of an area, and how far its ground reaches beyond its nodes."""


class Box(Protocol):
    """What stands in a row of the picture: a stage, or a shop that makes units good."""

    @property
    def name(self) -> str:
        """Its name."""

    @property
    def area(self) -> str:
        """The area it stands in; those of one area side by side share a ground; empty: none."""

    @property
    def stands(self) -> bool:
        """True where the picture must say that work stands."""

    def lines(self, wide: float) -> int:
        """Lines of its name in a room so wide."""

    def tall(self, lines: int) -> float:
        """Its height when the names of its row have so many lines."""

    def draw(self, at: tuple[float, float], room: tuple[float, int]) -> str:
        """Itself; ``room`` is its width and the lines of name of its row."""


@dataclass(frozen=True, slots=True)
class Lane:
    """One branch of the flow.

    Parameters
    ----------
    name : what goes along it.
    nodes : its stages in order; ``chained`` False for shops that stand side by side.
    store : where finished pieces wait at its end; None: nowhere.
    chained : True when each node leads to the next.
    """

    name: str
    nodes: tuple[Box, ...]
    store: Store | None = None
    chained: bool = True


@dataclass(slots=True)
class _Placed:
    """Where the parts of a lane stand: its rows, and the heights at which lines go in and out."""

    rows: list[tuple[float, tuple[Box, ...]]] = field(default_factory=list)
    enters: float = 0.0
    leaves: float = 0.0
    ends_at: float = 0.0
    top: float = 0.0
    base: float = 0.0


def flow_picture(
    said: tuple[str, str, str], before: Lane, branches: Sequence[Lane], after: Lane
) -> Drawing:
    """The whole picture.

    Parameters
    ----------
    said : its name, single on the page; its title; and what it says, empty: what stands and piles
        up by the nodes.
    before, after : the whole vehicle up to parting and from marriage on; either may be empty.
    branches : what happens side by side between them.
    """
    lanes = [lane for lane in (before, *branches, after) if lane.nodes]
    pitch = _pitch(lanes)
    y, placed = 4.0, []
    for lane in lanes:
        one = _place(lane, y, pitch)
        placed.append(one)
        y = one.base + BETWEEN
    middle = [n for n, lane in enumerate(lanes) if lane in branches]
    lines = _links(lanes, placed, middle, pitch)
    pairs = list(zip(lanes, placed, strict=True))
    grounds = [ground for _, one in pairs for ground in _grounds(one, pitch)]
    parts = [_draw(lane, one, pitch) for lane, one in pairs]
    name, title, about = said
    return drawing(name, (RIGHT + 14, y), (title, about or _about(lanes)), *grounds, *lines, *parts)


def _pitch(lanes: Sequence[Lane]) -> float:
    """Room of one node; a long lane is cut into rows of like length."""
    most = max((_columns(len(lane.nodes)) for lane in lanes), default=LEAST_COLUMNS)
    return (RIGHT - STORE - LEFT) / max(LEAST_COLUMNS, most)


def _columns(nodes: int) -> int:
    return ceil(nodes / ceil(nodes / MOST_COLUMNS)) if nodes else 0


def _place(lane: Lane, top: float, pitch: float) -> _Placed:
    each = _columns(len(lane.nodes))
    placed = _Placed(top=top)
    y = top + TITLE
    for first in range(0, len(lane.nodes), each):
        row = lane.nodes[first : first + each]
        lines = max(node.lines(pitch - GAP) for node in row)
        y += AREA_NAME if any(node.area for node in row) else 0.0
        placed.rows.append((y, row))
        y += max(node.tall(lines) for node in row) + ROWS
    placed.base = y - ROWS
    placed.enters = placed.rows[0][0] + LINE
    placed.leaves = placed.rows[-1][0] + LINE
    placed.ends_at = LEFT + len(placed.rows[-1][1]) * pitch - GAP
    return placed


def _draw(lane: Lane, placed: _Placed, pitch: float) -> str:
    wide = pitch - GAP
    parts = [words(LEFT, placed.top + 11, lane.name, "lanename")]
    for y, row in placed.rows:
        lines = max(node.lines(wide) for node in row)
        xs = [LEFT + place * pitch for place in range(len(row))]
        parts += [node.draw((x, y), (wide, lines)) for x, node in zip(xs, row, strict=True)]
        if lane.chained:
            parts += [_arrow(x + wide, after, y + LINE) for x, after in pairwise(xs)]
    if lane.store:
        parts.append(draw_store(lane.store, (RIGHT - STORE + 8, placed.rows[-1][0]), STORE - 20))
    return group("lane-of-flow", *parts)


def _grounds(placed: _Placed, pitch: float) -> list[str]:
    """The grounds of all areas of a lane; the lines of the flow lie over them."""
    found: list[str] = []
    for y, row in placed.rows:
        lines = max(node.lines(pitch - GAP) for node in row)
        found += _areas(row, (y, max(node.tall(lines) for node in row)), pitch)
    return found


def _areas(row: Sequence[Box], room: tuple[float, float], pitch: float) -> list[str]:
    """The grounds of a row's areas; ``room`` is the upper edge and height of its nodes."""
    (y, tall), parts, first = room, [], 0
    for area, nodes in groupby(row, key=lambda node: node.area):
        count = len(list(nodes))
        if area:
            x, wide = LEFT + first * pitch - AREA_EDGE, count * pitch - GAP + 2 * AREA_EDGE
            letters = int(wide / 5.6)
            short = area if len(area) <= letters else area[: letters - 1].rstrip() + "…"
            top = y - AREA_NAME
            parts.append(rect(x, top, (wide, tall + AREA_NAME + AREA_EDGE), "shoparea", area))
            parts.append(words(x + 4, top + 11, short, "areaname"))
        first += count
    return parts


def _links(
    lanes: Sequence[Lane], placed: Sequence[_Placed], middle: Sequence[int], pitch: float
) -> list[str]:
    """Lines between rows of a lane, and between lanes along the edges."""
    parts = []
    for one, lane in zip(placed, lanes, strict=True):
        if lane.chained:
            for (y, row), (below, next_row) in pairwise(one.rows):
                end = LEFT + len(row) * pitch - GAP
                ground = AREA_NAME - 3 if any(node.area for node in next_row) else 0.0
                gap = below - ROWS / 2 - 1 - ground
                parts.append(_return(end, y + LINE, gap, below + LINE))
    for here, then in pairwise(range(len(lanes))):
        if here in middle and then in middle:
            continue
        gap = placed[then].top - 7
        ends = [n for n in middle if n <= here] if here in middle else [here]
        starts = [n for n in middle if n >= then] if then in middle else [then]
        parts += [
            _out(placed[n], gap, bool(lanes[n].store), dashed=not lanes[n].chained) for n in ends
        ]
        parts.append(path(f"M{num(RIGHT)} {num(gap)}H{num(LEFT - 14)}", "flowline"))
        parts += [_into(placed[n].enters, gap, dashed=not lanes[n].chained) for n in starts]
    return parts


def _return(end: float, y: float, gap: float, below: float) -> str:
    """From the end of one row down and back to the start of the next."""
    course = f"M{num(end)} {num(y)}h6V{num(gap)}H{num(LEFT - 8)}V{num(below)}h5"
    return path(course, "flowline") + _head(LEFT, below)


def _out(placed: _Placed, gap: float, stored: bool, dashed: bool) -> str:
    """From the end of a lane to the right edge and down."""
    look = "flowline units" if dashed else "flowline"
    course = f"M{num(placed.ends_at)} {num(placed.leaves)}"
    if stored:
        into = RIGHT - STORE + 8
        course += f"H{num(into)}M{num(RIGHT - 12)} {num(placed.leaves)}"
    return path(f"{course}H{num(RIGHT)}V{num(gap)}", look)


def _into(y: float, gap: float, dashed: bool) -> str:
    look = "flowline units" if dashed else "flowline"
    return path(f"M{num(LEFT - 14)} {num(gap)}V{num(y)}H{num(LEFT - 3)}", look) + _head(LEFT, y)


def _arrow(start: float, end: float, y: float) -> str:
    return path(f"M{num(start)} {num(y)}H{num(end - 3)}", "flowline") + _head(end, y)


def _head(x: float, y: float) -> str:
    return path(f"M{num(x)} {num(y)}l-6 -3.5v7z", "flowhead")


def _about(lanes: Sequence[Lane]) -> str:
    said = [f"{lane.name}: {', '.join(n.name for n in lane.nodes)}" for lane in lanes]
    stands = [n.name for lane in lanes for n in lane.nodes if n.stands]
    piles = [lane.store.name for lane in lanes if lane.store and lane.store.piles_up]
    said.append(f"Work stands before: {', '.join(stands) or 'nowhere'}")
    said.append(f"Piles up: {', '.join(piles) or 'nothing'}")
    return ". ".join(said) + "."
