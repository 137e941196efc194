"""Where pieces and units would be on days to come, counted over many runs on from the record."""

from collections.abc import Sequence
from contextlib import nullcontext
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from pacewright.base.progress import Progress, silent
from pacewright.simulate.calendars import Clock
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.engine import run_flow
from pacewright.simulate.executors import Workers, threads
from pacewright.simulate.follow_rows import Counted, follow
from pacewright.simulate.releases import Asked
from pacewright.simulate.replicate import replicate
from pacewright.simulate.table import FlowTable

Counts = NDArray[np.int16]


@dataclass(frozen=True)
class DaysToCome:
    """What was counted at each moment of each run.

    Parameters
    ----------
    moments : works time of each.
    stages, assemblies, kinds, vehicles : ids in the order of the arrays; a vehicle is
        ``number/...``, an assembly ``type assembly``.
    held, waiting, done, lost : shape (runs, moments, stages): positions held; pieces that ask for
        one; pieces there that are done and cannot leave; positions out of use.
    stands : shape (runs, moments, stages, WANTS): pieces there that have waited long, by want.
    stored : shape (runs, moments, assemblies): pieces that wait to be married.
    ready, away : shape (runs, moments, kinds): serviceable units in the pool; units off vehicles
        that are not made good yet.
    at_gate, inside : shape (runs, moments): vehicles.
    leads : shape (runs, moments, vehicles): stage at which the vehicle, or its leading assembly,
        is; -1: at none.
    notes : what had to be assumed.
    """

    moments: tuple[datetime, ...]
    stages: tuple[str, ...]
    assemblies: tuple[str, ...]
    kinds: tuple[str, ...]
    vehicles: tuple[str, ...]
    held: Counts
    waiting: Counts
    done: Counts
    lost: Counts
    stands: Counts
    stored: Counts
    ready: Counts
    away: Counts
    at_gate: Counts
    inside: Counts
    leads: Counts
    notes: tuple[str, ...]

    @property
    def runs(self) -> int:
        """How many runs there are."""
        return len(self.held)


@dataclass(frozen=True)
class _Shared:
    table: FlowTable
    minutes: tuple[int, ...]
    long_minutes: int
    seed: int


def days_to_come(
    asked: Asked,
    days: int,
    long_days: float,
    workers: Workers | None = None,
    progress: Progress = silent,
) -> DaysToCome:
    """Run the works on from the record, again and again, and look at the middle of each day.

    Parameters
    ----------
    asked : as for ``releases``; its weeks must cover the days.
    days : working days looked at, the first after the moment of the record.
    long_days : a piece stands when it has waited so long for units, people or assemblies.
    workers : in whose hands; None: threads of this machine.

    Equations
    ---------
    A count of a moment is of what is so at that minute; the mean over n runs has the standard
    error s / sqrt(n).
    """
    table = compile_flow(asked.works, asked.programme, asked.options, asked.live)
    clock = Clock.of(table.days)
    half = clock.minutes[0] // 2
    first = clock.next_day(table.days.start + 1)
    minutes = [clock.opening(i) + half for i in range(first, first + days)]
    minutes = [one for one in minutes if one < table.days.end]
    long_minutes = round(long_days * clock.minutes[0])
    shared = _Shared(table, tuple(minutes), long_minutes, asked.sure.seed)
    with threads() if workers is None else nullcontext(workers) as hands:
        counted = replicate(_counted, shared, asked.sure, _enough, hands, progress).results
    midnight = datetime.combine(asked.live.stretch(asked.works, 1).monday, datetime.min.time())
    return DaysToCome(
        moments=tuple(midnight + timedelta(minutes=one) for one in minutes),
        stages=table.names.stages,
        assemblies=table.names.assemblies,
        kinds=table.names.kinds,
        vehicles=table.names.vehicles,
        **{
            name: np.array([getattr(one, name) for one in counted], np.int16)
            for name in Counted.__slots__
        },
        notes=table.notes,
    )


def _counted(shared: _Shared, numbers: Sequence[int]) -> list[Counted]:
    found = []
    for n in numbers:
        run = run_flow(shared.table, shared.seed, n, events=True)
        found.append(follow(shared.table, run, shared.minutes, shared.long_minutes))
    return found


def _enough(_: Sequence[Counted]) -> bool:
    return True
