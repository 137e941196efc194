"""One works opened for many askers at once: its tables, its record, its plan."""

import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple, Protocol, TypeVar

from pacewright.base.faults import WorksFaultyError
from pacewright.control.as_recorded import as_recorded
from pacewright.control.door import door_of
from pacewright.events.refusal import Refusal
from pacewright.events.standing import Standing
from pacewright.events.things import Event
from pacewright.ledger.copies import Copy
from pacewright.ledger.entry import Answer, Entry
from pacewright.ledger.people.store import People
from pacewright.ledger.store import Ledger
from pacewright.office.access import Access
from pacewright.office.folder import open_works
from pacewright.office.planning import make_plan
from pacewright.office.record import people_address, record_address
from pacewright.plans.plan import Plan
from pacewright.works import Works

LOOK_SECONDS = 2.0
"""How often the tables of the works are looked at for a change."""

FRESH_SECONDS = 1.0
"""A paper so old is still given out while events come in; every page says up to which event."""

Made = TypeVar("Made")


class Tables(NamedTuple):
    """The works as its tables tell it, at one state of them.

    Parameters
    ----------
    notes : what was noted when they were read.
    state : name, size and time of change of every file.
    """

    works: Works
    notes: tuple[str, ...]
    state: tuple[tuple[str, int, int], ...]


class Elsewhere(Protocol):
    """Where things that take long are made, instead of beside the pages."""

    def make(self, desk: "Desk", make: Callable[..., Any], given: tuple[Any, ...]) -> Any:
        """What ``make(desk there, *given)`` returns."""

    def close(self) -> None:
        """Give it up."""


@dataclass(frozen=True, slots=True)
class _Paper:
    made: Any
    mark: tuple[object, ...]
    at: float


class Desk:
    """A works, its record and what was made of them, shared by threads.

    Parameters
    ----------
    works_path : works folder or workbook.
    database : URL of the record's database; empty: a file beside the works.
    read_only : nothing is ever booked.
    clock : tells the works' time, for trials; None: the clock of this machine.
    tables : those that hold, whatever the files say; None: they are read from the files.

    Attributes
    ----------
    files_turn : held by whoever puts files of the works in place, so that nobody's are lost.
    """

    def __init__(
        self,
        works_path: Path,
        database: str = "",
        *,
        read_only: bool = False,
        clock: Callable[[], datetime] | None = None,
        tables: Tables | None = None,
    ) -> None:
        self.path, self.database = works_path, database
        self.read_only, self.closing = read_only, False
        self.elsewhere: Elsewhere | None = None
        self._clock = clock
        self.files_turn = threading.Lock()
        self._turn = threading.RLock()
        self._papers: dict[object, _Paper] = {}
        self._making: dict[object, threading.Lock] = {}
        self._looked = time.monotonic()
        self._told_tables = tables is not None
        self.tables = tables or _read(works_path)
        self._door = door_of(self.works)
        self.ledger = Ledger.open(
            record_address(works_path, database),
            self._at_the_door,
            create=not read_only,
            read_only=read_only,
        )
        self.access = Access(People(people_address(works_path, database)))

    def close(self) -> None:
        """Give everything back."""
        self.closing = True
        if self.elsewhere is not None:
            self.elsewhere.close()
        self.access.people.close()
        self.ledger.close()

    @property
    def works(self) -> Works:
        """The works as its tables tell it."""
        return self.tables.works

    @property
    def notes(self) -> tuple[str, ...]:
        """What was noted when the tables were read."""
        return self.tables.notes

    def now(self) -> datetime:
        """The works' time, to the minute."""
        said = self._clock() if self._clock else datetime.now()
        return said.replace(second=0, microsecond=0)

    def set_clock(self, clock: Callable[[], datetime]) -> None:
        """Let the works' time be told by another clock."""
        self._clock = clock
        self._papers = {}

    def set_time(self, now: datetime) -> None:
        """Let the works' time stand at a moment, until told another."""
        self._clock = lambda: now

    def head_place(self) -> int:
        """Place of the last event of the record, not older than a second."""
        return self.paper("head", lambda: self.ledger.head().place, (), seconds=FRESH_SECONDS)

    @contextmanager
    def standing(self) -> Iterator[Standing]:
        """Where everything stands, held still while it is read; be quick."""
        with self._turn:
            yield self.ledger.standing()

    def copied(self, until: int | None = None) -> Copy:
        """Where everything stands, to be read for as long as it is held; see ``Ledger.copied``."""
        return self.ledger.copied(until)

    def apart(self, make: Callable[..., Made], *given: Any) -> Made:
        """``make(desk, *given)``, where it keeps no page waiting; the calling thread waits.

        Parameters
        ----------
        make : function of a module; ``given`` and what it returns can be sent to a process.
        """
        if self.elsewhere is None:
            return make(self, *given)
        made: Made = self.elsewhere.make(self, make, given)
        return made

    def book(self, entries: Sequence[Entry], *, together: bool = False) -> tuple[Answer, ...]:
        """Hand entries to the record."""
        # Somebody may be at work on the tables. Until they are in order again the last good ones
        # hold: the floor does not stop for a spreadsheet.
        with suppress(WorksFaultyError):
            self.look_again()
        with self._turn:
            answers = self.ledger.append(entries, together=together)
        self._papers.pop("head", None)
        return answers

    def _at_the_door(self, standing: Standing, event: Event) -> tuple[Refusal, ...]:
        # Not the door itself: it is another one once the tables have changed.
        return self._door(standing, event)

    def look_again(self, *, at_once: bool = False) -> None:
        """Read the works anew when its tables have changed; faulty tables leave the old ones.

        Parameters
        ----------
        at_once : look though they were looked at a moment ago.

        Raises
        ------
        WorksFaultyError : with every fault of the tables that are there now.
        """
        if self._told_tables or (not at_once and time.monotonic() - self._looked < LOOK_SECONDS):
            return
        self._looked = time.monotonic()
        if _state_of(self.path) != self.tables.state:
            self.take(_read(self.path))

    def take(self, tables: Tables) -> None:
        """Let other tables hold."""
        with self._turn:
            self.tables = tables
            self._door = door_of(tables.works)
            self._papers = {}

    def works_now(self) -> tuple[Works, tuple[str, ...]]:
        """The works with its tables as they stand by the record, and what was noted of it."""

        def made() -> tuple[Works, tuple[str, ...]]:
            with self.standing() as standing:
                if not standing.events:
                    return self.works, self.notes
                recorded = as_recorded(self.works, standing, self.now())
            return recorded.works, (*self.notes, *recorded.notes)

        return self.paper("works now", made, (self.ledger.head().place,))

    def plan(self) -> Plan:
        """The plan by the tables and the record of this day; made once a day or change."""

        def made() -> Plan:
            works, notes = self.works_now()
            return make_plan(works, notes)

        return self.paper("plan", made, (self.now().date(), self.tables.state))

    def paper(
        self,
        key: object,
        make: Callable[[], Made],
        mark: tuple[object, ...],
        *,
        seconds: float = 0.0,
    ) -> Made:
        """A paper made once for as long as its mark stays the same.

        Parameters
        ----------
        key : name of the paper. ``mark`` : what it was made from; another mark makes it anew.
        seconds : a paper not older than this is given out whatever its mark; with an empty mark
            it is made anew after them.
        """
        # What is made while other tables are taken goes with the papers of the old ones.
        papers = self._papers
        kept = papers.get(key)
        if kept is not None and self._holds(kept, mark, seconds):
            made: Made = kept.made
            return made
        with self._making.setdefault(key, threading.Lock()):
            kept = papers.get(key)
            if kept is None or not self._holds(kept, mark, seconds):
                kept = papers[key] = _Paper(make(), mark, time.monotonic())
            fresh: Made = kept.made
        return fresh

    @staticmethod
    def _holds(kept: _Paper, mark: tuple[object, ...], seconds: float) -> bool:
        young = time.monotonic() - kept.at < seconds
        return young or bool(mark and kept.mark == mark)


def _read(path: Path) -> Tables:
    # The state first: a file that changes while it is read is read again.
    state = _state_of(path)
    return Tables(*open_works(path), state)


def _state_of(path: Path) -> tuple[tuple[str, int, int], ...]:
    """Name, size and time of change of every file the works is read from."""
    files = [*sorted(path.glob("*.csv")), path / "works.toml"] if path.is_dir() else [path]
    return tuple(
        (one.name, one.stat().st_size, one.stat().st_mtime_ns) for one in files if one.is_file()
    )
