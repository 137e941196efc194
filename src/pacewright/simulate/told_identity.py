"""Which body, chassis and bogie are on which vehicle, in a run told."""

from collections import defaultdict, deque
from collections.abc import Callable
from datetime import datetime

from pacewright.events.identity import Married, Parted
from pacewright.events.stages import Stored
from pacewright.events.things import WHOLE, Event, Piece
from pacewright.simulate.told_ground import Ground
from pacewright.simulate.told_here import Here

FLOOR = "floor"
"""Where assemblies wait to be married."""


class IdentityTold:
    """Tells parting and marriage, and keeps what each vehicle was last made whole from.

    Parameters
    ----------
    ground : names of the run.
    tell : takes the events.
    """

    def __init__(self, ground: Ground, tell: Callable[[Event], None]) -> None:
        self._ground, self._tell = ground, tell
        self._pieces: dict[str, list[Piece]] = {}
        self._store: dict[str, dict[str, deque[Here]]] = defaultdict(dict)
        self._taken: dict[int, list[Piece]] = defaultdict(list)

    def parted(self, at: datetime, lead: Here) -> list[Here]:
        """A vehicle is parted; on its first visit its assemblies are named after it.

        Returns
        -------
        The pieces beside the lead.
        """
        number = self._ground.numbers[lead.v]
        pieces = self._pieces.get(number) or self._named(lead.v)
        self._tell(Parted(at, number, tuple(pieces)))
        lead.piece = pieces[0]
        return [Here(lead.v, n, one) for n, one in enumerate(pieces[1:], start=1)]

    def _named(self, v: int) -> list[Piece]:
        number = self._ground.numbers[v]
        pieces = []
        for chain in self._ground.chains.of_type[self._ground.types[v]].parts:
            letter = chain.assembly_id[0].upper()
            for n in range(chain.pieces):
                place = f"-{n + 1}" if chain.pieces > 1 else ""
                pieces.append(Piece(chain.assembly_id, f"{letter}-{number}{place}"))
        return pieces

    def stored(self, at: datetime, here: Here) -> None:
        """A piece waits on the floor for any vehicle of its type."""
        self._tell(Stored(at, here.piece, FLOOR))
        store = self._store[self._ground.types[here.v]]
        store.setdefault(here.piece.assembly_id, deque()).append(here)

    def taken(self, v: int, origin: int) -> Here:
        """The piece that vehicle ``v`` takes, which came in with vehicle ``origin``.

        Assemblies of a type are taken one after the other, of each the one that waits longest.
        """
        type_id = self._ground.types[v]
        parts = self._ground.chains.of_type[type_id].parts[1:]
        wanted = [chain.assembly_id for chain in parts for _ in range(chain.pieces)]
        mine = self._taken[v]
        here = self._store[type_id][wanted[len(mine)]].popleft()
        if here.v != origin:
            raise AssertionError(f"told: the run takes from {origin}, the floor has {here.v} first")
        mine.append(here.piece)
        return here

    def married(self, at: datetime, lead: Here) -> None:
        """The vehicle is whole."""
        number = self._ground.numbers[lead.v]
        pieces = [lead.piece, *self._taken.pop(lead.v)]
        self._tell(Married(at, number, tuple(pieces)))
        self._pieces[number] = pieces
        lead.piece = Piece(WHOLE, number)
