"""Where everything stood at some place of the record, folded from the nearest snapshot before."""

from collections.abc import Iterator
from datetime import datetime
from heapq import merge

from sqlalchemy import ColumnElement, Connection, not_, select, true

from pacewright.events.corrections import standing_corrections
from pacewright.events.fold import refusals
from pacewright.events.record import Corrected, Recorded
from pacewright.events.standing import Standing
from pacewright.events.things import Event
from pacewright.events.written import from_json, read_event
from pacewright.ledger.chain import Row
from pacewright.ledger.snapshots import nearest, nearest_place
from pacewright.ledger.stood import Stood
from pacewright.ledger.tables import EVENTS

CORRECTED = "corrected"
_PAGE = 2_000
_IDS = 500
REAR = 2_000
"""How far a kept standing stays behind what is asked, so that it serves the next question too."""


def rows_after(
    link: Connection,
    after: int,
    until: int | None = None,
    told: ColumnElement[bool] | None = None,
) -> Iterator[Row]:
    """Rows of the record in order, from the place after ``after`` up to and with ``until``.

    Parameters
    ----------
    told : a further condition on the rows.
    """
    asked = select(EVENTS).order_by(EVENTS.c.place).limit(_PAGE)
    if until is not None:
        asked = asked.where(EVENTS.c.place <= until)
    if told is not None:
        asked = asked.where(told)
    while True:
        # A page at a time, so that a long record is never held whole.
        found = link.execute(asked.where(EVENTS.c.place > after)).fetchall()
        for one in found:
            yield Row(*one)
        if len(found) < _PAGE:
            return
        after = found[-1].place


def row_of(link: Connection, event_id: str) -> Row | None:
    """The row of one event; None: no such event."""
    found = link.execute(select(EVENTS).where(EVENTS.c.event_id == event_id)).one_or_none()
    return Row(*found) if found else None


def corrections_after(link: Connection, place: int) -> list[Recorded]:
    """All corrections recorded after a place; only these mend events after it."""
    asked = (
        select(EVENTS.c.event_id, EVENTS.c.body)
        .where(EVENTS.c.kind == CORRECTED, EVENTS.c.place > place)
        .order_by(EVENTS.c.place)
    )
    return [Recorded(event_id, from_json(body)) for event_id, body in link.execute(asked)]


Instead = dict[str, tuple[Event, ...]]


def instead_of(corrections: list[Recorded]) -> Instead:
    """Event id -> what stands in its place, by the corrections that stand."""
    return {
        one.event.mends: tuple(read_event(body) for body in one.event.instead)
        for one in standing_corrections(corrections)
        if isinstance(one.event, Corrected)
    }


def truth(row: Row, instead: Instead) -> tuple[Event, ...]:
    """What happened in truth where ``row`` stands in the record."""
    if row.kind == CORRECTED:
        return ()
    if instead and row.event_id in instead:
        return instead[row.event_id]
    return (from_json(row.body),)


def fold_on(link: Connection, stood: Stood, until: int | None = None) -> None:
    """Let ``stood`` go on to ``until`` (None: to the end) by the mended record."""
    instead = instead_of(corrections_after(link, stood.place))
    for row in rows_after(link, stood.place, until):
        stood.follow(truth(row, instead))
        stood.step(row)


class Recall:
    """Standings before some place; one that lies a little behind is kept for the next question."""

    def __init__(self) -> None:
        self._rear: Stood | None = None

    def forget(self) -> None:
        """The record was mended, or is not what it was: nothing kept here can be used."""
        self._rear = None

    def before(self, link: Connection, place: int) -> Stood:
        """Where everything stood before the event at ``place``; the caller may change it."""
        rear = self._rear
        if (
            rear is None
            or rear.place >= place
            or nearest_place(link, before=place) > rear.place + 10 * REAR
        ):
            rear = nearest(link, before=place)
        if rear.place < place - 1 - REAR:
            fold_on(link, rear, place - 1 - REAR)
        self._rear = rear
        stood = rear.copy()
        fold_on(link, stood, place - 1)
        return stood


def rows_told(
    link: Connection, after: int, told: ColumnElement[bool], instead: Instead
) -> Iterator[Row]:
    """Rows after a place for which ``told`` holds, and mended ones whatever was told of them."""
    ids = sorted(instead)
    others = []
    for start in range(0, len(ids), _IDS):
        some = EVENTS.c.event_id.in_(ids[start : start + _IDS])
        found = select(EVENTS).where(some, EVENTS.c.place > after, not_(told))
        others += [Row(*one) for one in link.execute(found)]
    others.sort(key=_place)
    return merge(rows_after(link, after, told=told), others, key=_place)


def _place(row: Row) -> int:
    return row.place


def stood_at(link: Connection, moment: datetime) -> Standing:
    """Where everything stood at a moment of the works clock, by the mended record.

    Events are taken in the order of the record, those told of later moments left out. One that
    could not have happened without those left out (two clocks that differ) is left out too.
    """
    stood = nearest(link, latest_at=moment)
    instead = instead_of(corrections_after(link, stood.place))
    for row in rows_told(link, stood.place, EVENTS.c.at <= moment, instead):
        for event in truth(row, instead):
            if event.at <= moment and not refusals(stood.standing, event):
                stood.follow((event,))
    return stood.standing


def truths(link: Connection, since: datetime | None) -> Iterator[Event]:
    """What happened in truth, in the order of the record; ``since``: then or later."""
    instead = instead_of(corrections_after(link, 0))
    told = true() if since is None else EVENTS.c.at >= since
    for row in rows_told(link, 0, told, instead):
        for event in truth(row, instead):
            if since is None or event.at >= since:
                yield event
