"""Time and memory of folding a long record, of its snapshot and of its written form.

    python bench/events.py [EVENTS]

The record is told by rote, not by a simulation: every half hour a vehicle of a fleet of 1,900 comes
in, is parted, gets units of twelve kinds from the pool and goes out. Beside each figure stands a
plain loop over the same events that only counts them by kind, in the same run.
"""

import resource
import sys
import time
from collections import Counter, deque
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from itertools import islice
from typing import TypeVar

from pacewright.events.fold import fold
from pacewright.events.gate import Admitted, Arrived, Called, Promised, Released
from pacewright.events.identity import Married, Parted
from pacewright.events.snapshot import read_snapshot, write_snapshot
from pacewright.events.stages import (
    Moved,
    PieceEvent,
    StageFinished,
    Stored,
    Tested,
    WorkEnded,
    WorkStarted,
)
from pacewright.events.things import WHOLE, Condition, Event, Piece, Unit
from pacewright.events.units import Fitted, Received, Reconditioned, Removed, Sent, UnitEntered
from pacewright.events.written import from_json, to_json

FLEET, KINDS, FLOAT, START = 1_900, 12, 6, datetime(2020, 1, 6, 7)
Result = TypeVar("Result")


def stay(at: datetime, piece: Piece, stage_id: str, position: int) -> Iterator[PieceEvent]:
    """A piece on a stage: moved there, worked on, finished."""
    yield Moved(at, piece, stage_id, position)
    yield WorkStarted(at, piece, stage_id, "fitter")
    yield WorkEnded(at, piece, stage_id, "fitter")
    yield StageFinished(at, piece, stage_id)


def visit(
    number: int, at: datetime, pools: list[deque[Unit]], on: dict[str, list[Unit]]
) -> Iterator[Event]:
    """One vehicle from call-in to release; its old units go into the pools."""
    vehicle_id, position = f"{number % FLEET:04d}", number % 40 + 1
    whole, body = Piece(WHOLE, vehicle_id), Piece("body", vehicle_id)
    frame = Piece("frame", vehicle_id)
    yield Called(at, vehicle_id, "T1", "east", at.date())
    yield Promised(at, vehicle_id, at.date())
    yield Arrived(at, vehicle_id, "T1")
    yield Admitted(at, vehicle_id)
    yield from stay(at, whole, "wash", position)
    yield from stay(at, whole, "strip", position)
    old = on.get(vehicle_id) or [Unit(f"kind-{k}", f"{vehicle_id}-{k}") for k in range(KINDS)]
    for unit in old:
        yield Removed(at, unit, whole)
    yield Parted(at, vehicle_id, (body, frame))
    yield from stay(at, body, "panels", position)
    yield from stay(at, frame, "frames", position)
    for unit, pool in zip(old, pools, strict=True):
        yield Sent(at, unit, "shop")
        yield Received(at, unit, "shop")
        yield Reconditioned(at, unit, "shop")
        pool.append(unit)
    yield Stored(at, frame, "floor")
    yield Married(at, vehicle_id, (body, frame))
    yield from stay(at, whole, "mount", position)
    on[vehicle_id] = [pool.popleft() for pool in pools]
    for unit in on[vehicle_id]:
        yield Fitted(at, unit, whole)
    yield Tested(at, whole, "brake", passed=True, reading=5.1, reading_unit="m/s2")
    yield Released(at, vehicle_id, "I. Inspector")


def record() -> Iterator[Event]:
    """Events without end."""
    pools = [deque(Unit(f"kind-{k}", f"F-{n}") for n in range(FLOAT)) for k in range(KINDS)]
    for pool in pools:
        for unit in pool:
            yield UnitEntered(START, unit, Condition.SERVICEABLE, "store")
    on: dict[str, list[Unit]] = {}
    number = 0
    while True:
        yield from visit(number, START + timedelta(minutes=30 * number), pools, on)
        number += 1


def timed(what: str, work: Callable[[], Result]) -> Result:
    """Do it and print how long it took, by the wall and by the processor."""
    wall, processor = time.perf_counter(), time.process_time()
    result = work()
    wall, processor = time.perf_counter() - wall, time.process_time() - processor
    print(f"{what:<42} {wall:7.2f} s wall {processor:7.2f} s processor")
    return result


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 2_000_000
    events = timed(f"make {count:,} events", lambda: list(islice(record(), count)))
    kinds = timed("plain loop that counts kinds", lambda: Counter(type(one) for one in events))
    now = timed("fold, every event checked", lambda: fold(events))
    timed("fold, trusted", lambda: fold(events, trusted=True))
    timed("copy of the standing", now.copy)
    kept = timed("write snapshot", lambda: write_snapshot(now))
    back = timed("read snapshot", lambda: read_snapshot(kept))
    some = events[: min(count, 200_000)]
    lines = timed(f"write {len(some):,} events as JSON", lambda: [to_json(one) for one in some])
    timed(f"read {len(some):,} events from JSON", lambda: [from_json(one) for one in lines])
    print(f"snapshot {len(kept) / 1e6:.1f} MB, {len(now.units):,} units, {len(kinds)} kinds")
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")
    if back != now:
        raise SystemExit("the snapshot read back is not the standing")


if __name__ == "__main__":
    main()
