"""The compiled engine from outside: a table in, a run out."""

import numpy as np
from numpy.typing import NDArray

from pacewright.simulate.calendars import Clock
from pacewright.simulate.kernel.diary import AMOUNT_BITS, CODE_BITS
from pacewright.simulate.kernel.ground import Ground
from pacewright.simulate.kernel.loop import FULL, STOPPED, entry
from pacewright.simulate.kernel.memory import LINE, RUN
from pacewright.simulate.kernel.pack import TooLargeError, pack
from pacewright.simulate.kernel.room import Room
from pacewright.simulate.kernel.things import ASSEMBLY, CREW, KIND, PIECE, ROW, STAGE, VEHICLE
from pacewright.simulate.run import Events, Integrals, Run
from pacewright.simulate.table import FlowTable, Ints

__all__ = ["TooLargeError", "run_kernel"]


def run_kernel(
    table: FlowTable, seed: int, replication: int, events: bool = True, stop: Ints | None = None
) -> Run | None:
    """Run a works through once, compiled.

    Parameters
    ----------
    table : the works, compiled to an instruction table.
    seed, replication : of the chance; the same two give the same run.
    events : whether every event is kept.
    stop : one number; the run ends early when another thread sets it to other than 0.

    Returns
    -------
    The run; None when ``stop`` was set.

    Raises
    ------
    TooLargeError : the table is beyond what the kernel can hold.
    """
    stop = np.zeros(1, np.int64) if stop is None else stop
    room = Room.guessed(table)
    room = room if events else room.with_rows(0)
    while True:
        ground = pack(table, seed, replication, room)
        ended = entry()(ground.m, stop)
        if ended == STOPPED:
            return None
        if ended == FULL:
            room = room.doubled()
        elif ground.m[RUN.rows_lost]:
            room = room.with_rows(2 * room.rows)
        else:
            return Run(
                seed=seed,
                replication=replication,
                arrived=ground.column("vehicle", VEHICLE.arrived).copy(),
                admitted=ground.column("vehicle", VEHICLE.admitted).copy(),
                released=ground.column("vehicle", VEHICLE.released).copy(),
                waits=_waits(ground),
                lacked=ground.column("vehicle", VEHICLE.lacked).copy(),
                integrals=_integrals(table, ground),
                events=_events(ground) if events else None,
            )


def _waits(ground: Ground) -> NDArray[np.int32]:
    words = ground.m[ground.begins["waits"] : ground.end("waits")]
    waits = words.reshape(ground.counts["waits"], ground.sizes["waits"]).astype(np.int32)
    # Work is the last cause; it is kept at the leading pieces.
    lead = ground.column("vehicle", VEHICLE.piece)
    waits[:, -1] = ground.m[lead + PIECE.work]
    return waits


def _integrals(table: FlowTable, ground: Ground) -> Integrals:
    end = Clock.of(table.days).worked(table.days.end)
    run = ground.m

    def total(name: str, sums: int, value: int) -> Ints:
        """Step functions by their changes: last value times the end, less change times moment."""
        return ground.column(name, sums) + ground.column(name, value) * end

    return Integrals(
        queue=total("stage", STAGE.queue_sum, STAGE.line + LINE.waiting),
        busy=total("stage", STAGE.busy_sum, STAGE.busy),
        stored=total("assembly", ASSEMBLY.stored_sum, ASSEMBLY.line + LINE.waiting),
        pool=total("kind", KIND.pool_sum, KIND.pool),
        owed=total("kind", KIND.owed_sum, KIND.owed),
        inside=int(run[RUN.inside_sum] + run[RUN.inside] * end),
        gate=int(run[RUN.gate_sum] + run[RUN.gate + LINE.waiting] * end),
        crew_busy=ground.column("crew", CREW.busy_sum).copy(),
        crew_there=ground.column("crew", CREW.there_sum).copy(),
        asked=ground.column("kind", KIND.asked).copy(),
        late=ground.column("kind", KIND.late).copy(),
        wait_minutes=ground.column("kind", KIND.wait_minutes).copy(),
    )


def _events(ground: Ground) -> Events:
    begin, end = ground.begins["row"], int(ground.m[RUN.rows])
    rows = ground.m[begin:end].reshape(-1, ROW.words)
    first, last = rows[:, ROW.time_and_code], rows[:, ROW.place_and_amount]
    return Events(
        time=first >> CODE_BITS,
        code=(first & ((1 << CODE_BITS) - 1)).astype(np.int16),
        vehicle=rows[:, ROW.vehicle].astype(np.int32),
        place=(last >> AMOUNT_BITS).astype(np.int32),
        amount=(last & ((1 << AMOUNT_BITS) - 1)).astype(np.int32),
    )
