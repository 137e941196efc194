"""A stage as the picture of the works shows it: its queue, its positions and who is there."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

from pacewright.plans.flow_day import Doing, OnPosition, Source, StageDay
from pacewright.reports.drawings.flow_node import NAME_LINE, STRIP, name_lines
from pacewright.reports.drawings.svg import circle, group, line, num, path, rect, words
from pacewright.reports.written import listed, number, share, some

CELL, CELL_GAP, ACROSS, MOST_CELLS = 16.0, 2.0, 3, 12
"""Height of a position, the room between two, most in a row; above so many it is one bar."""

WORD_LINE, EDGE = 12.5, 4.0
LETTER = 5.1
"""Width of a letter in a position."""

DOT, MOST_DOTS = 3.6, 6

LOOKS = {Doing.WORK: "cellwork", Doing.DONE: "celldone", Doing.STANDS: "cellstands"}
SQUARE = "M0 0h8v8h-8z"
HEAP = "M0 8L4.5 0L9 8z"
"""The signs of what stands and of what piles up, so that neither hangs on its colour."""


@dataclass(frozen=True, slots=True)
class StageBox:
    """One stage on one day.

    Parameters
    ----------
    day : the stage.
    area : name of its shop.
    source : where its figures come from.
    """

    day: StageDay
    area: str
    source: Source

    @property
    def name(self) -> str:
        """Its name."""
        return self.day.name

    @property
    def stands(self) -> bool:
        """True where work stands, or will."""
        return self.day.has_standing

    def lines(self, wide: float) -> int:
        """Lines of its name in a room so wide."""
        return len(name_lines(self.name, wide))

    def tall(self, lines: int) -> float:
        """Its height when the names of its row have so many lines."""
        signs = len(list(self._signs())) + bool(self.day.likely)
        cells = self._rows() * (CELL + CELL_GAP)
        return STRIP + 6 + lines * NAME_LINE + 4 + cells + WORD_LINE * (1 + signs) + 5

    def draw(self, at: tuple[float, float], room: tuple[float, int]) -> str:
        """The stage with its upper left corner at ``at``; ``room`` is its width and name lines."""
        (x, y), (wide, lines) = at, room
        look = "node" + (" stands" if self.stands else " piles" if self.day.piles_up else "")
        look += " some" if self.day.only else ""
        cells = y + STRIP + 6 + lines * NAME_LINE + 4
        below = cells + self._rows() * (CELL + CELL_GAP) + 9
        parts = [
            rect(x, y + STRIP, (wide, self.tall(lines) - STRIP), look, self.says()),
            *(
                words(x + EDGE, y + STRIP + 13 + n * NAME_LINE, said, "nodename")
                for n, said in enumerate(name_lines(self.name, wide))
            ),
            *self._cells((x + EDGE, cells), wide - 2 * EDGE),
            words(x + EDGE, below, self._held(), "nodeword"),
        ]
        if self.day.likely:
            below += WORD_LINE
            parts.append(words(x + EDGE, below, self._likely(wide), "cellname"))
        for n, (course, look, said) in enumerate(self._signs()):
            base = below + (n + 1) * WORD_LINE
            mark = f'<g transform="translate({num(x + EDGE)} {num(base - 8)})">'
            parts += [f"{mark}{path(course, look)}</g>"]
            parts.append(words(x + EDGE + 13, base, said, f"nodeword {look}word"))
        return group("stage", *parts, *self._queue((x, y), wide))

    def _rows(self) -> int:
        many = self.day.positions > MOST_CELLS or self.source is Source.FORECAST
        return 1 if many else ceil(self.day.positions / self._across())

    def _across(self) -> int:
        # Four stand two by two: a number is read better there than in four narrow ones.
        return 2 if self.day.positions == 4 else min(ACROSS, self.day.positions)

    def _held(self) -> str:
        day = self.day
        digits = 1 if self.source is Source.FORECAST else 0
        said = f"{number(day.held, digits)} of {day.positions}"
        return said + (f", {number(day.lost, digits)} out" if round(day.lost, digits) else "")

    def _likely(self, wide: float) -> str:
        """The vehicles that are likely there, as many as there is room for."""
        names = [name for name, _ in self.day.likely]
        most = len(names)
        while most > 1 and len(listed(names, most)) * LETTER > wide - 2 * EDGE:
            most -= 1
        return " ".join(names[:most]) + (f" +{len(names) - most}" if most < len(names) else "")

    def _signs(self) -> Iterator[tuple[str, str, str]]:
        day, ahead = self.day, self.source is Source.FORECAST
        if day.has_standing:
            said = f"will stand {share(day.chance_stands)}" if ahead else "stands"
            yield SQUARE, "signstands", said
        if day.piles_up:
            said = f"will pile up {share(day.chance_piles)}" if ahead else "piles up"
            yield HEAP, "signpiles", said

    # -- positions ---------------------------------------------------------------------------

    def _cells(self, at: tuple[float, float], wide: float) -> Iterator[str]:
        count = self.day.positions
        if self.source is Source.FORECAST or count > MOST_CELLS:
            yield from self._bar(at, wide)
            return
        across = self._across()
        room = (wide - (across - 1) * CELL_GAP) / across
        for n in range(count):
            x = at[0] + n % across * (room + CELL_GAP)
            y = at[1] + n // across * (CELL + CELL_GAP)
            here = [one for one in self.day.here if one.position == n + 1]
            if here:
                yield from _held(here, (x, y), room)
            elif n + 1 in self.day.out:
                yield _lost((x, y), room, n + 1)
            else:
                yield rect(x, y, (room, CELL), "cellfree", f"Position {n + 1}: free")

    def _bar(self, at: tuple[float, float], wide: float) -> Iterator[str]:
        """Shares of all positions, for means and for many: at work, done, standing, out."""
        day, (x, y) = self.day, at
        each = wide / day.positions
        yield rect(x, y, (wide, CELL), "cellfree")
        work = max(0.0, day.held - day.done - day.stands)
        parts = ((work, "cellwork"), (day.done, "celldone"), (day.stands, "cellstands"))
        left = x
        for count, look in parts:
            room = min(count * each, x + wide - left)
            if room > 0.3:
                yield rect(left, y, (room, CELL), look)
            left += max(0.0, room)
        if day.lost * each > 0.3:
            yield rect(x + wide - day.lost * each, y, (day.lost * each, CELL), "cellout")
        for n in range(1, day.positions) if day.positions <= MOST_CELLS else ():
            yield line((x + n * each, y), (x + n * each, y + CELL), "celledge")

    # -- the queue ---------------------------------------------------------------------------

    def _queue(self, at: tuple[float, float], wide: float) -> Iterator[str]:
        """A dot for each piece that waits, and their names or their number."""
        waiting = self.day.waiting
        if waiting <= 0.05:
            return
        (x, y), middle = at, at[1] + STRIP / 2 - 1
        dots = min(MOST_DOTS, max(1, round(waiting)))
        for n in range(dots):
            yield circle(x + DOT + n * (2 * DOT + 1), middle, DOT, "queued")
        end = x + dots * (2 * DOT + 1)
        names = " ".join(self.day.queue)
        fits = names and len(names) * LETTER < wide - (end - x) - 8
        digits = 1 if self.source is Source.FORECAST else 0
        said = names if fits else f"{number(waiting, digits)} wait"
        yield words(x + wide, y + STRIP - 4, said, "nodeword end")

    def says(self) -> str:
        """All of it in words, for those who point at it and for those who do not see it."""
        day = self.day
        digits = 1 if self.source is Source.FORECAST else 0
        only = f", only {', '.join(day.only)}" if day.only else ""
        said = [
            f"{day.name}, {self.area}{only}: {number(day.held, digits)} of "
            f"{some(day.positions, 'position')} held, {number(day.waiting, digits)} wait",
            f"{number(day.done, digits)} done and cannot leave" if day.done > 0.05 else "",
            f"{number(day.stands, digits)} stand" if day.stands > 0.05 else "",
            f"for {listed(list(day.why), 3)}" if day.why and day.stands > 0.05 else "",
            f"{number(day.lost, digits)} out of use" if day.lost > 0.05 else "",
        ]
        likely = [f"{name} {share(chance)}" for name, chance in day.likely]
        said.append(f"likely there: {listed(likely, 6)}" if likely else "")
        return ", ".join(one for one in said if one)


def _held(here: list[OnPosition], at: tuple[float, float], room: float) -> Iterator[str]:
    """A position that is held, with the number of who stands there."""
    (x, y), one = at, here[0]
    worst = next((piece for piece in here if piece.doing is Doing.STANDS), one)
    why = f", {worst.why}" if worst.why else ""
    names = ", ".join(piece.name for piece in here)
    yield rect(x, y, (room, CELL), LOOKS[worst.doing],
               f"Position {one.position}: {names}: {worst.doing}{why}")  # fmt: skip
    letters = int((room - 3) / LETTER)
    name = one.name if len(here) == 1 else f"{one.name}+"
    short = name if len(name) <= letters else "…" + name[-(letters - 1) :]
    look = "cellname mid" + (" strong" if worst.doing is Doing.STANDS else "")
    yield words(x + room / 2, y + CELL - 4.5, short, look)


def _lost(at: tuple[float, float], room: float, position: int) -> str:
    x, y = at
    cross = f"M{num(x + 2)} {num(y + 2)}L{num(x + room - 2)} {num(y + CELL - 2)}"
    cross += f"M{num(x + room - 2)} {num(y + 2)}L{num(x + 2)} {num(y + CELL - 2)}"
    ground = rect(x, y, (room, CELL), "cellout", f"Position {position}: out of use")
    return ground + path(cross, "cellcross")
