"""One works opened for many askers at once: its tables, its record, its plan."""

import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, TypeVar

from pacewright.control.as_recorded import as_recorded
from pacewright.control.door import door_of
from pacewright.events.refusal import Refusal
from pacewright.events.standing import Standing
from pacewright.events.things import Event
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
    """

    def __init__(
        self,
        works_path: Path,
        database: str = "",
        *,
        read_only: bool = False,
        clock: Callable[[], datetime] | None = None,
    ) -> None:
        self.path, self.read_only, self.closing = works_path, read_only, False
        self._clock = clock
        self._turn = threading.RLock()
        self._papers: dict[object, _Paper] = {}
        self._making: dict[object, threading.Lock] = {}
        self._looked = time.monotonic()
        self._state = _state_of(works_path)
        self.works, self.notes = open_works(works_path)
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
        self.access.people.close()
        self.ledger.close()

    def now(self) -> datetime:
        """The works' time, to the minute."""
        said = self._clock() if self._clock else datetime.now()
        return said.replace(second=0, microsecond=0)

    def set_clock(self, clock: Callable[[], datetime]) -> None:
        """Let the works' time be told by another clock."""
        self._clock = clock
        self._papers.clear()

    def head_place(self) -> int:
        """Place of the last event of the record, not older than a second."""
        return self.paper("head", lambda: self.ledger.head().place, (), seconds=FRESH_SECONDS)

    @contextmanager
    def standing(self) -> Iterator[Standing]:
        """Where everything stands, held still while it is read; be quick."""
        with self._turn:
            yield self.ledger.standing()

    def book(self, entries: Sequence[Entry], *, together: bool = False) -> tuple[Answer, ...]:
        """Hand entries to the record."""
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
        if not at_once and time.monotonic() - self._looked < LOOK_SECONDS:
            return
        self._looked = time.monotonic()
        state = _state_of(self.path)
        if state == self._state:
            return
        works, notes = open_works(self.path)
        with self._turn:
            self.works, self.notes, self._state = works, notes, state
            self._door = door_of(works)
            self._papers.clear()

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

        return self.paper("plan", made, (self.now().date(), self._state))

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
        kept = self._papers.get(key)
        if kept is not None and self._holds(kept, mark, seconds):
            made: Made = kept.made
            return made
        with self._making.setdefault(key, threading.Lock()):
            kept = self._papers.get(key)
            if kept is None or not self._holds(kept, mark, seconds):
                kept = _Paper(make(), mark, time.monotonic())
                self._papers[key] = kept
            fresh: Made = kept.made
        return fresh

    @staticmethod
    def _holds(kept: _Paper, mark: tuple[object, ...], seconds: float) -> bool:
        young = time.monotonic() - kept.at < seconds
        return young or bool(mark and kept.mark == mark)


def _state_of(path: Path) -> tuple[tuple[str, int, int], ...]:
    """Name, size and time of change of every file the works is read from."""
    files = [*sorted(path.glob("*.csv")), path / "works.toml"] if path.is_dir() else [path]
    return tuple(
        (one.name, one.stat().st_size, one.stat().st_mtime_ns) for one in files if one.is_file()
    )
