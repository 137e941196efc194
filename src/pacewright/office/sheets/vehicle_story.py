"""What is told of one thing, every correction in its place."""

from collections.abc import Iterable
from datetime import datetime

from pacewright.events.corrections import standing_corrections
from pacewright.events.record import Corrected, Recorded
from pacewright.events.things import Event
from pacewright.events.written import read_event
from pacewright.ledger.entry import Kept
from pacewright.ledger.subjects import subjects_of
from pacewright.office.desk import Desk

MOST_EVENTS = 5_000
"""Events read of one thing; a vehicle of thirty years of visits has fewer."""


def story_of(desk: Desk, code: str, since: datetime | None = None) -> tuple[Event, ...]:
    """What happened in truth with a vehicle, piece or unit, in order of time.

    Parameters
    ----------
    code : ``vehicle:1043``, ``body:B-11``, ``motor:M-7``.
    since : only what happened at this moment of the works clock or later.
    """
    told = list(desk.ledger.entries(about=code, limit=MOST_EVENTS, newest_first=True))
    found = [
        event
        for event in truths_of(reversed(told))
        if code in subjects_of(event) and (since is None or event.at >= since)
    ]
    return tuple(sorted(found, key=lambda one: one.at))


def truths_of(told: Iterable[Kept]) -> Iterable[Event]:
    """Events with what corrections put in their place, in the order of the record.

    A correction is also about what it mends, so everything that mends an event of ``told`` is
    among them; what a correction tells of this thing in place of an event about another one
    stands where the correction stands.
    """
    record = [Recorded(one.entry.event_id, one.entry.event) for one in told]
    own = {one.event_id for one in record}
    instead = {
        one.event.mends: one.event.instead
        for one in standing_corrections(record)
        if isinstance(one.event, Corrected)
    }
    for one in record:
        if isinstance(one.event, Corrected):
            if one.event.mends not in own and instead.get(one.event.mends) is one.event.instead:
                yield from map(read_event, one.event.instead)
        elif one.event_id in instead:
            yield from map(read_event, instead[one.event_id])
        else:
            yield one.event
