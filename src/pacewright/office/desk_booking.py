"""Events booked by a signed-in person at the desk: rights, names and the door, in that order."""

import uuid
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pacewright.base.faults import CallError
from pacewright.events.record import Corrected
from pacewright.events.registry import KIND_OF, KINDS
from pacewright.events.things import Event
from pacewright.events.units import Robbed
from pacewright.events.written import UnreadableEventError, read_event, write_event
from pacewright.ledger.entry import Answer, Entry, Kept, Outcome
from pacewright.ledger.errors import RecordError
from pacewright.office.access import Person
from pacewright.office.agreeing import agrees, faults_of_agreement, waits_until
from pacewright.office.booking import By, NotAnEventError, entry_from_text, entry_of
from pacewright.office.desk import Desk
from pacewright.office.event_form import coded
from pacewright.office.rights import Right
from pacewright.office.signing import (
    ELSEWHERE,
    SECOND,
    NotAllowedError,
    check_allowed,
    check_rights,
    names_asked,
    names_of_others,
    rights_to_mend,
    second_person,
)

__all__ = [
    "Answer",
    "Entry",
    "NotNowError",
    "Outcome",
    "Sender",
    "check_entry",
    "events_behind",
    "hand_in",
    "new_id",
    "told_of",
    "typed_entry",
    "written_entry",
]

ASKED = "robbing_asked"
MOST_BEHIND = 50
"""Corrections of corrections followed back; nobody mends that often."""


@dataclass(frozen=True, slots=True)
class Sender:
    """Who books, and from where.

    Parameters
    ----------
    device : page or program it is sent by.
    address : of the network, for the throttling of passwords.
    second_password : of the person named in a second approval.
    """

    person: Person
    device: str = ""
    address: str = ""
    second_password: str = ""


class NotNowError(CallError):
    """The record cannot be written just now; sent again later it may be."""


def new_id() -> str:
    """An id for an event of a page, made with the form, so that sending twice is harmless."""
    return f"web-{uuid.uuid4()}"


def typed_entry(
    desk: Desk,
    sender: Sender,
    kind: str,
    cells: Mapping[str, str],
    event_id: str = "",
    reference: str = "",
) -> Entry:
    """What was typed into the form of a kind, as an entry the sender may hand in.

    Raises
    ------
    NotAnEventError : with all that is wrong.
    NotAllowedError : the person may not book it, or names another as acting.
    """
    if kind not in KINDS:
        raise NotAnEventError([f"kind: {kind[:40]!r} found. It names a kind of event. Correct it."])
    given = dict(cells)
    for name in names_asked(kind):
        if name != SECOND and not given.get(name, "").strip():
            given[name] = sender.person.name
    if kind == ASKED and not given.get("until", "").strip():
        given |= _until(desk)
    by = By(sender.person.name, sender.device, reference)
    entry = entry_from_text(kind, given, by, desk.now(), event_id)
    check_entry(desk, sender, entry)
    return entry


def written_entry(
    desk: Desk, sender: Sender, body: Mapping[str, Any], event_id: str = "", reference: str = ""
) -> Entry:
    """A written event (as a record keeps it) as an entry the sender may hand in.

    The version may be left out (the present one is meant), and so may ``at`` (now), who acts
    (the sender) and until when an asked approval waits (the end of the next working day).

    Raises
    ------
    NotAnEventError : with all that is wrong.
    NotAllowedError : the person may not book it, or names another as acting.
    """
    kind = str(body.get("kind", ""))
    given = coded(kind, body)
    if kind in KINDS:
        own = {name: sender.person.name for name in names_asked(kind) if name != SECOND}
        now = desk.now().isoformat(timespec="minutes")
        own |= _until(desk) if kind == ASKED else {}
        given = {"version": KINDS[kind].VERSION, "at": now} | own | given
    try:
        event = read_event(given)
    except UnreadableEventError as error:
        raise NotAnEventError(error.faults) from error
    entry = entry_of(event, By(sender.person.name, sender.device, reference), event_id)
    check_entry(desk, sender, entry)
    return entry


def _until(desk: Desk) -> dict[str, str]:
    until = waits_until(desk.works, desk.now())
    return {"until": until.isoformat(timespec="minutes")}


def check_entry(desk: Desk, sender: Sender, entry: Entry) -> None:
    """Let an entry pass that its sender may hand in, in the own name.

    Raises
    ------
    NotAllowedError : what is missing, or who is named though another books.
    """
    event, person = entry.event, sender.person
    kind = KIND_OF[type(event)]
    if isinstance(event, Corrected):
        instead = [_read(one) for one in event.instead]
        mended = events_behind(desk, event.mends)
        check_rights(person, rights_to_mend(mended, event), f"correction of {event.mends}")
        faults = [line for one in instead for line in names_of_others(person, one, before=mended)]
    elif kind in ELSEWHERE:
        raise NotAllowedError(
            f"{kind}: it is not booked by itself. It comes about on the page {ELSEWHERE[kind]}. "
            "Do it there."
        )
    else:
        check_allowed(person, event)
        faults = list(_named(desk, sender, event))
    if faults:
        raise NotAllowedError("\n".join(faults))


def _named(desk: Desk, sender: Sender, event: Event) -> Iterator[str]:
    if isinstance(event, Robbed) and agrees(sender.person, event):
        with desk.standing() as standing:
            return iter([*faults_of_agreement(desk.access, standing, desk.now(), event)])
    return names_of_others(sender.person, event, _vouched(desk, sender, event))


def _read(body: Mapping[str, Any]) -> Event:
    try:
        return read_event(body)
    except UnreadableEventError as error:
        raise NotAnEventError(error.faults) from error


def _vouched(desk: Desk, sender: Sender, event: Event) -> tuple[str, ...]:
    said = getattr(event, SECOND, "")
    if not said:
        return ()
    asked = (said, sender.second_password, Right.APPROVE_ROBBING, sender.address)
    return (second_person(desk.access, sender.person, *asked),)


def events_behind(desk: Desk, event_id: str) -> tuple[Event, ...]:
    """The event of an id and, when it is a correction, what it mended and put in place, and so on.

    Raises
    ------
    NotAnEventError : there is no such event.
    """
    found: list[Event] = []
    for _ in range(MOST_BEHIND):
        kept = desk.ledger.entry(event_id)
        if kept is None:
            raise NotAnEventError(
                [f"event_id: {event_id[:80]!r} is not in the record. Name the event by its id."]
            )
        event = kept.entry.event
        found.append(event)
        if not isinstance(event, Corrected):
            return tuple(found)
        found += map(_read, event.instead)
        event_id = event.mends
    raise CallError(f"{event_id}: mended more than {MOST_BEHIND} times over. Look at it first.")


def told_of(kept: Kept) -> dict[str, Any]:
    """An entry of the record as plain values, for programs."""
    return {
        "place": kept.place,
        "event_id": kept.entry.event_id,
        "event": write_event(kept.entry.event),
        "recorded_by": kept.entry.recorded_by,
        "recorded_at": kept.recorded_at,
        "device": kept.entry.device,
        "reference": kept.entry.reference,
        "digest": kept.digest,
    }


def hand_in(desk: Desk, entries: Sequence[Entry], *, together: bool = False) -> tuple[Answer, ...]:
    """Hand entries to the record; more than one of an id in one sending is refused as a whole.

    Raises
    ------
    NotNowError : the record cannot be written.
    CallError : this server only shows; an id is given twice.
    """
    if desk.read_only:
        raise CallError("This server only shows. Nothing is booked here. Ask where booking is.")
    given = Counter(one.event_id for one in entries)
    twice = sorted(one for one, times in given.items() if times > 1)
    if twice:
        raise CallError(
            f"event_id: {', '.join(twice[:5])} given more than once. An id stands for one event. "
            "Give each its own."
        )
    try:
        return desk.book(entries, together=together)
    except RecordError as error:
        raise NotNowError(str(error)) from error
