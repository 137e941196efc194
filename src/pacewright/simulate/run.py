"""What one run leaves behind, the same from every engine."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pacewright.simulate.table import FlowTable, Ints


@dataclass(frozen=True)
class Causes:
    """The columns in which a vehicle's time inside is kept, by cause.

    The order is: gate, position of each stage, part of each unit kind, assembly of each parted-off
    assembly, batch of each stage, people of each crew, inspection of each stage, work.
    """

    stages: int
    kinds: int
    assemblies: int
    crews: int

    @classmethod
    def of(cls, table: FlowTable) -> "Causes":
        """The columns for a table."""
        return cls(
            stages=len(table.stages.key),
            kinds=len(table.kinds.key),
            assemblies=len(table.types.assembly_count),
            crews=len(table.crews.key),
        )

    gate = 0

    @property
    def position(self) -> int:
        """First column of waits for a position."""
        return 1

    @property
    def part(self) -> int:
        """First column of waits for units."""
        return self.position + self.stages

    @property
    def assembly(self) -> int:
        """First column of waits for assemblies to be married."""
        return self.part + self.kinds

    @property
    def batch(self) -> int:
        """First column of waits for a charge to be made up."""
        return self.assembly + self.assemblies

    @property
    def people(self) -> int:
        """First column of waits for people, or for the shop to open."""
        return self.batch + self.stages

    @property
    def inspection(self) -> int:
        """First column of time from a failed test on, and of work done again."""
        return self.people + self.crews

    @property
    def work(self) -> int:
        """The column of work itself."""
        return self.inspection + self.stages

    @property
    def count(self) -> int:
        """Number of columns."""
        return self.work + 1


@dataclass(frozen=True)
class Events:
    """What happened, row by row in the order in which it happened.

    Parameters
    ----------
    time : minute. ``code`` : an ``events.codes.Code``.
    vehicle, place, amount : as the code says; -1 where there is none (amount: 0).
    """

    time: NDArray[np.int64]
    code: NDArray[np.int16]
    vehicle: NDArray[np.int32]
    place: NDArray[np.int32]
    amount: NDArray[np.int32]


@dataclass(frozen=True)
class Integrals:
    """Time integrals from ``days.measure_from`` to ``days.end`` [things x worked minutes].

    Parameters
    ----------
    queue, busy : per stage: pieces that ask for a position; positions held.
    stored : per assembly: pieces that wait to be married.
    pool, owed : per kind: serviceable units; units asked for and not yet given.
    inside, gate : vehicles inside; vehicles that wait at the gate.
    crew_busy, crew_there : per crew: hundredths of a person at work, and there [x minutes of the
        crew's own calendar].
    asked, late, wait_minutes : per kind: times it was asked for; times not all units were there at
        once; worked minutes until they were, summed.
    """

    queue: Ints
    busy: Ints
    stored: Ints
    pool: Ints
    owed: Ints
    inside: int
    gate: int
    crew_busy: Ints
    crew_there: Ints
    asked: Ints
    late: Ints
    wait_minutes: Ints


@dataclass(frozen=True)
class Run:
    """One replication.

    Parameters
    ----------
    seed, replication : of its chance.
    arrived, admitted, released : minute per vehicle; -1 when it did not come to it.
    waits : worked minutes per vehicle (row) and cause (column, see ``Causes``), along the way of
        the leading piece; the sum of a released vehicle's row is its time from arrival to release.
    lacked : 1 per vehicle of which any piece did not find all its units there when it asked.
    integrals : time integrals.
    events : rows, or None when they were not asked for.
    """

    seed: int
    replication: int
    arrived: Ints
    admitted: Ints
    released: Ints
    waits: NDArray[np.int32]
    lacked: Ints
    integrals: Integrals
    events: Events | None
