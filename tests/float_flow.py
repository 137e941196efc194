"""Floats as flows: vehicles stripped of units, which go round, and wait for the next ones.

Vehicles pass stages one after the other that need nobody; of every kind all units come off at the
end of one stage, and all kinds are asked for at the last stage, the kind's offset later. A day of
a case is 240 minutes or fewer, so that long cases fit into the years the compiled engine holds;
whole minutes then move a chance by less than half a hundredth of itself. The run ends with the
last call, so that the pools are those of a steady stream of calls to the end.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pacewright.simulate.laws import constant
from pacewright.simulate.run import Causes, Run
from pacewright.simulate.table import Floats, FlowTable
from queue_flow import DAY as CLOCK_DAY
from queue_flow import Server, queue_table, waits_at
from tiny_flow import kind

DAY = 240
"""Minutes of a day of a case."""


@dataclass(frozen=True)
class Pool:
    """One unit kind: its law of turn minutes, float, offset, units a vehicle, lot."""

    turn: Floats
    units: int
    offset_days: float = 0
    a_vehicle: int = 1
    lot: int = 1


def float_table(arrivals: np.ndarray, *pools: Pool) -> FlowTable:
    """The table of a works with these pools; vehicles arrive at these minutes."""
    offsets = sorted({one.offset_days for one in pools}, reverse=True)
    away = [days - after for days, after in zip(offsets, [*offsets[1:], 0], strict=True)]
    stays = [1, *(max(1, round(days * DAY)) for days in away), 1]
    kinds = [
        kind(f"unit-{n}", f"s{offsets.index(one.offset_days)}", f"s{len(stays) - 1}", 1.0)
        for n, one in enumerate(pools)
    ]
    servers = [Server(constant(minutes)) for minutes in stays]
    table = queue_table(servers, arrivals, 0, kinds, int(arrivals[-1] // CLOCK_DAY))
    return replace(table, kinds=_kinds(table, pools), steps=_steps(table, pools))


def _kinds(table: FlowTable, pools: Sequence[Pool]):
    return replace(
        table.kinds,
        # A stage takes a minute at least: where there is no offset the turn time gets it too.
        turn=np.array([one.turn + (one.offset_days == 0) for one in pools]),
        serviceable=np.array([one.units for one in pools]),
        lot=np.array([one.lot for one in pools]),
    )


def _steps(table: FlowTable, pools: Sequence[Pool]):
    steps, units = table.steps, np.array([one.a_vehicle for one in pools])
    return replace(steps, strip_units=units[steps.strip_kind], fit_units=units[steps.fit_kind])


def on_time(table: FlowTable, run: Run, left_out: int = 100) -> np.ndarray:
    """1 for every released vehicle, but the first ones, that found all its units at once."""
    first = Causes.of(table).part
    waits = run.waits[run.released >= 0, first : first + len(table.kinds.key)]
    return (waits.sum(axis=1) == 0).astype(float)[left_out:]


def asked_and_got(table: FlowTable, run: Run) -> tuple[np.ndarray, np.ndarray]:
    """Minutes at which the released vehicles asked and got their units; for a single kind."""
    got = run.released[run.released >= 0] - 1
    return got - waits_at(table, run, "part"), got


def short_at(moments: np.ndarray, asked: np.ndarray, got: np.ndarray) -> np.ndarray:
    """Vehicles that have asked and not got, just after each moment."""
    there = np.searchsorted(asked, moments, "right") - np.searchsorted(got, moments, "right")
    return there.astype(float)
