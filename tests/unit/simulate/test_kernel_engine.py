"""The compiled engine from outside, and which engine is chosen."""

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from threading import Timer

import numpy as np
import pytest

from flow_works import flow_table
from pacewright.simulate import engine as door
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.engine import Engine, StoppedRunError, rows_expected, run_flow
from pacewright.simulate.heap_engine import run_heap
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.table import FlowTable
from same_run import assert_same
from small_works import small_works

pytest.importorskip("numba", reason="the compiled engine is an extra")

from pacewright.simulate.kernel.compiled import Kept, source_print
from pacewright.simulate.kernel.engine import run_kernel
from pacewright.simulate.kernel.loop import entry
from pacewright.simulate.kernel.pack import TooLargeError
from pacewright.simulate.kernel.room import Room


@pytest.fixture(scope="module")
def table() -> FlowTable:
    """Thirty weeks of the small works."""
    options = FlowOptions(calls=Calls.EVEN, pace_a_day=0.5, weeks=30)
    return compile_flow(small_works(), None, options)


def test_a_run_that_found_too_little_room_is_done_again(
    table: FlowTable, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Room for next to nothing of anything: the same run comes out."""
    tight = Room(due=4, units=1, site=1, rows=16)
    monkeypatch.setattr(Room, "guessed", classmethod(lambda cls, table: tight))
    run = run_kernel(table, 1, 2, events=True)
    assert run is not None
    assert_same(run, run_heap(table, 1, 2))


def test_room_is_enough_at_the_first_try(table: FlowTable, monkeypatch: pytest.MonkeyPatch) -> None:
    """The small works never needs a second run."""
    monkeypatch.setattr(Room, "doubled", lambda self: pytest.fail("done again"))
    monkeypatch.setattr(Room, "with_rows", lambda self, rows: pytest.fail("done again"))
    assert run_kernel(table, 1, 2, events=True) is not None


def test_without_events_all_else_is_the_same(table: FlowTable) -> None:
    """Waits and sums do not hang on whether rows are kept."""
    for engine in (Engine.PLAIN, Engine.COMPILED):
        kept = run_flow(table, 1, 0, events=True, engine=engine)
        bare = run_flow(table, 1, 0, events=False, engine=engine)
        assert kept.events is not None
        assert_same(replace(kept, events=None), bare)


def test_a_run_can_be_stopped_from_another_thread() -> None:
    """The stop cell ends a run within a moment, and one that has not begun at once."""
    long = flow_table(200_000, 200.0)
    stop = np.zeros(1, np.int64)
    run_flow(flow_table(10, 1.0), 1, 0, engine="compiled")
    timer = Timer(0.03, lambda: stop.__setitem__(0, 1))
    timer.start()
    with pytest.raises(StoppedRunError):
        run_flow(long, 1, 0, engine="compiled", stop=stop)
    timer.join()
    with pytest.raises(StoppedRunError):
        run_flow(long, 1, 0, engine="plain", stop=stop)


def test_a_table_beyond_the_keys_is_refused(table: FlowTable) -> None:
    """More than 31 years: the message says what was found and what to do."""
    late = replace(table, days=replace(table.days, end=1 << 25))
    with pytest.raises(TooLargeError, match=r"33554432 minutes.*use the plain engine"):
        run_kernel(late, 1, 0)


def test_auto_runs_the_plain_engine_what_the_compiled_cannot_hold(table: FlowTable) -> None:
    """Nobody who leaves the choice to us sees that message."""
    late = replace(table, days=replace(table.days, end=1 << 25))
    run_flow(table, 1, 0, engine="compiled")
    choice = door._Choice()
    choice._loaded = True
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(door, "_CHOICE", choice)
        assert_same(run_flow(late, 1, 0, events=True), run_heap(late, 1, 0))


def test_threads_do_not_disturb_each_other(table: FlowTable) -> None:
    """Eight runs on four threads are those of one thread."""
    alone = [run_flow(table, 1, n, events=True, engine="compiled") for n in range(8)]
    with ThreadPoolExecutor(4) as pool:
        together = list(
            pool.map(lambda n: run_flow(table, 1, n, events=True, engine="compiled"), range(8))
        )
    for one, other in zip(alone, together, strict=True):
        assert_same(one, other)


# -- the choice ------------------------------------------------------------------------------


def test_short_runs_do_not_wait_for_the_compiler(
    table: FlowTable, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing kept on disk: plain at first, compiled once the plain one has cost as much."""
    monkeypatch.setattr(Kept, "is_on_disk", lambda self: False)
    choice, runs = door._Choice(), 0
    while not choice.compiled_pays(table):
        runs += 1
    worked_off = runs * rows_expected(table)
    assert door.ROWS_BEFORE_COMPILING - rows_expected(table) <= worked_off
    assert worked_off <= door.ROWS_BEFORE_COMPILING
    assert choice.compiled_pays(table)


def test_a_kernel_on_disk_is_loaded_sooner(
    table: FlowTable, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Kept on disk: plain only for the very first short runs."""
    monkeypatch.setattr(Kept, "is_on_disk", lambda self: True)
    choice, runs = door._Choice(), 0
    while not choice.compiled_pays(table):
        runs += 1
    assert runs * rows_expected(table) <= door.ROWS_BEFORE_LOADING


def test_without_the_compiler_the_plain_engine_runs(
    table: FlowTable, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The extra is not installed."""
    monkeypatch.setattr(door, "_may_compile", lambda: False)
    choice = door._Choice()
    assert not any(choice.compiled_pays(table) for _ in range(200))


@pytest.mark.parametrize("vehicles", [30, 300])
def test_expected_events_are_about_right(vehicles: int, table: FlowTable) -> None:
    """Within a factor of two: enough for the choice."""
    for one in (table, flow_table(vehicles, 9.6)):
        run = run_flow(one, 1, 0, events=True)
        assert run.events is not None
        assert 0.5 < rows_expected(one) / len(run.events.time) < 2


def test_the_kernel_is_found_again_only_by_the_same_sources(tmp_path: Path) -> None:
    """After a run it is noted on disk under a number that its sources give."""
    run_flow(flow_table(10, 1.0), 1, 0, engine="compiled")
    assert entry().is_on_disk()
    assert source_print() == source_print.__wrapped__()
    assert source_print() > 0


def _python(program: str) -> str:
    """What a fresh Python prints."""
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, timeout=60
    )
    return done.stdout.strip()


def test_nothing_loads_the_compiler_before_it_pays() -> None:
    """The door to the engines alone does not."""
    program = "import sys, pacewright.simulate.engine; print('numba' in sys.modules)"
    assert _python(program) == "False"


def test_a_works_runs_where_the_compiler_is_not_installed() -> None:
    """The base installation: the plain engine runs, and asking for the compiled one says why."""
    folder = str(Path(__file__).parents[2])
    program = f"""
import sys
sys.path.insert(0, {folder!r})
sys.modules["numba"] = None
from flow_works import flow_table
from pacewright.simulate import engine
engine.ROWS_BEFORE_LOADING = 0
table = flow_table(40, 9.6)
print(int((engine.run_flow(table, 1, 0).released >= 0).sum()))
try:
    engine.run_flow(table, 1, 0, engine="compiled")
except ImportError as error:
    print(error)
"""
    assert _python(program).splitlines() == [
        "40",
        "simulate: the compiled engine needs numba. Install pacewright[simulate], or use the "
        "plain engine.",
    ]
