"""Copies of where everything stands, for those who read at leisure while others book."""

import threading
from collections import deque
from dataclasses import dataclass, replace
from weakref import finalize

from sqlalchemy import Connection

from pacewright.events.standing import Standing
from pacewright.ledger.live import goes_on
from pacewright.ledger.stood import Stood

MOST_IDLE = 3
"""Copies kept that nobody reads."""


@dataclass(frozen=True, slots=True)
class Copy:
    """Where everything stood after the event at a place of the record.

    Parameters
    ----------
    standing : nobody changes it while somebody holds it; never change it. Hold it itself, not
        only something in it: once it is let go, what is in it goes on with the record.
    """

    standing: Standing
    place: int


class Copies:
    """Lends copies; one that was let go is taken up to a later place and lent again.

    To copy the standing of a long record takes half a second, to fold the events since the last
    copy next to nothing.
    """

    def __init__(self) -> None:
        self._turn = threading.Lock()
        self._idle: list[Stood] = []
        # They come back whenever memory is given back, by any thread and in any line of this code:
        # to be laid down without taking a turn.
        self._back: deque[Stood] = deque()

    def idle(self, link: Connection, until: int | None) -> Stood | None:
        """The idle copy nearest to a place, not beyond it; None: there is none to go on from.

        Parameters
        ----------
        until : place; None: the end of the record.
        """
        with self._turn:
            while self._back:
                self._idle.append(self._back.popleft())
            self._idle.sort(key=lambda one: one.place)
            near = [one for one in self._idle if until is None or one.place <= until]
            found = near[-1] if near else None
            self._idle = [one for one in self._idle if one is not found][-MOST_IDLE:]
        if found is None:
            return None
        # After a correction no copy from before it can be used again.
        return found if goes_on(link, found) else None

    def lend(self, stood: Stood) -> Copy:
        """Give a copy out; it comes back by itself when nobody holds its standing any more."""
        # Another object over the same books: the one whose end tells that nobody reads.
        shown = replace(stood.standing)
        finalize(shown, self._back.append, stood).atexit = False
        return Copy(shown, stood.place)
