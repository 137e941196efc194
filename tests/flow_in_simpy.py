"""The measured works (tests/flow_works.py without people) as processes of SimPy, a general library.

A third engine: written from the description of the flow, with the library's own queues. It takes
the same draws, so every vehicle must leave in the same minute as by the other two. Its clock counts
minutes in steps fine enough to give what falls into the same minute its order.
"""

from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import simpy

from pacewright.simulate.calendars import Clock
from pacewright.simulate.chance import Stream, base_of, draw, quantile, whole_minutes
from pacewright.simulate.flow_state import Rank
from pacewright.simulate.table import FlowTable, Then

_STEPS = 1 << 30
_RANK = 1 << 26
Process = Iterator[simpy.Event]


class FlowInSimpy:
    """One run.

    Parameters
    ----------
    table : of one type whose stages need nobody; without charges, tests, windows, lots and scrap.
    seed, replication : of the chance.
    """

    def __init__(self, table: FlowTable, seed: int, replication: int) -> None:
        self.table = table
        self.env = simpy.Environment(initial_time=table.days.start * _STEPS)
        self.clock = Clock.of(table.days)
        self.base = base_of(seed, replication)
        self.released = [-1] * len(table.vehicles.key)
        positions = table.stages.positions.tolist()
        self.positions = [simpy.Resource(self.env, capacity=n) for n in positions]
        held = table.kinds.serviceable.tolist()
        self.pools = [simpy.Container(self.env, init=units) for units in held]
        self.stored = simpy.Store(self.env)
        steps = table.steps
        self.stage, self.then = steps.stage.tolist(), steps.then.tolist()
        self.strip = _carried(steps.strip_first, steps.strip_kind, steps.strip_units)
        self.fit = _carried(steps.fit_first, steps.fit_kind, steps.fit_units)
        self.laws = [list(map(float, law)) for law in table.stages.minutes]
        self.turns = [list(map(float, law)) for law in table.kinds.turn]
        self.stage_keys = table.stages.key.tolist()
        self.kind_keys = table.kinds.key.tolist()
        self.keys = table.vehicles.key.tolist()

    def run(self) -> list[int]:
        """Run to the end; gives the minute at which each vehicle is released, -1 if it is not."""
        rows = self.table.vehicles
        for v, (day, slot) in enumerate(zip(rows.day.tolist(), rows.slot.tolist(), strict=True)):
            self.env.process(self.vehicle(v, self.clock.opening(day) + slot))
        self.env.run(until=self.table.days.end * _STEPS)
        return self.released

    @property
    def now(self) -> int:
        """The present minute."""
        return int(self.env.now) // _STEPS

    def at(self, minute: int, rank: Rank, subject: int) -> simpy.Event:
        """The moment of a minute at which something of a rank happens."""
        return self.env.timeout(minute * _STEPS + rank * _RANK + subject - self.env.now)

    def vehicle(self, v: int, minute: int) -> Process:
        """A vehicle from the gate to its release."""
        yield self.at(minute, Rank.VEHICLE_ARRIVES, v)
        first = int(self.table.vehicles.piece[v])
        position = yield from self.chain(v, first, 0, int(self.table.types.first_step[0]), [])
        shared = [position, 2]
        frame = int(self.table.pieces.first_step[first + 1])
        self.env.process(self.frame(v, first + 1, frame, shared))
        body = int(self.table.pieces.first_step[first])
        position = yield from self.chain(v, first, 0, body, shared)
        yield self.stored.get()
        married = int(self.table.types.marriage_step[0])
        position = yield from self.chain(v, first, 0, married, [position, 1])
        position.resource.release(position)
        self.released[v] = self.now

    def frame(self, v: int, p: int, e: int, shared: list[Any]) -> Process:
        """The other part, until it is stored."""
        position = yield from self.chain(v, p, 1, e, shared)
        position.resource.release(position)
        yield self.stored.put(v)

    def chain(self, v: int, p: int, number: int, e: int, held: list[Any]) -> Iterator[Any]:
        """A piece through the stages of its chain, each position held until the next is given.

        ``held`` is the position it comes from and how many pieces stand on it.
        """
        while True:
            position = self.positions[self.stage[e]].request()
            yield position
            if held:
                held[1] -= 1
                if held[1] == 0:
                    held[0].resource.release(held[0])
            held = [position, 1]
            yield from self.visit(v, p, number, e)
            if self.then[e] != Then.GO_ON:
                return position
            e += 1

    def visit(self, v: int, p: int, number: int, e: int) -> Process:
        """The units, the work, and the units that come off after it."""
        wanted = [self.pools[k].get(1) for k, units in self.fit[e] for _ in range(units)]
        if wanted:
            yield self.env.all_of(wanted)
        s = self.stage[e]
        u = draw(self.base, Stream.STAGE_TIME, self.keys[v], self.stage_keys[s], 1000 * number)
        minutes = whole_minutes(quantile(self.laws[s], u))
        begin = self.clock.open_from(0, self.now)
        if begin > self.now:
            yield self.at(begin, Rank.MORNING, 0)
        end = self.clock.end_of_work(0, begin, minutes)
        yield self.at(end, Rank.WORK_END, p)
        for k, units in self.strip[e]:
            for j in range(units):
                self.env.process(self.unit(v, k, j))

    def unit(self, v: int, k: int, j: int) -> Process:
        """A unit that came off, until it is in the pool."""
        u = draw(self.base, Stream.TURN, self.keys[v], self.kind_keys[k], j)
        turn = whole_minutes(quantile(self.turns[k], u))
        yield self.at(self.clock.end_of_work(0, self.now, turn), Rank.MADE_GOOD, k)
        yield self.pools[k].put(1)


def _carried(first: Any, kinds: Any, units: Any) -> list[list[tuple[int, int]]]:
    """Step -> (kind, units) of what it carries."""
    pairs = list(zip(kinds.tolist(), units.tolist(), strict=True))
    return [pairs[low:high] for low, high in pairwise(first.tolist())]
