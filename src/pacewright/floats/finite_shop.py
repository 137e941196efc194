"""A shop with so many benches before the float: where Palm's law no longer holds."""

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from pacewright.floats.count_law import CountLaws, from_weights
from pacewright.floats.problem import Bench
from pacewright.floats.purchase import poisson_weights

Array = NDArray[np.float64]
Numbers = TypeVar("Numbers", NDArray[np.float64], NDArray[np.complex128])

LOADED_SHARE = 0.70
"""Load of the benches above which the queue before them sets the turn (common practice)."""


def birth_death(births: Array, deaths: Array) -> CountLaws:
    """Long-run law of a count that goes up at ``births[n]`` and from n+1 down at ``deaths[n]``."""
    steps = np.log(births) - np.log(deaths)
    logs = np.concatenate([[0.0], np.cumsum(steps)])
    return from_weights(np.exp(logs - logs.max()))


def queue_law(rate: float, service_rate: float, benches: int) -> CountLaws:
    """Units in a shop (queue and benches) that come at random with random bench times: M/M/c."""
    load = rate / (benches * service_rate)
    if load >= 1:
        raise ValueError(f"the benches are loaded {load:.0%}: the queue grows without limit")
    most = benches + math.ceil(36 / -math.log(load)) + 10
    serving = service_rate * np.minimum(np.arange(1.0, most + 1), benches)
    return birth_death(np.full(most, rate), serving)


def small_fleet_law(
    vehicles: int, fail_rate: float, service_rate: float, benches: int
) -> CountLaws:
    """Units in a shop that serves a small fleet: only what runs can fail (machine repair)."""
    running = vehicles - np.arange(float(vehicles))
    serving = service_rate * np.minimum(np.arange(1.0, vehicles + 1), benches)
    return birth_death(fail_rate * running, serving)


@dataclass(frozen=True)
class PacedShop:
    """Benches fed with a batch of units every takt; bench times scatter exponentially.

    Parameters
    ----------
    takt_days : between batches.
    batch : chances that a batch brings 0, 1, 2 ... units.
    bench : the benches.
    after : long-run law of the units in the shop just after a batch has come.
    """

    takt_days: float
    batch: Array
    bench: Bench
    after: Array

    def left_after(self, days: float, state: Numbers) -> Numbers:
        """``state`` by units in the shop, ``days`` later when no batch comes in between."""
        return _left(_leaving(self.after.size, self.bench, days), state)

    def left_a_takt(self, state: Numbers) -> Numbers:
        """``state`` just before the next batch."""
        return _left(self._leaving_a_takt, state)

    @cached_property
    def _leaving_a_takt(self) -> Array:
        return _leaving(self.after.size, self.bench, self.takt_days)

    @cached_property
    def mean_inside(self) -> float:
        """Units in the shop on average over the takt."""
        units = np.arange(self.after.size)
        moments = (np.arange(8) + 0.5) / 8 * self.takt_days
        return float(np.mean([self.left_after(day, self.after) @ units for day in moments]))


def paced_shop(takt_days: float, batch: Array, bench: Bench) -> PacedShop:
    """The shop in its long run (an embedded Markov chain at the batches).

    Raises
    ------
    ValueError : the benches cannot keep the pace.
    """
    mean = float(batch @ np.arange(batch.size))
    load = bench.use_share(mean / takt_days)
    if load >= 1:
        raise ValueError(f"the benches are loaded {load:.0%}: the queue grows without limit")
    square = float(batch @ np.arange(batch.size) ** 2)
    spread = square / max(mean, 1e-12) - mean + 1
    size = min(1500, math.ceil(bench.benches + 2 * mean + 20 + 12 * spread / (1 - load)))
    after = _long_run(_leaving(size, bench, takt_days), batch)
    # The table was made long to be safe; keep what carries weight.
    beyond = np.cumsum(after[::-1])[::-1]
    kept = after[: int((beyond > 1e-11).sum()) + batch.size]
    return PacedShop(takt_days, batch, bench, kept / kept.sum())


def _long_run(leaving: Array, batch: Array) -> Array:
    """Long-run law of the units in the shop just after a batch.

    Equations: states struck off from the top, the way round them put in its place (Grassmann,
    Taksar & Heyman 1985; from memory): no differences are taken, so that nothing cancels. As no
    more than ``batch`` come and no more than ``leaving`` go, each step touches a small block.
    """
    most, size = leaving.shape[0] - 1, leaving.shape[1]
    # Fewer than the smallest batch are never there just after one.
    least, up = int(np.argmax(batch > 0)), batch.size - 1
    chain = np.zeros((size, size))
    states = np.arange(size)
    for gone, chances in enumerate(leaving):
        for come, chance in enumerate(batch):
            there = states[gone:]
            chain[there, np.minimum(there - gone + come, size - 1)] += chances[gone:] * chance
    for state in range(size - 1, least, -1):
        low, near = max(least, state - most), max(least, state - up)
        onward = chain[state, low:state]
        chain[near:state, state] /= onward.sum()
        chain[near:state, low:state] += np.outer(chain[near:state, state], onward)
    after = np.zeros(size)
    after[least] = 1.0
    for state in range(least + 1, size):
        near = max(least, state - up)
        after[state] = after[near:state] @ chain[near:state, state]
    return np.asarray(after / after.sum())


def _leaving(size: int, bench: Bench, days: float) -> Array:
    """Chances [d, n] that d of n units leave within ``days``."""
    # Uniformised: at the highest rate of finishing, each tick takes one unit off with the share
    # of benches that are busy (Jensen 1953; from memory).
    ticks = bench.benches / bench.bench_days * days
    most = min(size - 1, math.ceil(ticks + 9 * math.sqrt(ticks) + 12))
    there = np.arange(size)[None, :] - np.arange(most + 1)[:, None]
    busy = np.clip(there, 0, bench.benches) / bench.benches
    power = np.zeros((most + 1, size))
    power[0] = 1.0
    found = np.zeros_like(power)
    for weight in poisson_weights(ticks, math.ceil(ticks + 9 * math.sqrt(ticks) + 20)):
        found += weight * power
        going = power * busy
        power = power - going
        power[1:] += going[:-1]
    # So many that they almost surely never leave so fast need not be counted.
    return found[: int(np.flatnonzero(found.max(axis=1) > 1e-15)[-1]) + 1]


def _left(leaving: Array, state: Numbers) -> Numbers:
    found = np.zeros_like(state)
    size = state.shape[0]
    for units, chances in enumerate(leaving):
        part = chances[units:] if state.ndim == 1 else chances[units:, None]
        found[: size - units] += part * state[units:]
    return found
