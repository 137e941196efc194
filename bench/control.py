"""Time of the day's questions on a long record: shortage list, float cover, the whole day.

    python bench/control.py [EVENTS]

The record is told by rote after the trolleybus example: vehicle after vehicle goes the whole route
and its units go round the pool; the last 150 stand inside, spread evenly over the route. What is
timed begins when the record is open, that is, with its standing in hand. Beside each figure stands
a plain loop over the units of the standing that only counts them by condition, in the same run.
"""

import sys
import time
from collections import Counter, deque
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import TypeVar

from pacewright.control.ahead import ahead
from pacewright.control.clock import clock_of
from pacewright.control.cover import covers
from pacewright.control.day import Given, shortage_list, today
from pacewright.control.demand import demand
from pacewright.control.needs import needs
from pacewright.control.pool import pools
from pacewright.control.turn_left import turn_times
from pacewright.control.turns_seen import turns_seen
from pacewright.control.way import Way, ways
from pacewright.events.fold import fold
from pacewright.events.gate import Admitted, Arrived, Promised, Released
from pacewright.events.identity import Married, Parted
from pacewright.events.stages import Moved, StageFinished, WorkEnded, WorkStarted
from pacewright.events.things import WHOLE, Condition, Event, Piece, Unit
from pacewright.events.units import Fitted, Reconditioned, Removed, UnitEntered
from pacewright.office.folder import open_works
from pacewright.shops.tables import Stage
from pacewright.works import Works

INSIDE, START, VISIT_DAYS = 150, datetime(2024, 1, 8, 7), 40
WORKS = Path(__file__).parents[1] / "examples" / "trolleybus"
Result = TypeVar("Result")


class Rote:
    """Vehicles that go the whole way, or as far as told."""

    def __init__(self, works: Works) -> None:
        self.works, self.ways = works, ways(works)
        self.kinds = {one.unit_kind_id: one for one in works.unit_kinds}
        self.pools: dict[str, deque[Unit]] = {kind: deque() for kind in self.kinds}
        self.on: dict[str, list[Unit]] = {}
        self.position: Counter[str] = Counter()

    def floats(self) -> Iterator[Event]:
        """Ten units of each kind in store, and five away."""
        for kind, pool in self.pools.items():
            for n in range(15):
                ready = Condition.SERVICEABLE if n < 10 else Condition.UNSERVICEABLE
                unit = Unit(kind, f"F-{n}")
                yield UnitEntered(START, unit, ready, "store")
                if n < 10:
                    pool.append(unit)

    def visit(self, number: int, begin: datetime, share: float) -> Iterator[Event]:
        """One vehicle, as far as a share of its way."""
        vehicle = self.works.vehicles[number % len(self.works.vehicles)]
        vehicle_id, way = vehicle.vehicle_id, self.ways[vehicle.type_id]
        whole = Piece(WHOLE, vehicle_id)
        steps = list(self._steps(whole, way, vehicle_id, vehicle.type_id))
        yield Arrived(begin, vehicle_id, vehicle.type_id)
        yield Admitted(begin, vehicle_id)
        yield Promised(begin, vehicle_id, begin.date() + timedelta(days=60))
        minutes = VISIT_DAYS * 24 * 60 / len(steps)
        for place, step in enumerate(steps[: int(share * len(steps))]):
            yield from step(begin + timedelta(minutes=minutes * place))
        if share >= 1:
            yield Released(begin + timedelta(days=VISIT_DAYS), vehicle_id, "inspector 1")

    def _steps(
        self, whole: Piece, way: Way, vehicle_id: str, type_id: str
    ) -> Iterator[Callable[[datetime], Iterator[Event]]]:
        pieces = tuple(
            Piece(assembly_id, f"{vehicle_id}.{n}")
            for assembly_id, count in way.counts.items()
            for n in range(count)
        )
        every = [(stage, whole) for stage in way.before]
        parts = [(s, p) for p in pieces for s in way.parts[p.assembly_id]]
        last = [(stage, whole) for stage in way.after]
        for stage, piece in every:
            yield lambda at, s=stage, p=piece: self._stay(at, s, p, type_id)
        yield lambda at: iter((Parted(at, vehicle_id, pieces),))
        # The others go before the lead, so that all are done when it is.
        for stage, piece in sorted(parts, key=lambda row: row[1] == pieces[0]):
            yield lambda at, s=stage, p=piece: self._stay(at, s, p, type_id)
        yield lambda at: iter((Married(at, vehicle_id, pieces),))
        for stage, piece in last:
            yield lambda at, s=stage, p=piece: self._stay(at, s, p, type_id)

    def _stay(self, at: datetime, stage: Stage, piece: Piece, type_id: str) -> Iterator[Event]:
        self.position[stage.stage_id] += 1
        place = self.position[stage.stage_id] % stage.positions + 1
        yield Moved(at, piece, stage.stage_id, place)
        yield WorkStarted(at, piece, stage.stage_id, "fitter")
        for fit in self.works.fits:
            if fit.type_id == type_id:
                yield from self._units(at, stage, piece, fit.unit_kind_id, fit.per_vehicle)
        yield WorkEnded(at, piece, stage.stage_id, "fitter")
        yield StageFinished(at, piece, stage.stage_id)

    def _units(
        self, at: datetime, stage: Stage, piece: Piece, kind: str, count: int
    ) -> Iterator[Event]:
        known = self.kinds[kind]
        if known.strip_stage_id == stage.stage_id:
            for n in range(count):
                unit = self._old(piece, kind, n)
                yield Removed(at, unit, piece)
                self.pools[kind].append(unit)
        if known.fit_stage_id == stage.stage_id:
            for _ in range(count):
                unit = self.pools[kind].popleft()
                yield Reconditioned(at - timedelta(days=1), unit, known.shop_id)
                yield Fitted(at, unit, piece)
                self.on.setdefault(f"{piece.serial} {kind}", []).append(unit)

    def _old(self, piece: Piece, kind: str, n: int) -> Unit:
        on = self.on.get(f"{piece.serial} {kind}")
        return on.pop() if on else Unit(kind, f"{piece.serial}-{n}-{len(self.on)}")


def record(works: Works, count: int) -> tuple[list[Event], datetime]:
    """So many events, the last vehicles inside, and the moment at their end."""
    rote = Rote(works)
    events = list(rote.floats())
    number = 0
    while len(events) < count:
        events += rote.visit(number, START + timedelta(hours=4 * number), 1.0)
        number += 1
    now = START + timedelta(hours=4 * number + 24 * VISIT_DAYS)
    for place in range(INSIDE):
        share = (place + 0.5) / INSIDE
        begin = now - timedelta(days=VISIT_DAYS * share)
        events += rote.visit(number + place, begin, share)
    return events, now


def best(what: str, work: Callable[[], Result], times: int = 5) -> Result:
    """The least of some runs, printed in milliseconds of processor."""
    least, result = float("inf"), None
    for _ in range(times):
        began = time.process_time()
        result = work()
        least = min(least, time.process_time() - began)
    print(f"{what:<52} {least * 1000:8.1f} ms")
    return result  # type: ignore[return-value]


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 2_000_000
    works, _ = open_works(WORKS)
    events, now = record(works, count)
    standing = fold(events, trusted=True)
    print(
        f"{len(events):,} events, {len(standing.units):,} units, "
        f"{len(standing.inside())} vehicles inside"
    )
    best("plain loop that counts units by condition",
         lambda: Counter(one.condition for one in standing.units.values()))  # fmt: skip
    clock = clock_of(works, now)
    turns = best("turn times seen in the record", lambda: turns_seen(standing, clock, now))
    given = Given(turns=turns)
    _, short = best("shortage list", lambda: shortage_list(works, standing, now, given))
    best("float cover", lambda: _cover(works, standing, now, turns))
    day = best("the whole day, all tables", lambda: today(works, standing, now, given), 2)
    print(f"{len(short)} shortages, {len(day.found.blocked)} blocked, {len(day.cover)} covers")


def _cover(works, standing, now, turns):  # type: ignore[no-untyped-def]
    seen = ahead(works, standing, now)
    asked = demand(works, now.date(), needs(works, standing, seen), 10.0)
    pool = pools(works, standing, seen.clock, now, turn_times(works, turns))
    return covers(seen, pool, asked)


if __name__ == "__main__":
    main()
