"""The engines of the flow simulation side by side, in one run.

    python bench/flow_speed.py [quick]

1. One five-year replication of the works of tests/flow_works.py with 12,000 vehicles (696,000
   events) by SimPy, the plain engine, the compiled engine and a loop in C, all with the same draws;
   that the runs are the same is checked first, row by row where rows are kept.
2. Cost of an event from 100 to 2,000 vehicles inside.
3. Replications of two years of the example works on threads.

Times are the least of several, of the engine alone ("run") or with packing and unpacking ("whole").
"""

import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from math import inf
from os import cpu_count
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

import numpy as np
from flow_in_c import FlowInC, load

from flow_in_simpy import FlowInSimpy
from flow_works import flow_table
from pacewright.invent.works import USUAL_VEHICLES, invented_works
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.engine import run_flow
from pacewright.simulate.kernel.engine import run_kernel
from pacewright.simulate.kernel.loop import entry
from pacewright.simulate.kernel.pack import pack
from pacewright.simulate.kernel.room import Room
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.table import FlowTable

VEHICLES = 12_000
FIVE_YEARS_PACE = 9.6
INSIDE_PACES = (8.1, 24.0, 81.0, 163.0)
TIMES = 9


def seconds(run: Callable[[], object]) -> float:
    began = time.perf_counter()
    run()
    return time.perf_counter() - began


def alternately(makers: Sequence[Callable[[], Callable[[], object]]]) -> list[float]:
    """Least seconds of each, run in turn so that a busy machine is busy for all.

    A maker readies a run, which is not timed.
    """
    found = [inf] * len(makers)
    for _ in range(TIMES):
        for place, make in enumerate(makers):
            found[place] = min(found[place], seconds(make()))
    return found


def kernel_alone(table: FlowTable) -> Callable[[], object]:
    """The compiled loop alone, without events kept."""
    ground = pack(table, 1, 0, Room.guessed(table).with_rows(0))
    return lambda: entry()(ground.m, np.zeros(1, np.int64))


def c_alone(table: FlowTable, library: object) -> Callable[[], object]:
    """The loop in C, without events kept."""
    one = FlowInC(table, 1, 0)
    return lambda: one.run(library)


def whole(table: FlowTable, events: bool) -> Callable[[], object]:
    """The compiled engine with packing and unpacking."""
    return lambda: run_kernel(table, 1, 0, events=events)


def side_by_side(quick: bool) -> None:
    """The four engines on one replication; SimPy and C on what they know of it."""
    vehicles = VEHICLES // (10 if quick else 1)
    print(f"One replication, {vehicles:,} vehicles, five years' pace", flush=True)
    with tempfile.TemporaryDirectory() as scratch:
        library = load(Path(scratch))
        for people in (False, True):
            table = flow_table(vehicles, FIVE_YEARS_PACE, people)
            run = run_kernel(table, 1, 0, events=True)
            events = len(run.events.time)
            same_in_c(table, run, library)
            ours, in_c, bare, kept = alternately(
                (
                    lambda table=table: kernel_alone(table),
                    lambda table=table: c_alone(table, library),
                    lambda table=table: whole(table, events=False),
                    lambda table=table: whole(table, events=True),
                )
            )
            print(f"  {'with' if people else 'without'} people: {events:,} events")
            line("compiled, run", ours, events)
            line("C, run", in_c, events, f"compiled / C = {ours / in_c:.2f}")
            line("compiled, whole", bare, events)
            line("compiled, whole, rows kept", kept, events)
            plain = seconds(lambda table=table: run_flow(table, 1, 0, engine="plain"))
            line("plain, whole", plain, events, f"plain / compiled = {plain / bare:.0f}")
            if not people:
                simpy_run(table, run.released, events, bare)


def simpy_run(table: FlowTable, released: np.ndarray, events: int, bare: float) -> None:
    engine = FlowInSimpy(table, 1, 0)
    took = seconds(engine.run)
    assert engine.released == released.tolist(), "SimPy releases at other minutes"
    line("SimPy, run", took, events, f"SimPy / compiled, whole = {took / bare:.0f}")


def same_in_c(table: FlowTable, run: object, library: object) -> None:
    """The loop in C gives the same rows."""
    events = run.events
    in_c = FlowInC(table, 1, 0, rows=len(events.time) + 1)
    assert in_c.run(library) == len(events.time), "C has another number of events"
    for name in ("time", "code", "vehicle", "place", "amount"):
        assert np.array_equal(in_c.arrays["row"][name][:-1], getattr(events, name)), name


def line(name: str, took: float, events: int, beside: str = "") -> None:
    a_second = events / took / 1e6
    print(f"    {name:<28}{took * 1e3:>10.1f} ms {a_second:>8.2f} M events/s  {beside}", flush=True)


def cost_of_an_event(quick: bool) -> None:
    """Nanoseconds an event as the works grows."""
    vehicles = VEHICLES // (4 if quick else 1)
    print(f"Cost of an event, {vehicles:,} vehicles each (run, and whole with rows kept)")
    tables = [flow_table(vehicles, pace) for pace in INSIDE_PACES]
    runs = [run_kernel(table, 1, 0, events=True) for table in tables]
    alone = alternately([lambda table=table: kernel_alone(table) for table in tables])
    kept = alternately([lambda table=table: whole(table, events=True) for table in tables])
    for pace, run, first, second in zip(INSIDE_PACES, runs, alone, kept, strict=True):
        events = len(run.events.time) / 1e9
        stay = float((run.released - run.admitted)[run.released >= 0].mean()) / 1440
        print(
            f"  {stay * pace * 5 / 7:>6.0f} inside {first / events:>8.1f} ns "
            f"({first / events / (alone[0] * 1e9 / len(runs[0].events.time)):.2f}) "
            f"{second / events:>8.1f} ns "
            f"({second / events / (kept[0] * 1e9 / len(runs[0].events.time)):.2f})",
            flush=True,
        )


def example_works(quick: bool) -> None:
    """Replications of two years of the examples, sampled and thrown away."""
    count = 20 if quick else 200
    print(f"Example works, {count} replications of two years")
    for kind, vehicles in USUAL_VEHICLES.items():
        works = invented_works(kind, vehicles, 1)
        pace = works.settings.plan.pace[0].vehicles_a_week / works.week_days
        options = FlowOptions(calls=Calls.EVEN, pace_a_day=pace, weeks=104)
        table = compile_flow(works, None, options)
        run_flow(table, 1, 0, engine="compiled")
        for threads in dict.fromkeys((1, cpu_count() or 1)):
            with ThreadPoolExecutor(threads) as pool:
                took = seconds(
                    lambda pool=pool, table=table: list(
                        pool.map(replication, [table] * count, range(count))
                    )
                )
            print(f"  {kind:<12} {threads} threads {took:>8.2f} s", flush=True)


def replication(table: FlowTable, n: int) -> int:
    return int((run_flow(table, 1, n, engine="compiled").released >= 0).sum())


def main() -> None:
    quick = "quick" in sys.argv[1:]
    began = time.perf_counter()
    run_kernel(flow_table(10, 1.0), 1, 0)
    print(f"Compiled kernel ready after {time.perf_counter() - began:.1f} s")
    side_by_side(quick)
    cost_of_an_event(quick)
    example_works(quick)


if __name__ == "__main__":
    main()
