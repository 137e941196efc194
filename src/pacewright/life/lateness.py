"""How punctually the depots send what is called in."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date, datetime
from math import sqrt

import numpy as np

from pacewright.events.gate import Arrived, Called, CalledOff
from pacewright.life.cells import Cell
from pacewright.life.weighing import (
    LEAST_SAMPLE,
    Seen,
    Weighing,
    believed_mean,
    believed_share,
)
from pacewright.life.whereabouts import Heard
from pacewright.life.working_time import WorkingTime
from pacewright.plans.learned import Proposal
from pacewright.works import Works


class Lateness:
    """Arrivals against the day they were called for, by depot.

    A vehicle that comes without a call says nothing; one called and not come is not late yet.
    """

    def __init__(self) -> None:
        self.arrivals: defaultdict[str, list[tuple[date, datetime]]] = defaultdict(list)
        self.starts: dict[Cell, int] = {}
        self._called: dict[str, tuple[str, date]] = {}

    def heard(self) -> Heard:
        """What it listens to."""
        return {Called: self._is_called, CalledOff: self._called_off, Arrived: self._arrived}

    def forget(self, cell: Cell) -> None:
        """What was counted is in the table now."""
        if cell.table == "depots":
            self.starts[cell] = len(self.arrivals[cell.row])

    def of_cell(self, cell: Cell) -> list[tuple[date, datetime]]:
        """Days called for and moments of arrival that are not in the cell yet."""
        return self.arrivals[cell.row][self.starts.get(cell, 0) :]

    def _is_called(self, event: Called) -> None:
        self._called[event.vehicle_id] = event.depot_id, event.due_in

    def _called_off(self, event: CalledOff) -> None:
        self._called.pop(event.vehicle_id, None)

    def _arrived(self, event: Arrived) -> None:
        call = self._called.pop(event.vehicle_id, None)
        if call is not None:
            self.arrivals[call[0]].append((call[1], event.at))


def lateness_proposals(
    works: Works, lateness: Lateness, working: WorkingTime, weighing: Weighing
) -> Iterator[Proposal]:
    """Lines for the share of a depot's vehicles that come late, and by how much the late do."""
    for depot in works.depots:
        cell = Cell("depots", depot.depot_id, "late_share")
        arrivals = lateness.of_cell(cell)
        if len(arrivals) >= LEAST_SAMPLE:
            late = sum(at.date() > due for due, at in arrivals)
            old = depot.late_share
            believed = believed_share(old, weighing.weight(cell, old, None), late, len(arrivals))
            seen = _seen(late / len(arrivals), arrivals, "vehicles that came when called")
            yield weighing.proposal(cell, old, None, seen, believed)
        yield from _late_days(depot.depot_id, depot.late_days, lateness, working, weighing)


def _late_days(
    depot_id: str, old: float, lateness: Lateness, working: WorkingTime, weighing: Weighing
) -> Iterator[Proposal]:
    cell = Cell("depots", depot_id, "late_days")
    late = [(due, at) for due, at in lateness.of_cell(cell) if at.date() > due]
    if len(late) < LEAST_SAMPLE:
        return
    # In whole working days, as the column counts; late on a weekend is late by one.
    days = [max(1, working.days_between(due, at.date())) for due, at in late]
    mean, error = float(np.mean(days)), float(np.std(days, ddof=1)) / sqrt(len(days))
    weight = weighing.weight(cell, old, None)
    # No late vehicle was thought of: there is no old figure to be drawn to.
    believed = believed_mean(old or None, weight, mean, error, len(days))
    seen = _seen(mean, late, "vehicles that came late")
    yield weighing.proposal(cell, old, None, seen, believed)


def _seen(shown: float, arrivals: list[tuple[date, datetime]], of_what: str) -> Seen:
    days = [at.date() for _, at in arrivals]
    return Seen(shown, len(arrivals), of_what, min(days), max(days))
