"""Many short runs that go on from the record, until the vehicles known to it are released."""

from collections.abc import Sequence
from contextlib import nullcontext
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from pacewright.base.progress import Progress, silent
from pacewright.plans.programme import Programme
from pacewright.simulate.calendars import Clock
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.engine import run_flow
from pacewright.simulate.executors import Workers, threads
from pacewright.simulate.live_start import LiveStart
from pacewright.simulate.problem import FlowOptions
from pacewright.simulate.replicate import HowSure, replicate
from pacewright.simulate.start_table import There
from pacewright.simulate.table import FlowTable
from pacewright.works import Works


@dataclass(frozen=True)
class Releases:
    """When the vehicles of the record are released, run by run.

    Parameters
    ----------
    table : what was run.
    monday : day 0 of its minutes.
    vehicles : vehicle number -> its row in the table.
    released : minute, shape (runs, vehicles in the order of ``vehicles``); -1: not in that run.
    waits : worked minutes from now on by cause, shape (runs, vehicles, causes).
    """

    table: FlowTable
    monday: datetime
    vehicles: dict[str, int]
    released: NDArray[np.int64]
    waits: NDArray[np.int32]

    def column(self, vehicle_id: str) -> int:
        """Where a vehicle stands in ``released`` and ``waits``."""
        return list(self.vehicles).index(vehicle_id)

    def moment(self, minute: float) -> datetime:
        """Works time of a minute."""
        return self.monday + timedelta(minutes=int(minute))

    @property
    def until(self) -> datetime:
        """End of the time run through."""
        return self.moment(self.table.days.end)

    @property
    def clock(self) -> Clock:
        """Its working time."""
        return Clock.of(self.table.days)


@dataclass(frozen=True)
class _Shared:
    table: FlowTable
    rows: NDArray[np.int64]
    seed: int


Sampled = tuple[NDArray[np.int64], NDArray[np.int32]]


@dataclass(frozen=True, slots=True)
class Asked:
    """What is run on.

    Parameters
    ----------
    works : brought up to the record, for what the record does not tell (floats it never saw).
    live : the record and the moment.
    programme : who comes after those called in; None: even calls at ``options.pace_a_day``.
    options : which chances are at work; weeks run.
    sure : replications and seed; no precision is asked.
    """

    works: Works
    live: LiveStart
    programme: Programme | None
    options: FlowOptions
    sure: HowSure


def releases(asked: Asked, workers: Workers | None = None, progress: Progress = silent) -> Releases:
    """Run the works on from the record, again and again; ``workers`` None: threads."""
    live, sure = asked.live, asked.sure
    table = compile_flow(asked.works, asked.programme, asked.options, live)
    known = {
        v: name.split("/")[0]
        for v, (name, there) in enumerate(
            zip(table.names.vehicles, table.vehicles.inside.tolist(), strict=True)
        )
        if "/record/" in name and there != There.GONE
    }
    shared = _Shared(table, np.array(list(known), np.int64), sure.seed)
    with threads() if workers is None else nullcontext(workers) as hands:
        done = replicate(_samples, shared, sure, _enough, hands, progress)
    stretch = live.stretch(asked.works, 1)
    count = len(done.results)
    return Releases(
        table=table,
        monday=datetime.combine(stretch.monday, datetime.min.time()),
        vehicles={name: v for v, name in known.items()},
        released=np.array([one[0] for one in done.results]).reshape(count, len(known)),
        waits=np.array([one[1] for one in done.results]).reshape(
            count, len(known), done.results[0][1].shape[-1]
        ),
    )


def _samples(shared: _Shared, numbers: Sequence[int]) -> list[Sampled]:
    found = []
    for n in numbers:
        run = run_flow(shared.table, shared.seed, n, events=False)
        found.append((run.released[shared.rows], run.waits[shared.rows]))
    return found


def _enough(_: Sequence[Sampled]) -> bool:
    return True
