"""One pass over the events of a record: everything that factors can be learned from."""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pacewright.events.gate import Released
from pacewright.events.record import FactorDecided
from pacewright.events.things import Event
from pacewright.life.cells import Cell
from pacewright.life.inspections import Inspections
from pacewright.life.lateness import Lateness
from pacewright.life.stage_work import StageWork
from pacewright.life.unit_turns import UnitTurns
from pacewright.life.whereabouts import Heard, Whereabouts
from pacewright.life.working_time import WorkingTime, monday_of, week_of
from pacewright.works import Works

FRIDAY = 4


@dataclass(frozen=True)
class Evidence:
    """What the events of a record showed.

    Parameters
    ----------
    events : how many were read.
    first, last : moments of the earliest and of the latest that is no decision.
    inspections, turns, work, lateness : what was counted.
    releases : vehicles released, by number of the week.
    decided : cell -> the last decision about it.
    working : working days of the stretch the record covers.
    """

    events: int
    first: datetime
    last: datetime
    inspections: Inspections
    turns: UnitTurns
    work: StageWork
    lateness: Lateness
    releases: Counter[int]
    decided: dict[Cell, FactorDecided]
    working: WorkingTime

    def full_weeks(self) -> list[int]:
        """Numbers of the weeks that the record covers whole and that were worked."""
        first, last = self.first.date(), self.last.date()
        begins = week_of(first) + (first.weekday() > 0)
        # A week is whole when its Friday is over, whichever days are worked.
        ends = week_of(last) + (last.weekday() > FRIDAY)
        return [week for week in range(begins, ends) if self.working.days_of_week(week)]


class NothingRecordedError(ValueError):
    """The record holds no event; nothing can be learned from it."""


class _Decisions:
    """Decisions about cells; what was counted before an accepted one is in the table."""

    def __init__(self, forgetting: Iterable[Callable[[Cell], None]]) -> None:
        self.decided: dict[Cell, FactorDecided] = {}
        self._forgetting = tuple(forgetting)

    def heard(self) -> Heard:
        return {FactorDecided: self._decided}

    def _decided(self, event: FactorDecided) -> None:
        cell = Cell(event.table, event.row, event.column)
        self.decided[cell] = event
        if event.accepted:
            for forget in self._forgetting:
                forget(cell)


def gather(works: Works, events: Iterable[Event]) -> Evidence:
    """Read the events once and count.

    Parameters
    ----------
    works : its tables.
    events : of the record, mended of corrections, in its order; read once.

    Raises
    ------
    NothingRecordedError : there is none.
    """
    where = Whereabouts({one.vehicle_id: one.type_id for one in works.vehicles})
    inspections = Inspections(works, where)
    turns = UnitTurns(works, where)
    work = StageWork(works, where, inspections)
    lateness = Lateness()
    counters = (inspections, turns, work, lateness)
    decisions = _Decisions([one.forget for one in counters])
    releases: Counter[int] = Counter()

    def released(event: Released) -> None:
        releases[week_of(event.at)] += 1

    # Work is counted before the findings and the call that make its standard are put away.
    listeners: tuple[Heard, ...] = (
        work.heard(),
        where.heard(),
        inspections.heard(),
        turns.heard(),
        lateness.heard(),
        {Released: released},
        decisions.heard(),
    )
    count, first, last = _read(events, listeners)
    turns.close(last)
    inspections.close()
    begins, ends = monday_of(week_of(first)), monday_of(week_of(last) + 1)
    working = WorkingTime(works.settings.calendar, begins, ends)
    return Evidence(count, first, last, *counters, releases, decisions.decided, working)


def _read(events: Iterable[Event], listeners: Iterable[Heard]) -> tuple[int, datetime, datetime]:
    hearers: defaultdict[type[Event], list[Callable[[Any], None]]] = defaultdict(list)
    for heard in listeners:
        for kind, handler in heard.items():
            hearers[kind].append(handler)
    table = {kind: tuple(handlers) for kind, handlers in hearers.items()}
    count, first, last = 0, datetime.max, datetime.min
    for event in events:
        count += 1
        at = event.at
        # A decision tells nothing of the floor: units still out are not older for a late one.
        if at > last and type(event) is not FactorDecided:
            last = at
        if at < first:  # noqa: PLR1730 - millions of calls of min take a second
            first = at
        for handler in table.get(type(event), ()):
            handler(event)
    if not count:
        raise NothingRecordedError("The record holds no event; nothing can be learned from it.")
    return count, first, max(first, last)
