"""What a run writes down while it goes on: events, waits by cause, time integrals."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from pacewright.events.codes import Code
from pacewright.simulate.run import Causes, Events, Integrals, Run
from pacewright.simulate.table import FlowTable


class Tally:
    """Numbers that change in time, and the integral of each over worked minutes.

    A step function's integral is its last value times the end less every change times its moment.
    """

    def __init__(self, count: int) -> None:
        self.value = [0] * count
        self._sum = [0] * count

    def add(self, place: int, change: int, worked: int) -> None:
        """One number changes at a moment of worked minutes."""
        self.value[place] += change
        self._sum[place] -= change * worked

    def integral(self, worked: int) -> NDArray[np.int64]:
        """The integrals up to a moment."""
        sums = zip(self.value, self._sum, strict=True)
        return np.array([total + value * worked for value, total in sums], np.int64)


@dataclass
class Sums:
    """Plain sums of a run, one number a crew or kind."""

    crew_busy: list[int]
    crew_there: list[int]
    asked: list[int]
    late: list[int]
    wait_minutes: list[int]


@dataclass
class _Rows:
    time: list[int] = field(default_factory=list)
    code: list[int] = field(default_factory=list)
    vehicle: list[int] = field(default_factory=list)
    place: list[int] = field(default_factory=list)
    amount: list[int] = field(default_factory=list)


class Diary:
    """All that is written down in one run.

    Parameters
    ----------
    table : the table that is run.
    events : whether rows of events are kept.
    """

    def __init__(self, table: FlowTable, events: bool) -> None:
        causes = Causes.of(table)
        vehicles = len(table.vehicles.key)
        self.causes = causes
        self.arrived = [-1] * vehicles
        self.admitted = [-1] * vehicles
        self.released = [-1] * vehicles
        self.lacked = [0] * vehicles
        self.waits = np.zeros((vehicles, causes.count), np.int32)
        self.queue = Tally(causes.stages)
        self.busy = Tally(causes.stages)
        self.stored = Tally(causes.assemblies)
        self.pool = Tally(causes.kinds)
        self.owed = Tally(causes.kinds)
        self.inside = Tally(1)
        self.gate = Tally(1)
        crews, kinds = [0] * causes.crews, [0] * causes.kinds
        self.sums = Sums(crews.copy(), crews.copy(), kinds.copy(), kinds.copy(), kinds.copy())
        self._rows = _Rows() if events else None

    def row(self, time: int, code: Code, vehicle: int, place: int, amount: int) -> None:
        """Write a row of what happened."""
        rows = self._rows
        if rows is not None:
            rows.time.append(time)
            rows.code.append(code)
            rows.vehicle.append(vehicle)
            rows.place.append(place)
            rows.amount.append(amount)

    def wait(self, vehicle: int, cause: int, minutes: int) -> None:
        """A vehicle spent so many worked minutes for a cause (a column)."""
        self.waits[vehicle, cause] += minutes

    def run(self, seed: int, replication: int, worked: int) -> Run:
        """All of it, closed at a moment of worked minutes."""
        sums = self.sums
        return Run(
            seed=seed,
            replication=replication,
            arrived=np.array(self.arrived, np.int64),
            admitted=np.array(self.admitted, np.int64),
            released=np.array(self.released, np.int64),
            waits=self.waits,
            lacked=np.array(self.lacked, np.int64),
            integrals=Integrals(
                queue=self.queue.integral(worked),
                busy=self.busy.integral(worked),
                stored=self.stored.integral(worked),
                pool=self.pool.integral(worked),
                owed=self.owed.integral(worked),
                inside=int(self.inside.integral(worked)[0]),
                gate=int(self.gate.integral(worked)[0]),
                crew_busy=np.array(sums.crew_busy, np.int64),
                crew_there=np.array(sums.crew_there, np.int64),
                asked=np.array(sums.asked, np.int64),
                late=np.array(sums.late, np.int64),
                wait_minutes=np.array(sums.wait_minutes, np.int64),
            ),
            events=self._events(),
        )

    def _events(self) -> Events | None:
        rows = self._rows
        if rows is None:
            return None
        return Events(
            time=np.array(rows.time, np.int64),
            code=np.array(rows.code, np.int16),
            vehicle=np.array(rows.vehicle, np.int32),
            place=np.array(rows.place, np.int32),
            amount=np.array(rows.amount, np.int32),
        )
