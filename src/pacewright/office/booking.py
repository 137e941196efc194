"""Book events into the record of a works, past its door."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from pacewright.base.faults import CallError
from pacewright.events.record import Corrected
from pacewright.events.registry import KINDS
from pacewright.events.scan import event_from_text
from pacewright.events.things import Event
from pacewright.events.written import UnreadableEventError, to_json, write_event
from pacewright.ledger.entry import Answer, Entry

__all__ = [
    "Answer",
    "By",
    "KindTold",
    "NotAnEventError",
    "book",
    "entry_from_text",
    "entry_of",
    "id_of",
    "in_its_place",
    "kinds_told",
]


class NotAnEventError(CallError):
    """What was to be booked is no event; ``faults`` says all that is wrong, a sentence each."""

    def __init__(self, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(faults))


@dataclass(frozen=True, slots=True)
class By:
    """Who writes down, with what, from what.

    Parameters
    ----------
    name : person.
    device : what it was written with.
    reference : job card, docket, order.
    """

    name: str
    device: str = ""
    reference: str = ""


def book(
    works_path: Path,
    entries: Sequence[Entry],
    database: str = "",
    *,
    together: bool = False,
    dry_run: bool = False,
) -> tuple[Answer, ...]:
    """Hand entries to the record of a works; each is kept, known, or refused with every reason.

    Parameters
    ----------
    works_path : works folder or workbook; its tables make the rules at the door.
    database : address of the record; empty: as ``office.record.record_address`` says.
    together : all are kept or none.
    dry_run : nothing is kept; the answers say what would be.

    Raises
    ------
    WorksFaultyError : the works cannot be read; with every fault.
    CallError : the record cannot be opened or written; nothing of it was kept.
    """
    from pacewright.control.door import door_of
    from pacewright.office.folder import open_works
    from pacewright.office.record import open_record

    works, _ = open_works(works_path)
    with open_record(works_path, database, door_of(works)) as ledger:
        if dry_run:
            return ledger.judge(entries)
        return ledger.append(entries, together=together)


def entry_from_text(
    kind: str, cells: Mapping[str, str], by: By, now: datetime, event_id: str = ""
) -> Entry:
    """What was typed or scanned, as an entry for the record.

    Parameters
    ----------
    kind : kind of event.
    cells : field -> text.
    now : when it happened, where ``at`` is not given; cut to the minute.
    event_id : id of the entry; empty: made from what it says and who says it, so that the same
        thing booked twice is kept once.

    Raises
    ------
    NotAnEventError : with all that is wrong.
    """
    given = {"at": now.replace(second=0, microsecond=0).isoformat(timespec="minutes")}
    try:
        event = event_from_text(kind, given | {name: text for name, text in cells.items() if text})
    except UnreadableEventError as error:
        raise NotAnEventError(error.faults) from error
    return entry_of(event, by, event_id)


def entry_of(event: Event, by: By, event_id: str = "") -> Entry:
    """An event as an entry; without an id of its own it gets one from what it says."""
    return Entry(event_id or id_of(event, by.name), event, by.name, by.device, by.reference)


def id_of(event: Event, source: str) -> str:
    """An id made from an event and where it comes from: the same twice, the same id."""
    return sha256(f"{source}\n{to_json(event)}".encode()).hexdigest()[:24]


def in_its_place(entry: Entry, mends: str, reason: str, now: datetime) -> Entry:
    """The entry that corrects event ``mends``: what ``entry`` tells stands in its place.

    Parameters
    ----------
    reason : why.
    now : when it is corrected; cut to the minute.
    """
    at = now.replace(second=0, microsecond=0)
    event = Corrected(at, mends, (write_event(entry.event),), reason)
    by = By(entry.recorded_by, entry.device, entry.reference)
    return entry_of(event, by)


@dataclass(frozen=True, slots=True)
class KindTold:
    """A kind of event and its fields, as a user is told of them.

    Parameters
    ----------
    fields : (name, meaning, whether it must be given).
    """

    kind: str
    meaning: str
    fields: tuple[tuple[str, str, bool], ...]


def kinds_told() -> Iterator[KindTold]:
    """Every kind of event that can be booked."""
    from pacewright.events.reference import event_fields, sentence

    for kind, model in KINDS.items():
        told = [
            (name, meaning, needed and name != "at")
            for name, meaning, needed in event_fields(model)
        ]
        yield KindTold(kind, sentence(model), tuple(told))
