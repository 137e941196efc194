"""An event of the record corrected at the desk: voided, or something else put in its place."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pacewright.events.record import Corrected
from pacewright.events.registry import KIND_OF
from pacewright.events.written import write_event
from pacewright.ledger.entry import Kept
from pacewright.office.access import Person
from pacewright.office.booking import By, NotAnEventError, entry_from_text
from pacewright.office.desk import Desk
from pacewright.office.desk_booking import Entry, Sender, check_entry, events_behind
from pacewright.office.errors import NotFoundError
from pacewright.office.signing import names_asked, rights_to_mend

VOID, REPLACE = "void", "replace"
"""How an event is mended: it did not happen; it happened otherwise."""


@dataclass(frozen=True, slots=True)
class Mending:
    """A correction as it was filled in.

    Parameters
    ----------
    how : ``void`` or ``replace``.
    reason : why, in words.
    cells : fields of what stands in its place; who acted stays as it was told.
    at : when it is corrected, works clock; blank: now.
    """

    how: str
    reason: str
    cells: Mapping[str, str]
    event_id: str
    at: str = ""


def kept_at(desk: Desk, place: int) -> Kept:
    """The entry at a place of the record.

    Raises
    ------
    NotFoundError : there is none.
    """
    kept = next(iter(desk.ledger.entries(after=place - 1, until=place)), None) if place else None
    if kept is None:
        raise NotFoundError(f"record: there is no event {place}. Check the number.")
    return kept


def may_mend(desk: Desk, person: Person, kept: Kept) -> bool:
    """Whether a person may correct an event: a planner no inspector's word, nor the other way."""
    mended = events_behind(desk, kept.entry.event_id)
    needed = rights_to_mend(mended, Corrected(desk.now(), kept.entry.event_id, (), "-"))
    return all(person.may(one) for one in needed)


def correction(desk: Desk, sender: Sender, kept: Kept, mending: Mending) -> Entry:
    """The entry that corrects an event.

    Raises
    ------
    NotAnEventError : no reason, no choice, or fields that are wrong; with every fault.
    NotAllowedError : the person may not correct this, or puts another's name under it.
    """
    by = By(sender.person.name, sender.device)
    faults: list[str] = []
    instead: list[dict[str, Any]] = []
    if mending.how == REPLACE and not isinstance(kept.entry.event, Corrected):
        try:
            instead = [write_event(_in_place(desk, kept, mending.cells, by).event)]
        except NotAnEventError as error:
            faults += error.faults
    elif mending.how != VOID:
        faults.append(
            "how: an event is voided or something else put in its place; a correction can only "
            "be voided. Choose."
        )
    if not mending.reason.strip():
        faults.append("reason: nothing found. A correction says why. Fill it in.")
    if faults:
        raise NotAnEventError(faults)
    given = {
        "at": mending.at,
        "mends": kept.entry.event_id,
        "instead": json.dumps(instead),
        "reason": mending.reason.strip(),
    }
    entry = entry_from_text("corrected", given, by, desk.now(), mending.event_id)
    check_entry(desk, sender, entry)
    return entry


def _in_place(desk: Desk, kept: Kept, cells: Mapping[str, str], by: By) -> Entry:
    event = kept.entry.event
    kind = KIND_OF[type(event)]
    signed = {name: str(getattr(event, name)) for name in names_asked(kind)}
    if not cells.get("at", "").strip():
        raise NotAnEventError([f"{kind}, at: nothing found. The field is needed. Give it."])
    return entry_from_text(kind, dict(cells) | signed, by, desk.now())
