"""The record: events kept for good, in order, and where everything stands by them."""

import threading
from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import Path
from types import TracebackType

from pacewright.base.progress import Progress, silent
from pacewright.events.standing import Standing
from pacewright.events.things import Event
from pacewright.ledger.copies import Copies, Copy
from pacewright.ledger.database import Database
from pacewright.ledger.entry import AS_USUAL, Answer, Door, Entry, Head, Kept, Manner, Outcome
from pacewright.ledger.errors import NOTHING_KEPT, SEND_AGAIN, RecordError, plainly, readable
from pacewright.ledger.live import Live
from pacewright.ledger.photos import keep_photo, photo_of
from pacewright.ledger.reading import Asked, head_of, rows_asked
from pacewright.ledger.recall import fold_on, row_of, stood_at, truths
from pacewright.ledger.schema import bring_up, version_of
from pacewright.ledger.snapshots import drop_from, nearest
from pacewright.ledger.verified import Verified
from pacewright.ledger.verify import verify
from pacewright.ledger.writing import Writing


class Ledger:
    """A record, open. Threads may share it; processes open it each for itself.

    Examples
    --------
    >>> import tempfile
    >>> from pacewright.events.gate import Arrived
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     with Ledger.open(Path(folder) / "record.sqlite") as ledger:
    ...         event = Arrived(datetime(2026, 3, 2, 7, 30), "1043", "T1")
    ...         answers = ledger.append([Entry("a-1", event, "gate clerk")])
    ...         print(answers[0].outcome, ledger.standing().vehicles["1043"].phase)
    kept at gate
    """

    def __init__(self, database: Database, door: Door | None, manner: Manner) -> None:
        self.name = database.name
        self._database, self._door, self._manner = database, door, manner
        self._guard = threading.RLock()
        self._live = Live(database, manner.snapshot_every)
        self._copies = Copies()

    @classmethod
    def open(
        cls,
        address: str | Path,
        door: Door | None = None,
        *,
        create: bool = True,
        read_only: bool = False,
        manner: Manner = AS_USUAL,
    ) -> "Ledger":
        """Open a record.

        Parameters
        ----------
        address : path of an SQLite file, or a database URL (``postgresql+psycopg://...``).
        door : further rules an event must pass, from those who know the works.
        create : an empty record is made where there is none.
        read_only : nothing is ever written.
        manner : clock, patience and the like.

        Raises
        ------
        RecordError : it cannot be opened; says why and what to do.
        """
        database = Database(address, read_only=read_only, patience_seconds=manner.patience_seconds)
        try:
            bring_up(database, create=create)
        except BaseException:
            database.close()
            raise
        return cls(database, door, manner)

    def close(self) -> None:
        """Give the database back."""
        self._live.forget()
        self._database.close()

    def __enter__(self) -> "Ledger":
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def append(self, entries: Sequence[Entry], *, together: bool = False) -> tuple[Answer, ...]:
        """Hand in entries; each is kept, known already, or refused with every reason.

        Parameters
        ----------
        together : all are kept or, when one is refused, none.

        Returns
        -------
        An answer for each, in order. What is answered as kept is on the disk.

        Raises
        ------
        RecordError : the database could not do it; nothing of it was kept, or it is said that
            this is not known.
        """
        return self._hand_in(tuple(entries), together, keep=True)

    def judge(self, entries: Sequence[Entry]) -> tuple[Answer, ...]:
        """What ``append`` would answer now; nothing is kept, and no place is given."""
        return tuple(
            Answer(one.event_id, one.outcome, None, one.reasons)
            if one.outcome is Outcome.KEPT
            else one
            for one in self._hand_in(tuple(entries), False, keep=False)
        )

    def standing(self) -> Standing:
        """Where everything stands now; read it freely, never change it.

        It goes on with the record: what is appended later changes it. Whoever reads it while
        another thread appends holds both back with a lock of his own, or takes ``copy()``.
        """
        with self._guard:
            with plainly(self.name, ""), self._database.reading() as link:
                standing = self._live.caught_up(link).standing
            self._live.look_after()
            return standing

    def copied(self, until: int | None = None) -> Copy:
        """Where everything stands, a copy of the asker's own that others' booking leaves alone.

        Parameters
        ----------
        until : place of the record it goes to; None: to the end. Where a correction came in
            between it may lie further.
        """
        with plainly(self.name, ""), self._database.reading() as link:
            stood = self._copies.idle(link, until)
            if stood is not None:
                fold_on(link, stood, until)
        if stood is None:
            with self._guard, plainly(self.name, ""), self._database.reading() as link:
                stood = self._live.caught_up(link).copy()
        return self._copies.lend(stood)

    def standing_at(self, moment: datetime) -> Standing:
        """Where everything stood at a moment of the works clock, by the mended record."""
        with readable(self.name), self._database.reading() as link:
            return stood_at(link, moment)

    def standing_before(self, place: int) -> Standing:
        """Where everything stood before the event at a place, by the mended record."""
        with readable(self.name), self._database.reading() as link:
            stood = nearest(link, before=place)
            fold_on(link, stood, place - 1)
            return stood.standing

    def entries(  # noqa: PLR0913
        self,
        *,
        after: int = 0,
        until: int | None = None,
        about: str = "",
        kind: str = "",
        by: str = "",
        since: datetime | None = None,
        newest_first: bool = False,
        limit: int | None = None,
    ) -> Iterator[Kept]:
        """What was recorded, as it was recorded; corrections stand as entries of their own.

        Parameters
        ----------
        after, until : places of the record.
        about : ``vehicle:1043``, ``body:B-11``, ``motor:M-7``, ``place:paint``.
        since : happened at this moment of the works clock or later.
        """
        asked = Asked(after, until, about, kind, by, since, newest_first, limit)
        for row in rows_asked(self._database, asked):
            with readable(self.name):
                kept = row.kept()
            yield kept

    def entry(self, event_id: str) -> Kept | None:
        """The entry kept under an id; None: there is none."""
        with readable(self.name), self._database.reading() as link:
            row = row_of(link, event_id)
            return row.kept() if row is not None else None

    def keep_photo(self, content: bytes) -> str:
        """Keep a photo for an event to name; the same bytes are kept once.

        Returns
        -------
        Its SHA-256, hexadecimal: the name by which an event shows it.

        Raises
        ------
        RecordError : the database could not do it; the photo was not kept.
        """
        self._refuse_read_only()
        return keep_photo(self._database, content)

    def photo(self, digest: str) -> bytes | None:
        """The photo of a digest; None: none is kept."""
        return photo_of(self._database, digest)

    def mended(self, since: datetime | None = None) -> Iterator[Event]:
        """What happened in truth, every correction in its place, in the order of the record.

        Parameters
        ----------
        since : only what happened at this moment of the works clock or later.
        """
        with readable(self.name), self._database.reading() as link:
            yield from truths(link, since)

    def head(self) -> Head:
        """How far the record goes."""
        with plainly(self.name, ""), self._database.reading() as link:
            return head_of(link)

    def verify(self, progress: Progress = silent, noted: Head | None = None) -> Verified:
        """Go through the whole record; what is not as it was kept is told, each with its place.

        Parameters
        ----------
        progress : told how far it is.
        noted : a head noted earlier, through which the record must still go.

        Raises
        ------
        RecordError : it cannot be read at all.
        """
        return verify(self._database, progress, noted)

    def drop_snapshots(self) -> None:
        """Take all snapshots away; nothing is lost, the next opening folds anew."""
        with self._guard, plainly(self.name), self._database.writing() as link:
            drop_from(link, 0)
            link.commit()
            self._live.forget()

    def _hand_in(
        self, entries: tuple[Entry, ...], together: bool, *, keep: bool
    ) -> tuple[Answer, ...]:
        if keep:
            self._refuse_read_only()
        with self._guard:
            try:
                return self._write(entries, together, keep)
            except BaseException:
                self._live.forget()
                raise

    def _refuse_read_only(self) -> None:
        if self._database.read_only:
            raise RecordError(
                f"{self.name}: it was opened for reading only. Open it for writing to add to it."
            )

    def _write(self, entries: tuple[Entry, ...], together: bool, keep: bool) -> tuple[Answer, ...]:
        with plainly(self.name, NOTHING_KEPT), self._database.writing() as link:
            before = self._live.caught_up(link)
            apart = not keep or (together and len(entries) > 1)
            stood = before.copy() if apart else before
            writing = Writing(link, stood, self._live.recall, self._door, self._manner)
            answers = writing.take(entries)
            refused = together and any(one.outcome is Outcome.REFUSED for one in answers)
            if refused or not keep:
                # It may reach into what is undone now.
                self._live.recall.forget()
                return _none_kept(answers) if refused else answers
            if all(one.outcome is not Outcome.KEPT for one in answers):
                return answers
            with plainly(self.name, SEND_AGAIN):
                link.commit()
        self._live.becomes(stood, writing.snapshot_left)
        self._live.look_after()
        return answers


def holds_events(address: str | Path) -> bool:
    """True when there is a record at an address, with at least one event.

    Raises
    ------
    RecordError : there is something that cannot be opened.
    """
    database = Database(address, read_only=True, patience_seconds=AS_USUAL.patience_seconds)
    try:
        with plainly(database.name, ""), database.reading() as link:
            return version_of(link) is not None and head_of(link).place > 0
    finally:
        database.close()


def _none_kept(answers: tuple[Answer, ...]) -> tuple[Answer, ...]:
    refused = sum(one.outcome is Outcome.REFUSED for one in answers)
    reason = (
        f"handed in together with it and refused: {refused}. All are kept or none. "
        "Mend what was refused, and hand in all again."
    )
    return tuple(
        Answer(one.event_id, Outcome.REFUSED, None, (reason,))
        if one.outcome is Outcome.KEPT
        else one
        for one in answers
    )
