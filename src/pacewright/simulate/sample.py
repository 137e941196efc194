"""What is kept of one run: small sums that every figure can be made from."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pacewright.simulate.calendars import DAY
from pacewright.simulate.run import Causes, Integrals, Run
from pacewright.simulate.table import Days, FlowTable, Ints

WEEK = 7 * DAY
"""Minutes of a week."""


def worked_minutes(days: Days, times: Ints) -> Ints:
    """Working minutes of the works' own calendar from minute 0 to each of several minutes.

    Parameters
    ----------
    times : minutes within the table of days.
    """
    whole = (times - days.open_minute) // DAY
    into = times - days.open_minute - whole * DAY
    d = np.clip(whole, 0, len(days.before) - 2)
    length = int(days.minutes[0])
    today = days.before[d + 1] > days.before[d]
    found = days.before[d] * length + np.where(today, np.minimum(into, length), 0)
    return np.asarray(np.where(whole < 0, 0, found), np.int64)


@dataclass(frozen=True)
class Measure:
    """How runs of one table are measured.

    Parameters
    ----------
    table : the table they are runs of.
    promised_minutes : per type the promised turn time in worked minutes; -1: none is promised.
    """

    table: FlowTable
    promised_minutes: Ints

    @classmethod
    def of(cls, table: FlowTable, promised_days: Mapping[str, float]) -> "Measure":
        """The measure for promises in working days by type."""
        length = int(table.days.minutes[0])
        return cls(
            table,
            np.array(
                [
                    round(promised_days[name] * length) if name in promised_days else -1
                    for name in table.names.types
                ],
                np.int64,
            ),
        )

    @property
    def weeks(self) -> int:
        """Weeks of the run."""
        return -(-self.table.days.end // WEEK)

    @property
    def minutes(self) -> int:
        """Worked minutes that are measured."""
        days = self.table.days
        return int(np.diff(worked_minutes(days, np.array([days.measure_from, days.end])))[0])

    @property
    def years(self) -> float:
        """Years of 52 weeks that are measured."""
        days = self.table.days
        return (days.end - days.measure_from) / WEEK / 52

    def sample(self, run: Run) -> "Sample":
        """What is kept of a run."""
        days, vehicles = self.table.days, self.table.vehicles
        types = len(self.promised_minutes)
        seen = run.released >= 0
        out = seen & (run.released >= days.measure_from)
        came = (run.arrived >= 0) & (vehicles.inside == 0)
        whole = out & came
        arrived = worked_minutes(days, np.where(came, run.arrived, 0))
        released = worked_minutes(days, np.where(seen, run.released, 0))
        turn = released - arrived
        # Of these it is known by the end of the run whether their promise was kept.
        promised = self.promised_minutes[vehicles.type]
        known = came & (run.arrived >= days.measure_from) & (promised >= 0)
        due = known & (arrived + promised <= worked_minutes(days, np.array([days.end]))[0])
        waits = run.waits.astype(np.int64)
        part = Causes.of(self.table)
        of_units = waits[:, part.part : part.assembly].sum(axis=1)
        return Sample(
            replication=run.replication,
            arrived=int((came & (run.arrived >= days.measure_from)).sum()),
            arrived_weeks=self._by_week(run.arrived[came]),
            released_weeks=self._by_week(run.released[seen]),
            inside_weeks=self._inside(run),
            released_types=np.bincount(vehicles.type[out], minlength=types),
            turn_minutes=turn[whole].astype(np.int32),
            turn_types=vehicles.type[whole].astype(np.int16),
            due_types=np.bincount(vehicles.type[due], minlength=types),
            kept_types=np.bincount(vehicles.type[due & seen & (turn <= promised)], minlength=types),
            wait_minutes=waits[out].sum(axis=0),
            touched=(waits[out] > 0).sum(axis=0),
            whole_minutes=waits[whole].sum(axis=0),
            units_ready=int((of_units[whole] == 0).sum()),
            all_there=int((run.lacked[whole] == 0).sum()),
            integrals=run.integrals,
        )

    def _by_week(self, times: Ints) -> Ints:
        return np.bincount(times // WEEK, minlength=self.weeks)[: self.weeks]

    def _inside(self, run: Run) -> Ints:
        """Vehicles inside at the end of each week."""
        ends = np.arange(1, self.weeks + 1) * WEEK
        came = np.sort(run.admitted[run.admitted >= 0])
        left = np.sort(run.released[run.released >= 0])
        return np.searchsorted(came, ends) - np.searchsorted(left, ends)


@dataclass(frozen=True)
class Sample:
    """Sums of one run. "Released" is: in the time measured.

    Parameters
    ----------
    replication : its number.
    arrived : vehicles that arrived in the time measured.
    arrived_weeks, released_weeks, inside_weeks : vehicles by week of the whole run; inside at its
        end.
    released_types : vehicles released, by type, those inside at the start as well.
    turn_minutes, turn_types : turn time and type of each vehicle released whose arrival was seen
        [worked minutes].
    due_types, kept_types : vehicles that arrived in the time measured and whose promise fell due
        before its end, by type; those of them released by then.
    wait_minutes, touched : worked minutes waited by the vehicles released, by cause (``Causes``);
        how many of them waited for it at all.
    whole_minutes : worked minutes by cause of the vehicles of ``turn_minutes``.
    units_ready : how many of these never waited for a unit on the way of the leading piece.
    all_there : how many of these found all units there whenever one of their pieces asked.
    integrals : time integrals.
    """

    replication: int
    arrived: int
    arrived_weeks: Ints
    released_weeks: Ints
    inside_weeks: Ints
    released_types: Ints
    turn_minutes: NDArray[np.int32]
    turn_types: NDArray[np.int16]
    due_types: Ints
    kept_types: Ints
    wait_minutes: Ints
    touched: Ints
    whole_minutes: Ints
    units_ready: int
    all_there: int
    integrals: Integrals


@dataclass(frozen=True)
class Settling:
    """How a run from empty settles, one value a working day of the run.

    Parameters
    ----------
    there : vehicles inside or at the gate when the day begins.
    arrived, out : vehicles that arrived on the day; those of them released by the end.
    turn_minutes : summed turn time of the latter.
    """

    there: Ints
    arrived: Ints
    out: Ints
    turn_minutes: Ints


def settling(table: FlowTable, run: Run) -> Settling:
    """How a run settles."""
    days = table.days
    begins = days.workday[days.workday * DAY < days.end] * DAY + days.open_minute
    count = len(begins)
    came, out = run.arrived >= 0, run.released >= 0
    day = np.maximum(np.searchsorted(begins, run.arrived, side="right") - 1, 0)
    turn = worked_minutes(days, run.released[out]) - worked_minutes(days, run.arrived[out])
    arrivals, leavings = np.sort(run.arrived[came]), np.sort(run.released[out])
    return Settling(
        there=np.searchsorted(arrivals, begins) - np.searchsorted(leavings, begins),
        arrived=np.bincount(day[came], minlength=count),
        out=np.bincount(day[out], minlength=count),
        turn_minutes=np.bincount(day[out], turn, count).astype(np.int64),
    )
