"""The record as it was written: its newest events, and one event whole."""

import json
from collections.abc import Mapping
from typing import Any

from pacewright.events.record import Corrected
from pacewright.events.registry import KIND_OF
from pacewright.events.stages import Found
from pacewright.events.things import Event
from pacewright.events.units import UnitFound
from pacewright.events.written import read_event, write_event
from pacewright.ledger.entry import Head, Kept
from pacewright.office.desk import Desk
from pacewright.office.errors import NotFoundError
from pacewright.office.photos import photos_of
from pacewright.office.record import faults_of_filters
from pacewright.office.sheets.asked import day_asked, morning_of, whole_asked
from pacewright.reports.sheet import Figure, Part, Photo, Sheet
from pacewright.reports.table import Table, exact, table, text
from pacewright.reports.written import number

PAGE_ROWS = 200
_AT_ALL = ("kind", "version", "at")


def record_sheet(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """The newest events, or those about one thing, of one kind, by one person.

    Raises
    ------
    ValueError : a filter is wrong.
    """
    head = desk.ledger.head()
    found = _found(desk, asked, head.place)
    return Sheet(
        key="record",
        title="Record",
        question="What was recorded, by whom and when?",
        answer=(_answer(asked, head.place, bool(found)),),
        figures=_figures(head),
        parts=(
            Part(
                "events",
                "Events, newest first",
                f"At most {PAGE_ROWS} at a time. 'At' is the works clock, 'recorded' is UTC.",
                events_table(found),
                links={"place": "/record/{}"},
                empty="No event fits.",
            ),
        ),
        basis=(f"Record up to event {number(head.place, 0)}.",),
    )


def _found(desk: Desk, asked: Mapping[str, str], last_place: int) -> list[Kept]:
    before = whole_asked(asked, "before", last_place + 1, 1, 10**9)
    about, kind = asked.get("about", "").strip(), asked.get("kind", "").strip()
    faults = faults_of_filters(about, kind)
    if faults:
        raise ValueError(" ".join(faults))
    return list(
        desk.ledger.entries(
            until=before - 1,
            about=about,
            kind=kind,
            by=asked.get("by", "").strip(),
            since=morning_of(day_asked(asked, "since")),
            newest_first=True,
            limit=PAGE_ROWS,
        )
    )


def _answer(asked: Mapping[str, str], last_place: int, any_found: bool) -> str:
    chosen = {one: asked[one] for one in ("about", "kind", "by", "since") if asked.get(one)}
    told = ", ".join(f"{name} {value}" for name, value in chosen.items())
    answer = f"{number(last_place, 0)} events are recorded."
    if told:
        answer += f" Shown: {told}."
    return answer if any_found else answer + " None fits what was asked."


def _figures(head: Head) -> tuple[Figure, ...]:
    return (
        Figure(
            "Events",
            number(head.place, 0),
            "recorded",
            "Every event ever taken. Nothing is changed or deleted; a mistake is mended by an "
            "event that corrects it.",
        ),
        Figure(
            "Last digest",
            head.digest[:12] or "none",
            "",
            "SHA-256 over the digest before it and all that is kept of the last event. Noted "
            "elsewhere it proves later that nothing before it was changed. "
            "'pacewright record verify' works the whole chain out anew.",
        ),
    )


def events_table(found: list[Kept]) -> Table:
    """Events as rows: what, when, who, about what."""
    return table(
        ("events", "Events", "What was recorded."),
        (
            text("place", "number in the order of the record", lambda one: str(one.place)),
            text(
                "at", "when it happened, works clock", lambda one: f"{one.entry.event.at:%F %H:%M}"
            ),
            text("kind", "kind of event", lambda one: KIND_OF[type(one.entry.event)]),
            text("said", "what it says", lambda one: in_words(one.entry.event)),
            text("recorded_by", "person who wrote it down", "entry.recorded_by"),
            text(
                "recorded_at", "when it was recorded, UTC", lambda one: f"{one.recorded_at:%F %T}"
            ),
            exact("reference", "job card, docket, file and row", "entry.reference"),
            text("event_id", "its id", "entry.event_id"),
        ),
        found,
    )


def in_words(event: Any) -> str:
    """The fields of an event in one line, ids of things as their codes."""
    said = []
    for name, value in write_event(event).items():
        if name in _AT_ALL or value in ("", None):
            continue
        # A digest is for machines; its beginning tells photos apart.
        told = f"{value[:12]}..." if name == "photo" else _plainly(value)
        said.append(f"{name.replace('_', ' ')} {told}")
    return "; ".join(said)


def _plainly(value: Any) -> str:
    if value is None:
        return "not told"
    if isinstance(value, list):
        if len(value) == 2 and all(isinstance(one, str) for one in value):
            return ":".join(value)
        return ", ".join(map(_plainly, value))
    if isinstance(value, dict):
        return str(value.get("kind", "")) or json.dumps(value, ensure_ascii=False)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)


def event_sheet(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """One event whole.

    Raises
    ------
    NotFoundError : the record has no such place.
    """
    place = whole_asked(asked, "place", 0, 0, 10**9)
    kept = next(iter(desk.ledger.entries(after=place - 1, until=place)), None) if place else None
    if kept is None:
        raise NotFoundError(f"record: there is no event {place}. Check the number.")
    event = kept.entry.event
    rows = [(name, _plainly(value)) for name, value in write_event(event).items()]
    rows += [
        ("recorded_by", kept.entry.recorded_by),
        ("recorded_at", f"{kept.recorded_at:%F %T} UTC"),
    ]
    fields = table(
        ("fields", "Fields", "What the event says, as people write it."),
        (
            text("field", "name of the field", lambda one: one[0]),
            text("value", "what it says", lambda one: one[1]),
        ),
        rows,
    )
    return Sheet(
        key="event",
        title=f"Event {place}",
        question=f"What does event {number(place, 0)} say?",
        answer=(f"{KIND_OF[type(event)]}: {in_words(event)}.",),
        parts=(
            Part("fields", "Fields", "What the event says, and who recorded it when.", fields,
                 photos=_photos(event)),
            Part("kept", "As kept", "The text that is kept, sign by sign, and what was kept with "
                 "it. All of it goes into the digest.", _as_kept(kept)),
        ),
        basis=(f"Event {number(place, 0)} of the record.",),
    )  # fmt: skip


def _as_kept(kept: Kept) -> Table:
    entry = kept.entry
    return table(
        ("kept", "As kept", "Everything kept of the event, as it is kept."),
        (
            text("part", "what it is", lambda one: one[0]),
            exact("text", "its text, sign by sign", lambda one: one[1]),
        ),
        [
            ("event", kept.body),
            ("event_id", entry.event_id),
            ("recorded_at", kept.recorded_at.isoformat()),
            ("device", entry.device),
            ("reference", entry.reference),
            ("digest", kept.digest),
        ],
    )


def _photos(event: Event) -> tuple[Photo, ...]:
    told = [read_event(one) for one in event.instead] if isinstance(event, Corrected) else [event]
    return photos_of(one for one in told if isinstance(one, Found | UnitFound))
