"""Daily sheets handed in at the desk: looked at first, then booked as far as they can be."""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from pacewright.base.faults import CallError, WorksFaultyError
from pacewright.events.registry import KIND_OF
from pacewright.events.things import Event
from pacewright.ledger.entry import Answer, Entry, Outcome
from pacewright.office.access import Person
from pacewright.office.booking import id_of
from pacewright.office.desk import Desk
from pacewright.office.desk_booking import Sender, check_entry, hand_in
from pacewright.office.importing import Imported, RowRefused
from pacewright.office.signing import SIGNS, NotAllowedError
from pacewright.office.uploads import checked, laid_down

__all__ = ["DailySheets", "Imported", "RowRefused", "book_sheets", "empty_sheets", "read_sheets"]

MOST_EVENTS = 5_000
"""Events of one upload; the busiest day of a large works has some hundreds."""


@dataclass(frozen=True, slots=True)
class DailySheets:
    """Daily sheets that could be read.

    Parameters
    ----------
    files : names, as they came.
    entries : what the person may book, in order of time, nothing twice.
    barred : rows the person may not book, or that name another as acting.
    would : what booking them now would do.
    """

    files: tuple[str, ...]
    entries: tuple[Entry, ...]
    barred: tuple[RowRefused, ...]
    would: Imported


def read_sheets(desk: Desk, sender: Sender, files: list[tuple[str, bytes]]) -> DailySheets:
    """Read daily sheets and say what booking them would do; nothing is booked.

    Parameters
    ----------
    files : (name, content) as they came over the network.

    Raises
    ------
    CallError : a file is not what it says, or cannot be read; with every fault, file and row.
    """
    from pacewright.files.daily import read_daily

    named = checked(files)
    with TemporaryDirectory(prefix="pacewright-") as folder:
        try:
            rows = read_daily(laid_down(named, Path(folder)))
        except WorksFaultyError as error:
            raise CallError(str(error)) from None
    if len(rows) > MOST_EVENTS:
        raise CallError(
            f"The sheets tell {len(rows):,} events, at most {MOST_EVENTS:,} at a time: while they "
            "are judged nobody else books. Send less at a time."
        )
    entries: dict[str, Entry] = {}
    barred = []
    for row in rows:
        event = _in_own_name(row.event, sender.person)
        entry = Entry(
            id_of(event, "daily"), event, sender.person.name, sender.device, row.where[:400]
        )
        try:
            check_entry(desk, sender, entry)
        except NotAllowedError as error:
            kind = KIND_OF[type(event)]
            barred.append(RowRefused(row.where, kind, tuple(str(error).split("\n"))))
        else:
            entries.setdefault(entry.event_id, entry)
    taken = tuple(entries.values())
    would = _told(taken, desk.ledger.judge(taken) if taken else (), barred, dry_run=True)
    return DailySheets(tuple(name for name, _ in named), taken, tuple(barred), would)


def book_sheets(desk: Desk, sheets: DailySheets) -> Imported:
    """Book what can be booked of daily sheets that were read.

    Raises
    ------
    CallError : this server only shows; the record cannot be written.
    """
    answers = hand_in(desk, sheets.entries) if sheets.entries else ()
    return _told(sheets.entries, answers, sheets.barred, dry_run=False)


def empty_sheets() -> dict[str, bytes]:
    """File name -> content of every empty daily sheet."""
    from pacewright.files.daily_template import templates

    return templates()


def _in_own_name(event: Event, person: Person) -> Event:
    """The event with the account's name where the person's own name was written out."""
    own: dict[str, Any] = {
        one.name: person.name
        for one in fields(event)
        if one.name in SIGNS and str(getattr(event, one.name)).casefold() == person.shown.casefold()
    }
    return replace(event, **own) if own else event


def _told(
    entries: Sequence[Entry],
    answers: Sequence[Answer],
    barred: Sequence[RowRefused],
    *,
    dry_run: bool,
) -> Imported:
    refused = [
        RowRefused(entry.reference, KIND_OF[type(entry.event)], answer.reasons)
        for entry, answer in zip(entries, answers, strict=True)
        if answer.outcome is Outcome.REFUSED
    ]
    outcomes = [answer.outcome for answer in answers]
    counts = outcomes.count(Outcome.KEPT), outcomes.count(Outcome.KNOWN)
    return Imported(*counts, (*barred, *refused), dry_run)
