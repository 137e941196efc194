"""The whole record gone through: nothing changed, nothing missing, everything possible."""

from collections.abc import Iterator
from datetime import UTC

from sqlalchemy import Connection, func, select

from pacewright.base.progress import Progress, silent
from pacewright.events.registry import KIND_OF
from pacewright.events.written import from_json
from pacewright.ledger.chain import START, Row
from pacewright.ledger.database import Database
from pacewright.ledger.entry import Head
from pacewright.ledger.errors import READS_WRONG, plainly
from pacewright.ledger.fold_again import FoldAgain
from pacewright.ledger.guards import file_faults, guard_faults, moment_faults
from pacewright.ledger.photos import PhotosTold
from pacewright.ledger.recall import corrections_after
from pacewright.ledger.snapshots import snapshot_places
from pacewright.ledger.subjects_told import SubjectsTold
from pacewright.ledger.tables import EVENTS
from pacewright.ledger.verified import RecordFault, Verified

_PAGE = 2_000


def verify(database: Database, progress: Progress = silent, noted: Head | None = None) -> Verified:
    """Go through a record from its first event to its last, all of one moment.

    Parameters
    ----------
    noted : a head noted earlier, through which the record must still go.

    Raises
    ------
    RecordError : it cannot be read at all.
    """
    with plainly(database.name, ""), database.reading() as link:
        return go_through(link, progress, noted)


def go_through(link: Connection, progress: Progress, noted: Head | None = None) -> Verified:
    """Go through the record that a connection sees, what it has not committed yet included."""
    progress("verifying the file", 0.0)
    last = link.execute(select(func.max(EVENTS.c.place))).scalar() or 0
    faults = [RecordFault(0, one) for one in (*file_faults(link), *guard_faults(link))]
    faults += [
        RecordFault(one, "a moment there is not written as it was kept")
        for one in moment_faults(link)
    ]
    through = _Through(link, last, progress)
    for row in _rows(link, last, faults):
        if row.place % _PAGE == 1:
            progress("verifying the record", row.place / last)
        faults += through.take(row)
    faults += through.rest()
    faults += _noted_faults(link, noted)
    snapshots = snapshot_places(link)
    return Verified(through.head(), len(snapshots), tuple(faults), tuple(through.notes))


def _rows(link: Connection, last: int, faults: list[RecordFault]) -> Iterator[Row]:
    for after in range(0, last, _PAGE):
        until = min(after + _PAGE, last)
        page = select(EVENTS).where(EVENTS.c.place > after, EVENTS.c.place <= until)
        try:
            found = [Row(*one) for one in link.execute(page.order_by(EVENTS.c.place)).fetchall()]
        except READS_WRONG:
            found = list(_one_by_one(link, range(after + 1, until + 1), faults))
        yield from found


def _one_by_one(link: Connection, places: range, faults: list[RecordFault]) -> Iterator[Row]:
    for place in places:
        try:
            found = link.execute(select(EVENTS).where(EVENTS.c.place == place)).fetchone()
        except READS_WRONG as error:
            faults.append(RecordFault(place, f"the event cannot be read ({_brief(error)})"))
        else:
            if found is not None:
                yield Row(*found)


def _noted_faults(link: Connection, noted: Head | None) -> Iterator[RecordFault]:
    if noted is None or not noted.place:
        return
    asked = select(EVENTS.c.digest).where(EVENTS.c.place == noted.place)
    digest = link.execute(asked).scalar()
    if digest is None:
        yield RecordFault(noted.place, "it was noted as the head, and is not there")
    elif not digest.hex().startswith(noted.digest):
        yield RecordFault(
            noted.place, f"digest {noted.digest} was noted, {digest.hex()} found: another history"
        )


class _Through:
    """One way through the record; after a fault each check goes on as far as it can."""

    def __init__(self, link: Connection, last: int, progress: Progress) -> None:
        self.notes: list[str] = []
        self._end = last
        self._last: Row | None = None
        try:
            corrections = corrections_after(link, 0)
        except READS_WRONG:
            # Which one it is, is told when it is reached; without it nothing can be folded.
            corrections = None
        self._subjects = SubjectsTold(link, corrections or [])
        self._folding = FoldAgain(link, corrections)
        self._photos = PhotosTold(link, progress)

    def take(self, row: Row) -> Iterator[RecordFault]:
        """Faults of one event, given those before it."""
        yield from self._chain_faults(row)
        event = None
        try:
            event = from_json(row.body)
        except READS_WRONG as error:
            yield RecordFault(row.place, f"the event cannot be read ({_brief(error)})")
        else:
            told = (KIND_OF[type(event)], event.at)
            if told != (row.kind, row.at):
                yield RecordFault(row.place, f"{row.kind} at {row.at}, but the body tells {told}")
            yield from self._subjects.take(row, event)
            self._photos.take(row.place, event)
        yield from self._folding.take(row, event)
        self._last = row

    def rest(self) -> Iterator[RecordFault]:
        """Faults of the record as a whole, once every event was taken."""
        place = self._last.place if self._last else 0
        if place != self._end:
            yield RecordFault(self._end, "the last event cannot be reached")
        yield from self._subjects.rest()
        yield from self._folding.rest()
        yield from self._photos.rest()
        if self._photos.unnamed:
            self.notes.append(
                f"{self._photos.unnamed} photo(s) named by no event: sent, and not booked after."
            )

    def head(self) -> Head:
        """How far it was possible to come."""
        last = self._last
        if last is None:
            return Head(0, START.hex(), None)
        return Head(last.place, last.digest.hex(), last.recorded_at.replace(tzinfo=UTC))

    def _chain_faults(self, row: Row) -> Iterator[RecordFault]:
        last = self._last
        place, digest = (last.place, last.digest) if last else (0, START)
        if row.place != place + 1:
            yield RecordFault(place + 1, f"missing; the next event is at place {row.place}")
        elif row.before != digest:
            yield RecordFault(row.place, "it does not follow the event before it: that was changed")
        if row.digest_due() != row.digest:
            yield RecordFault(row.place, f"event {row.event_id} is not as it was kept")
        if last and row.recorded_at < last.recorded_at:
            yield RecordFault(row.place, "it was recorded before the event before it")
        if row.clock_behind_seconds:
            self.notes.append(
                f"place {row.place}: the clock of its writer lay {row.clock_behind_seconds} s "
                "behind; it has the recorded time of the event before it."
            )


def _brief(error: BaseException) -> str:
    return str(error).strip().split("\n", 1)[0][:200]
