"""Propose who gets which unit and which assembly; book what is to be issued when told to."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from pacewright.base.progress import Progress, silent
from pacewright.office.as_it_stands import as_it_stands
from pacewright.office.errors import CallError

if TYPE_CHECKING:
    from pacewright.ledger.entry import Answer
    from pacewright.plans.allotment import Allotment


@dataclass(frozen=True, slots=True)
class AllotAsked:
    """How an allotment is asked for.

    Parameters
    ----------
    database : address of the record; empty: that of the works.
    moment : works time; None: the last the record tells of.
    days : working days ahead whose needs are weighed.
    issue_days : of those, working days ahead for which units are issued.
    by : who books the issues; empty: nothing is booked.
    """

    database: str = ""
    moment: datetime | None = None
    days: float = 15.0
    issue_days: float = 3.0
    by: str = ""


def allotted(
    path: Path, asked: AllotAsked, progress: Progress = silent
) -> "tuple[Allotment, tuple[Answer, ...]]":
    """The proposal, and what the record said to the issues booked.

    Parameters
    ----------
    path : works folder or workbook, with a record.

    Returns
    -------
    The proposal; one answer a unit when ``asked.by`` books, in the order of ``units``.

    Raises
    ------
    WorksFaultyError : with every fault found in the files.
    CallError : there is no record; a past moment is to be booked.
    """
    from pacewright.control.ahead import ahead
    from pacewright.control.allotment import Seen, allotment
    from pacewright.control.door import door_of
    from pacewright.control.needs import needs
    from pacewright.control.pool import pools
    from pacewright.control.to_come_off import tell_to_come_off
    from pacewright.control.turn_left import turn_times
    from pacewright.control.turns_seen import turns_seen

    if asked.by and asked.moment:
        raise CallError(
            "--book and --at: what is booked is issued now, not at a past moment. Leave --at out."
        )
    progress("reading the record", 0.0)
    works, standing, now = as_it_stands(
        path, "Units are allotted from where they are.", asked.database, asked.moment
    )
    progress("who gets what", 0.0)
    seen = ahead(works, standing, now)
    turns = turn_times(works, turns_seen(standing, seen.clock, now))
    pool = pools(works, standing, seen.clock, now, turns)
    wanted = needs(works, standing, seen)
    tell_to_come_off(seen, wanted, pool)
    case = Seen(works, standing, seen, wanted, pool, door_of(works))
    made = allotment(case, asked.days, asked.issue_days)
    return made, _booked(path, made, asked) if asked.by else ()


def _booked(path: Path, made: "Allotment", asked: AllotAsked) -> "tuple[Answer, ...]":
    from pacewright.office.booking import By, book, entry_from_text

    by = By(asked.by, reference="allotment")
    entries = [
        entry_from_text("issued", {"unit": one.unit, "to": one.to}, by, made.now)
        for one in made.units
    ]
    return book(path, entries, asked.database)
