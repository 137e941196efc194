"""Entries for the tests of the record."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta

from events_story import Story, vehicle
from pacewright.events.gate import Arrived
from pacewright.events.record import Corrected
from pacewright.events.things import WHOLE, Event, Piece, Unit
from pacewright.events.units import Fitted, Purchased, Removed
from pacewright.events.written import write_event
from pacewright.ledger.entry import Entry, Kept, Manner

MORNING = datetime(2026, 3, 2, 7, 0)


class Clock:
    """A clock that the test sets; it stands still by itself."""

    def __init__(self, now: datetime = datetime(2026, 6, 1, 12, tzinfo=UTC)) -> None:
        self.now = now

    def __call__(self) -> datetime:
        return self.now

    def tick(self, minutes: float) -> None:
        """So many minutes later; less than nought: earlier."""
        self.now += timedelta(minutes=minutes)


def manner(clock: Clock | None = None, **how: object) -> Manner:
    """A manner with a clock of the test and little patience."""
    return Manner(**{"clock": clock or Clock(), "patience_seconds": 5.0, **how})  # type: ignore[arg-type]


def entry(event_id: str, event: Event, by: str = "clerk 1") -> Entry:
    """An entry by a clerk."""
    return Entry(event_id, event, by, "desk", f"card {event_id}")


def entries(events: Iterable[Event], start: int = 1) -> list[Entry]:
    """Events as entries e1, e2, ..."""
    return [entry(f"e{n}", one) for n, one in enumerate(events, start)]


def arrival(number: int | str, minute: int = 0) -> Arrived:
    """A vehicle comes to the gate."""
    return Arrived(MORNING + timedelta(minutes=minute), str(number), "T1", "east")


def correction(mends: str, *instead: Event, minute: int = 500) -> Corrected:
    """An event is mended."""
    at = MORNING + timedelta(minutes=minute)
    return Corrected(at, mends, tuple(write_event(one) for one in instead), "misread")


def story() -> Story:
    """Two vehicles come in; a motor comes off each and another goes on."""
    told = Story()
    for number in ("11", "12"):
        told.let_in(number, "strip", int(number))
        told.tell(Removed, Unit("motor", f"M-{number}"), vehicle(number))
        told.tell(Purchased, Unit("motor", f"N-{number}"), "store")
        told.tell(Fitted, Unit("motor", f"N-{number}"), vehicle(number))
    return told


def as_kept(kept: Iterable[Kept]) -> list[tuple[int, str, Event]]:
    """Place, id and event of each."""
    return [(one.place, one.entry.event_id, one.entry.event) for one in kept]


__all__ = ["MORNING", "WHOLE", "Clock", "Piece", "Story", "arrival", "as_kept", "correction"]
__all__ += ["entries", "entry", "manner", "story"]
