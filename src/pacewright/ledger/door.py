"""What an entry must pass before it is kept."""

import re
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta

from pacewright.events.fold import refusals
from pacewright.events.refusal import Refusal
from pacewright.events.standing import Standing
from pacewright.events.things import Event
from pacewright.events.written import faults_of
from pacewright.ledger.entry import Door, Entry

_TEXT = re.compile(r"[^\x00-\x1f\x7f\ud800-\udfff]*")
_LONGEST = {"event_id": 80, "recorded_by": 120, "device": 400, "reference": 400}
_NEEDED = ("event_id", "recorded_by")


def faults_of_entry(entry: Entry) -> tuple[str, ...]:
    """What is wrong with an entry by itself, whatever the record says."""
    return (*_label_faults(entry), *_event_faults(entry.event))


def _label_faults(entry: Entry) -> Iterator[str]:
    for name, longest in _LONGEST.items():
        value = getattr(entry, name)
        if not isinstance(value, str) or not _TEXT.fullmatch(value):
            yield f"{name}: {value!r} found. One line of text is wanted. Correct it."
        elif len(value) > longest:
            yield f"{name}: {len(value)} characters found. The most is {longest}. Shorten it."
        elif name in _NEEDED and not value.strip():
            yield f"{name}: nothing found. Every entry has one. Give it."


def _event_faults(event: Event) -> tuple[str, ...]:
    try:
        return faults_of(event)
    except Exception as error:
        # What is no event at all fails in as many ways as there are things in Python.
        return (f"event: {event!r:.200} cannot be written ({error}). Give an event of a kind.",)


def in_future(event: Event, now: datetime, ahead: timedelta | None) -> Iterator[str]:
    """Why an event is told of a moment that has not come; nothing when it has."""
    if ahead is not None and event.at > now + ahead:
        yield (
            f"at: {event.at:%Y-%m-%d %H:%M} is later than now, {now:%Y-%m-%d %H:%M} by the clock "
            "of the works. What has not happened yet is not recorded. Correct the time, or the "
            "clock and time zone of this machine."
        )


def broken_rules(standing: Standing, event: Event, door: Door | None) -> tuple[str, ...]:
    """Every rule an event would break now: those of the fold and those of the door."""
    reasons = refusals(standing, event)
    further: tuple[Refusal, ...] = ()
    if door is not None:
        further = _asked(door, standing, event, bool(reasons))
    return tuple(dict.fromkeys(str(one) for one in (*reasons, *further)))


def _asked(
    door: Callable[[Standing, Event], tuple[Refusal, ...]],
    standing: Standing,
    event: Event,
    refused: bool,
) -> tuple[Refusal, ...]:
    try:
        return door(standing, event)
    except LookupError:
        # A door may count on what the fold has just refused, a vehicle on the books for one.
        if refused:
            return ()
        raise
