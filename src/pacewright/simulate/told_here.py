"""A piece of a run as it is told, and the positions within the stages."""

from dataclasses import dataclass, field

from pacewright.events.things import Cause, Piece, Unit

NOWHERE = -1


@dataclass(slots=True)
class Ask:
    """Units of a kind a piece at its stage asks for.

    Parameters
    ----------
    here : the piece.
    lacks : units not yet given.
    got : units issued for it and not fitted yet.
    """

    here: "Here"
    lacks: int
    got: list[Unit] = field(default_factory=list)


@dataclass(slots=True, eq=False)
class Here:
    """A piece on its way.

    Parameters
    ----------
    v, n : vehicle index and number of the piece in the run.
    piece : the name it goes by now.
    stage, step, position : where it stands; stage NOWHERE before the first.
    started : crew -> minute at which it began.
    failed : items that failed at the stage; None: it has not failed.
    wait : counts the waits, so that a late word of one that is over is known as such.
    waits_for : why it stands, and for what; held : the cause that was told.
    unsafe : under a safety hold.
    asks : kind -> what it asks for here; fitted : True when that has gone on.
    skipped : True when the end of the stage was not told.
    """

    v: int
    n: int
    piece: Piece
    stage: int = NOWHERE
    step: int = -1
    position: int = 0
    started: dict[int, int] = field(default_factory=dict)
    failed: tuple[str, ...] | None = None
    passed: set[str] = field(default_factory=set)
    wait: int = 0
    cause: Cause | None = None
    waits_for: str = ""
    held: Cause | None = None
    unsafe: bool = False
    asks: dict[int, Ask] = field(default_factory=dict)
    skipped: bool = False


class Positions:
    """Positions of every stage, numbered from 1; a piece is given the lowest that is free.

    Parameters
    ----------
    count : positions of each stage.
    """

    def __init__(self, count: list[int]) -> None:
        self._count = count
        self._there: list[dict[int, set[Here]]] = [{} for _ in count]
        self._out: list[list[int]] = [[] for _ in count]

    def enter(self, here: Here, stage: int) -> int:
        """The piece leaves where it stood and stands at ``stage``; its position."""
        self.leave(here)
        there, out = self._there[stage], self._out[stage]
        position = 1
        while position in there or position in out:
            position += 1
        there[position] = {here}
        here.stage, here.position = stage, position
        return position

    def share(self, lead: Here, others: list[Here]) -> None:
        """Pieces just parted stand together where the vehicle stood."""
        for one in others:
            one.stage, one.position = lead.stage, lead.position
            self._there[lead.stage][lead.position].add(one)

    def leave(self, here: Here) -> None:
        """The piece stands on no position any more."""
        if here.position:
            there = self._there[here.stage]
            there[here.position].discard(here)
            if not there[here.position]:
                del there[here.position]
            here.position = 0

    def lose(self, stage: int) -> int:
        """A position is lost: the last one that is free, else the last; its number."""
        out, there = self._out[stage], self._there[stage]
        left = [one for one in range(self._count[stage], 0, -1) if one not in out]
        lost = next((one for one in left if one not in there), left[0] if left else 0)
        if lost:
            out.append(lost)
        return lost

    def regain(self, stage: int) -> int:
        """The position lost first is back; its number, 0 when none was told lost."""
        return self._out[stage].pop(0) if self._out[stage] else 0
