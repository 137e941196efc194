"""What a writer hands to the record, what the record keeps of it, and what it answers."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import StrEnum

from pacewright.events.refusal import Refusal
from pacewright.events.standing import Standing
from pacewright.events.things import Event

Door = Callable[[Standing, Event], tuple[Refusal, ...]]
"""Further rules an event must pass, from those who know the works; empty: it may come in."""


@dataclass(frozen=True, slots=True)
class Entry:
    """An event handed in to be kept.

    Parameters
    ----------
    event_id : given by the writer, unique in the record, so that sending twice is harmless.
    event : what happened, and when.
    recorded_by : person who wrote it down.
    device : what it was written with.
    reference : job card, docket, order or file and row it comes from.
    """

    event_id: str
    event: Event
    recorded_by: str
    device: str = ""
    reference: str = ""


@dataclass(frozen=True, slots=True)
class Kept:
    """An entry as the record keeps it.

    Parameters
    ----------
    place : its number in the order of the record, from 1 without gaps.
    entry : as handed in.
    recorded_at : when the record took it, UTC.
    digest : SHA-256 over the digest before it and all that is kept of this one, hexadecimal.
    body : the event as JSON, sign by sign as it is kept; an earlier version writes it otherwise
        than ``entry.event`` would be written now.
    """

    place: int
    entry: Entry
    recorded_at: datetime
    digest: str
    body: str


class Outcome(StrEnum):
    """What became of an entry."""

    KEPT = "kept"
    KNOWN = "known"
    """the same entry was kept before; nothing was added"""
    REFUSED = "refused"
    """it breaks a rule; nothing was changed by it"""


@dataclass(frozen=True, slots=True)
class Answer:
    """What the record says to an entry.

    Parameters
    ----------
    place : where it is kept; None when refused.
    reasons : every rule it breaks, a sentence each; empty unless refused.
    """

    event_id: str
    outcome: Outcome
    place: int | None
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Head:
    """How far the record goes.

    Parameters
    ----------
    place : of the last event; 0: the record is empty.
    digest : of the last event, hexadecimal; noted elsewhere it proves later that nothing before
        it was changed or taken away.
    recorded_at : when the last event was recorded, UTC; None: the record is empty.
    """

    place: int
    digest: str
    recorded_at: datetime | None


def now_utc() -> datetime:
    """The clock of this machine, UTC."""
    return datetime.now(UTC)


@dataclass(frozen=True, slots=True)
class Manner:
    """How a record is kept.

    Parameters
    ----------
    clock : tells the present moment with its zone; recorded times come from it.
    ahead : how far an event may lie in the future by the works clock (the local time of
        ``clock``), since clocks differ a little; None: as far as it likes.
    patience_seconds : how long a writer waits for its turn.
    snapshot_every : least number of events between two snapshots.
    """

    clock: Callable[[], datetime] = now_utc
    ahead: timedelta | None = timedelta(minutes=15)
    patience_seconds: float = 30.0
    snapshot_every: int = 10_000


AS_USUAL = Manner()
