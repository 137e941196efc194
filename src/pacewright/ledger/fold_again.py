"""The record folded anew with every rule asked, and its snapshots held against that."""

from collections.abc import Iterator, Sequence

from sqlalchemy import Connection

from pacewright.events.fold import refusals
from pacewright.events.record import Corrected, Recorded
from pacewright.events.snapshot import FORM, StaleSnapshotError
from pacewright.events.things import Event
from pacewright.ledger.chain import Row
from pacewright.ledger.errors import READS_WRONG
from pacewright.ledger.recall import instead_of
from pacewright.ledger.snapshots import snapshot_at, snapshot_places
from pacewright.ledger.stood import Stood
from pacewright.ledger.verified import RENEW, RecordFault


class FoldAgain:
    """Folds event after event for as long as that is possible.

    Parameters
    ----------
    corrections : every correction of the record; None: they cannot be read.
    """

    def __init__(self, link: Connection, corrections: Sequence[Recorded] | None) -> None:
        self._link, self._stood = link, Stood()
        self._awaited = snapshot_places(link)
        self._folds = corrections is not None
        try:
            self._instead = instead_of(list(corrections or ()))
        except READS_WRONG:
            self._instead, self._folds = {}, False
        self._strange = set(self._instead)

    def take(self, row: Row, event: Event | None) -> Iterator[RecordFault]:
        """Faults of one event and of the snapshot after it; ``event`` None: it is unreadable."""
        if event is None:
            self._folds = False
        elif self._folds:
            self._strange.discard(row.event_id)
            yield from self._fold(row, event)
        self._stood.step(row)
        while self._awaited and self._awaited[0] <= row.place:
            yield from self._snapshot(self._awaited.pop(0), row)

    def rest(self) -> Iterator[RecordFault]:
        """Faults of what mends or keeps events that are not there."""
        if self._folds:
            for event_id in sorted(self._strange):
                yield RecordFault(0, f"event {event_id} is mended, and is not there")
        for place in self._awaited:
            yield RecordFault(place, "a snapshot of an event that is not there", RENEW)

    def _fold(self, row: Row, event: Event) -> Iterator[RecordFault]:
        truth = () if isinstance(event, Corrected) else self._instead.get(row.event_id, (event,))
        for one in truth:
            found = refusals(self._stood.standing, one)
            if found:
                self._folds = False
                reasons = " ".join(map(str, found))
                yield RecordFault(row.place, f"event {row.event_id} is impossible: {reasons}")
                return
            self._stood.follow((one,))

    def _snapshot(self, place: int, row: Row) -> Iterator[RecordFault]:
        try:
            kept = snapshot_at(self._link, place)
            if kept.form == FORM and kept.seal == kept.seal_due() and not self._folds:
                return
            same = place == row.place and kept.digest == row.digest
            same = same and kept.latest_at == self._stood.latest_at
            same = same and (kept.form != FORM or kept.standing() == self._stood.standing)
        except (StaleSnapshotError, *READS_WRONG) as error:
            yield RecordFault(place, f"its snapshot cannot be read ({error})", RENEW)
        else:
            if not same:
                yield RecordFault(place, "its snapshot is not what the events say", RENEW)
