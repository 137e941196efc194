"""What events are about, held against the table by which they are found."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from sqlalchemy import Connection, select

from pacewright.events.record import Corrected, Recorded
from pacewright.events.things import Event
from pacewright.ledger.chain import Row
from pacewright.ledger.errors import READS_WRONG
from pacewright.ledger.subjects import subjects_of
from pacewright.ledger.tables import SUBJECTS
from pacewright.ledger.verified import RecordFault


class SubjectsTold:
    """Reads the table beside the events, both in order of place.

    Parameters
    ----------
    corrections : every correction of the record; each is also about what it mends.
    """

    def __init__(self, link: Connection, corrections: Sequence[Recorded]) -> None:
        asked = select(SUBJECTS.c.place, SUBJECTS.c.about).order_by(SUBJECTS.c.place)
        told = link.execute(asked.execution_options(yield_per=5_000))
        self._told = groupby(told, key=lambda one: int(one.place))
        self._ended = self._broken = False
        self._place, self._about, self._matched = 0, set[str](), True
        self._mends = {one.event.mends for one in corrections if isinstance(one.event, Corrected)}
        self._mended: dict[str, frozenset[str]] = {}

    def take(self, row: Row, event: Event) -> Iterator[RecordFault]:
        """Faults in what is told of one event."""
        wanted = subjects_of(event)
        if isinstance(event, Corrected):
            wanted |= self._mended.get(event.mends, frozenset())
        if row.event_id in self._mends:
            self._mended[row.event_id] = wanted
        yield from self._strays(row.place)
        there = set[str]()
        if self._place == row.place and not self._ended:
            there, self._matched = self._about, True
        if there != wanted and not self._broken:
            odd = ", ".join(sorted(there ^ wanted))
            yield RecordFault(row.place, f"what it is about is not told as it was kept: {odd}")

    def rest(self) -> Iterator[RecordFault]:
        """Faults in what is told beyond the last event."""
        return self._strays(None)

    def _strays(self, place: int | None) -> Iterator[RecordFault]:
        while not self._ended and (self._matched or place is None or self._place < place):
            if not self._matched:
                yield RecordFault(self._place, "it is told what it is about, and it is not there")
            try:
                self._place, group = next(self._told)
                self._about, self._matched = {str(one.about) for one in group}, False
            except StopIteration:
                self._ended = True
            except READS_WRONG as error:
                self._ended = self._broken = True
                yield RecordFault(0, f"what events are about cannot be read ({error})")
