"""Questions to the record: its entries in order, those about one thing, what happened in truth."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, Select, select

from pacewright.ledger.chain import START, Row
from pacewright.ledger.database import Database
from pacewright.ledger.entry import Head
from pacewright.ledger.errors import readable
from pacewright.ledger.tables import EVENTS, SUBJECTS

_PAGE = 2_000


def head_of(link: Connection) -> Head:
    """How far the record goes."""
    asked = select(EVENTS.c.place, EVENTS.c.digest, EVENTS.c.recorded_at)
    found = link.execute(asked.order_by(EVENTS.c.place.desc()).limit(1)).one_or_none()
    if found is None:
        return Head(0, START.hex(), None)
    return Head(found.place, found.digest.hex(), found.recorded_at.replace(tzinfo=UTC))


@dataclass(frozen=True, slots=True)
class Asked:
    """Which entries are wanted; what is empty or None does not matter.

    Parameters
    ----------
    after, until : places of the record.
    about : what they are about, ``motor:M-7``.
    since : they happened at this moment of the works clock or later.
    """

    after: int = 0
    until: int | None = None
    about: str = ""
    kind: str = ""
    by: str = ""
    since: datetime | None = None
    newest_first: bool = False
    limit: int | None = None

    def query(self) -> Select[Any]:
        """The question, without its page."""
        place = SUBJECTS.c.place if self.about else EVENTS.c.place
        asked = select(EVENTS)
        if self.about:
            asked = asked.join(SUBJECTS, SUBJECTS.c.place == EVENTS.c.place)
            asked = asked.where(SUBJECTS.c.about == self.about)
        if self.kind:
            asked = asked.where(EVENTS.c.kind == self.kind)
        if self.by:
            asked = asked.where(EVENTS.c.recorded_by == self.by)
        if self.since is not None:
            asked = asked.where(EVENTS.c.at >= self.since)
        asked = asked.where(place > self.after)
        if self.until is not None:
            asked = asked.where(place <= self.until)
        return asked.order_by(place.desc() if self.newest_first else place)


def rows_asked(database: Database, asked: Asked) -> Iterator[Row]:
    """The rows asked for, read a page at a time so that no writer waits for a slow reader."""
    left = asked.limit
    query = asked.query()
    place = SUBJECTS.c.place if asked.about else EVENTS.c.place
    page = query
    while left is None or left > 0:
        size = _PAGE if left is None else min(_PAGE, left)
        with readable(database.name), database.reading() as link:
            found = link.execute(page.limit(size)).fetchall()
        for one in found:
            yield Row(*one)
        if len(found) < size:
            return
        left = None if left is None else left - size
        last = found[-1].place
        page = query.where(place < last if asked.newest_first else place > last)
