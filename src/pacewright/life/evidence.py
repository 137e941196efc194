"""One pass over the events of a record: everything that factors can be learned from."""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
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
from pacewright.life.working_time import WorkingTime, monday_of
from pacewright.works import Works

_WEEK = timedelta(days=7)


@dataclass(frozen=True)
class Evidence:
    """What the events of a record showed.

    Parameters
    ----------
    events : how many were read.
    first, last : moments of the earliest and the latest.
    inspections, turns, work, lateness : what was counted.
    releases : vehicles released, by Monday of the week.
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
    releases: Counter[date]
    decided: dict[Cell, FactorDecided]
    working: WorkingTime

    def full_weeks(self) -> list[date]:
        """Mondays of the weeks that the record covers whole and that were worked."""
        found = []
        monday = monday_of(self.first.date())
        if monday < self.first.date():
            monday += _WEEK
        # A week is whole when its Friday is over, whichever days are worked.
        while monday + timedelta(days=4) < self.last.date():
            if self.working.days_of_week(monday):
                found.append(monday)
            monday += _WEEK
        return found


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
    releases: Counter[date] = Counter()

    def released(event: Released) -> None:
        releases[monday_of(event.at.date())] += 1

    # Work is counted before the findings that make its standard are put away.
    listeners: tuple[Heard, ...] = (
        where.heard(),
        work.heard(),
        inspections.heard(),
        turns.heard(),
        lateness.heard(),
        {Released: released},
        decisions.heard(),
    )
    count, first, last = _read(events, listeners)
    turns.close(last)
    inspections.close()
    working = WorkingTime(works.settings.calendar, monday_of(first.date()), _week_end(last.date()))
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
        last = max(last, at)
        first = min(first, at)
        for handler in table.get(type(event), ()):
            handler(event)
    if not count:
        raise NothingRecordedError("The record holds no event; nothing can be learned from it.")
    return count, first, last


def _week_end(day: date) -> date:
    return monday_of(day) + _WEEK - timedelta(days=1)
