"""One writing transaction: entries judged in order, and those that pass put into the record."""

import json
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime

from sqlalchemy import Connection, select

from pacewright.events.record import Corrected, Recorded
from pacewright.events.registry import KIND_OF
from pacewright.events.written import UnreadableEventError, from_json, to_json
from pacewright.ledger.chain import Row
from pacewright.ledger.correcting import Mender
from pacewright.ledger.door import broken_rules, faults_of_entry, in_future
from pacewright.ledger.entry import Answer, Door, Entry, Manner, Outcome
from pacewright.ledger.photos import not_kept
from pacewright.ledger.putting import put_rows
from pacewright.ledger.recall import Recall
from pacewright.ledger.snapshots import drop_from, nearest_place
from pacewright.ledger.stood import Stood
from pacewright.ledger.subjects import subjects_of
from pacewright.ledger.tables import EVENTS, SUBJECTS

_ASKED_AT_ONCE = 500
Known = dict[str, tuple[int, str]]


def known_among(link: Connection, event_ids: Iterable[str]) -> Known:
    """Those events that are in the record: id -> place and body."""
    ids, known = list(event_ids), {}
    for start in range(0, len(ids), _ASKED_AT_ONCE):
        some = ids[start : start + _ASKED_AT_ONCE]
        asked = select(EVENTS.c.event_id, EVENTS.c.place, EVENTS.c.body)
        for event_id, place, body in link.execute(asked.where(EVENTS.c.event_id.in_(some))):
            known[event_id] = (place, body)
    return known


class Writing:
    """Takes entries into the record within one transaction.

    Parameters
    ----------
    link : the transaction, which alone may write.
    stood : where everything stands at the end of the record; changed by what is kept.

    Attributes
    ----------
    snapshot_left : place of the last snapshot that a correction left standing; None: none came.
    """

    def __init__(
        self, link: Connection, stood: Stood, recall: Recall, door: Door | None, manner: Manner
    ) -> None:
        self.stood = stood
        self.snapshot_left: int | None = None
        self._link, self._door, self._manner = link, door, manner
        clock = manner.clock()
        self._now = clock.astimezone().replace(tzinfo=None)
        self._utc = clock.astimezone(UTC).replace(tzinfo=None)
        self._mender = Mender(link, recall, door, self._now, manner)
        self._rows: list[Row] = []
        self._subjects: dict[int, frozenset[str]] = {}
        self._known: Known = {}

    def take(self, entries: Sequence[Entry]) -> tuple[Answer, ...]:
        """Judge entries in their order and keep those that pass."""
        ids = {one.event_id for one in entries if isinstance(one.event_id, str)}
        self._known = known_among(self._link, ids)
        answers = tuple(map(self._take, entries))
        self._flush()
        return answers

    def _take(self, entry: Entry) -> Answer:
        faults = faults_of_entry(entry)
        if faults:
            return Answer(str(entry.event_id), Outcome.REFUSED, None, faults)
        body = to_json(entry.event)
        known = self._known.get(entry.event_id)
        if known is not None:
            return _again(entry, body, *known)
        reasons = self._judged(entry)
        if reasons:
            return Answer(entry.event_id, Outcome.REFUSED, None, reasons)
        return Answer(entry.event_id, Outcome.KEPT, self._keep(entry, body))

    def _judged(self, entry: Entry) -> tuple[str, ...]:
        event, now = entry.event, self.stood.standing
        future = (
            *in_future(event, self._now, self._manner.ahead),
            *not_kept(self._link, event),
        )
        if not isinstance(event, Corrected):
            reasons = future + broken_rules(now, event, self._door)
            if not reasons:
                self.stood.follow((event,))
            return reasons
        reasons = future + tuple(map(str, self._door(now, event) if self._door else ()))
        if reasons:
            return reasons
        # What it mends, and what came after, is read from the record itself.
        self._flush()
        found = self._mender.mend(Recorded(entry.event_id, event))
        if isinstance(found, tuple):
            return found
        self.stood.standing, self.stood.latest_at = found.stood.standing, found.stood.latest_at
        drop_from(self._link, found.root)
        self.snapshot_left = nearest_place(self._link, before=found.root)
        return ()

    def _keep(self, entry: Entry, body: str) -> int:
        stood, model = self.stood, type(entry.event)
        last = stood.recorded_at or datetime.min
        behind = (last - self._utc).total_seconds()
        row = Row(
            stood.place + 1,
            entry.event_id,
            KIND_OF[model],
            model.VERSION,
            entry.event.at,
            max(last, self._utc),
            max(0, int(behind)),
            entry.recorded_by,
            entry.device,
            entry.reference,
            body,
            stood.digest,
            b"",
        ).sealed()
        self._rows.append(row)
        self._subjects[row.place] = self._about(entry)
        self._known[entry.event_id] = (row.place, body)
        stood.step(row)
        return row.place

    def _about(self, entry: Entry) -> frozenset[str]:
        about = subjects_of(entry.event)
        if isinstance(entry.event, Corrected):
            # The history of a thing also shows that something told of it was mended.
            place = self._known_place(entry.event.mends)
            asked = select(SUBJECTS.c.about).where(SUBJECTS.c.place == place)
            about |= frozenset(self._link.execute(asked).scalars())
        return about

    def _known_place(self, event_id: str) -> int:
        asked = select(EVENTS.c.place).where(EVENTS.c.event_id == event_id)
        return int(self._link.execute(asked).scalar_one())

    def _flush(self) -> None:
        if not self._rows:
            return
        put_rows(self._link, EVENTS, self._rows)
        put_rows(
            self._link,
            SUBJECTS,
            [(about, place) for place, some in self._subjects.items() for about in sorted(some)],
        )
        self._rows.clear()
        self._subjects.clear()


def _again(entry: Entry, body: str, place: int, kept: str) -> Answer:
    if kept == body or _reads_as(kept, entry):
        return Answer(entry.event_id, Outcome.KNOWN, place)
    told = json.loads(kept)
    reason = (
        f"event_id: {entry.event_id} is kept already, at place {place}, for another event "
        f"({told.get('kind')}, {told.get('at')}). An id stands for one event. "
        "Give this one an id of its own; to mend the other, record a correction."
    )
    return Answer(entry.event_id, Outcome.REFUSED, None, (reason,))


def _reads_as(kept: str, entry: Entry) -> bool:
    try:
        return from_json(kept) == entry.event
    except UnreadableEventError:
        return False
