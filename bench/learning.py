"""Time and memory of learning from a long record.

    python bench/learning.py [EVENTS]
    python bench/learning.py WORKS

With a number: events of the invented trolleybus works told by rote and held in memory; every
vehicle passes every stage of its route, every operation that may be needed is looked at and every
unit it carries comes off. With a works folder: its own record, read from its database. Beside each
figure stands a plain loop over the same events that only counts them by kind, in the same run.
"""

import random
import resource
import sys
import time
from collections import Counter
from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import islice
from pathlib import Path

from pacewright.events.gate import Admitted, Arrived, Called, Released
from pacewright.events.stages import Failed, Found, Moved, StageFinished, WorkEnded, WorkStarted
from pacewright.events.things import WHOLE, Event, Piece, Unit, Verdict
from pacewright.events.units import Fitted, Reconditioned, Removed
from pacewright.invent.works import invented_works
from pacewright.life.learn import learn
from pacewright.plans.learned import Learned
from pacewright.works import Works

START = datetime(2026, 3, 2, 7)


def record(works: Works, draws: random.Random) -> Iterator[Event]:
    """Events without end: one vehicle an hour."""
    number = 0
    while True:
        vehicle = works.vehicles[number % len(works.vehicles)]
        at = START + timedelta(hours=number)
        yield from visit(works, number, (vehicle.vehicle_id, vehicle.type_id), at, draws)
        number += 1


def visit(
    works: Works, number: int, vehicle: tuple[str, str], at: datetime, draws: random.Random
) -> Iterator[Event]:
    """One vehicle from call-in to release; all pieces go under its own number."""
    vehicle_id, type_id = vehicle
    whole = Piece(WHOLE, vehicle_id)
    yield Called(at, vehicle_id, type_id, works.depots[0].depot_id, at.date())
    yield Arrived(at, vehicle_id, type_id)
    yield Admitted(at, vehicle_id)
    for fit in works.fits:
        for n in range(fit.per_vehicle if fit.type_id == type_id else 0):
            unit = Unit(fit.unit_kind_id, f"{number}-{n}")
            yield Removed(at, unit, whole)
            days = draws.lognormvariate(2.0, 0.4)
            yield Reconditioned(at + timedelta(days=days), unit, "")
            yield Fitted(at + timedelta(days=days), unit, whole)
    for one in works.operations:
        if one.occurrence_share < 1 and one.stage_id and one.type_id in {None, type_id}:
            needed = draws.random() < one.occurrence_share
            yield Found(at, whole, one.operation_id, Verdict.REPAIR if needed else Verdict.USE)
    for stage in works.routes[type_id].stages:
        yield Moved(at, whole, stage.stage_id, 1)
        for trade_id in {o.trade_id for o in works.operations if o.stage_id == stage.stage_id}:
            yield WorkStarted(at, whole, stage.stage_id, trade_id)
            yield WorkEnded(at, whole, stage.stage_id, trade_id, draws.uniform(5, 15))
        if draws.random() > stage.first_pass_share:
            yield Failed(at, whole, stage.stage_id)
        yield StageFinished(at, whole, stage.stage_id)
    yield Released(at + timedelta(days=20), vehicle_id, "inspector 1")


def timed(what: str, began: tuple[float, float]) -> None:
    """Print how long it took, by the wall and by the processor."""
    wall, processor = time.perf_counter() - began[0], time.process_time() - began[1]
    print(f"{what:<44} {wall:7.2f} s wall {processor:7.2f} s processor")


def now() -> tuple[float, float]:
    """Both clocks."""
    return time.perf_counter(), time.process_time()


def told(learned: Learned) -> None:
    """How much was learned, and how much memory it took."""
    asked = sum(one.asked for one in learned.proposals)
    print(f"{learned.events:,} events, {len(learned.proposals)} cells told of, {asked} differ")
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


def in_memory(count: int) -> None:
    """Learn from events by rote."""
    works = invented_works("trolleybus", 1_900, 1)
    began = now()
    events = list(islice(record(works, random.Random(1)), count))
    timed(f"make {count:,} events", began)
    began = now()
    Counter(type(one) for one in events)
    timed("plain loop that counts kinds", began)
    began = now()
    learned = learn(works, events)
    timed("learn", began)
    told(learned)


def from_database(path: Path) -> None:
    """Learn from the record of a works."""
    from pacewright.office.folder import open_works
    from pacewright.office.record import open_record

    works, _ = open_works(path)
    with open_record(path, create=False, read_only=True) as ledger:
        began = now()
        Counter(type(one) for one in ledger.mended())
        timed("read the record, count kinds", began)
        began = now()
        learned = learn(works, ledger.mended())
        timed("read the record and learn", began)
    told(learned)


if __name__ == "__main__":
    given = sys.argv[1] if len(sys.argv) > 1 else "2000000"
    if given.isdigit():
        in_memory(int(given))
    else:
        from_database(Path(given))
