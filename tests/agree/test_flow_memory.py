"""The compiled engine stays on its ground: no word beyond a thing's own is read or written.

It works on bare addresses, so a wrong one would not be told but crash, or worse, not crash. Guards
lie around every kind of thing: compiled, none may be written on; the same sources run in plain
Python, none may be read either. Rooms that are too small are the dangerous ones: what runs out in
the midst of a happening must leave the lines whole until the run is given up.
"""

import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from itertools import cycle
from typing import Any

import numpy as np
import pytest

from agree.test_live_engines import live_tables
from flow_works import flow_table
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.heap_engine import run_heap
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.start_table import UNKNOWN, Stand
from pacewright.simulate.table import FlowTable
from same_run import assert_same
from small_works import Tables, small_works

pytest.importorskip("numba", reason="the compiled engine is an extra")

from guarded_ground import Guards, guarded, kernel_in_python
from pacewright.simulate.kernel.engine import run_kernel
from pacewright.simulate.kernel.loop import DONE, FULL
from pacewright.simulate.kernel.room import Room

IN_PYTHON = os.environ.get("NUMBA_DISABLE_JIT") == "1"
compiled_only = pytest.mark.skipif(IN_PYTHON, reason="for the compiled kernel")
# Due at once, units that wait, units the second site waits for, rows kept.
ROOMS = [Room(1, 1, 1, 1), Room(7, 3, 2, 40), Room(40, 11, 1, 900), Room(90, 29, 5, 300)]


@pytest.fixture
def guards(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Guards around whatever is run."""
    with guarded(monkeypatch, kernel_in_python() if IN_PYTHON else None) as laid:
        yield laid
        assert laid.broken == []


def with_room(patch: pytest.MonkeyPatch, guess: Callable[[FlowTable], Room]) -> None:
    """The first try has this room."""
    patch.setattr(Room, "guessed", classmethod(lambda cls, table: guess(table)))


def short_of_all(tables: Tables) -> None:
    """Lots, benches, scrap, a hungry second site, failing tests, charges, units off in a row."""
    for row in tables["stages"]:
        row |= {"first_pass_share": "0.7", "rectify_hours": "3", "positions": "4"}
        if row["stage_id"] in ("bpaint", "fitout"):
            row |= {"batch_size": "2", "longest_wait_hours": "1"}
    for row, lot in zip(tables["unit_kinds"], cycle("352"), strict=False):
        row |= {"strip_stage_id": "strip", "fit_stage_id": "marry", "turn_days": "9"}
        row |= {"removal_share": "0.8", "must_change": "no", "scrap_share": "0.3"}
        row |= {"purchase_lot": "2", "lot_size": lot, "site_a_week": "4", "benches": "1"}
        row |= {"bench_hours": "9", "site_transit_days": "1"}
    for row in tables["floats"]:
        row |= {"serviceable": "2", "unserviceable": "6"}
    upset = {"upset_id": "bench", "mean_days_between": "9", "mean_hours": "50"}
    tables["upsets"].append(upset | {"unit_kind_id": "motor"})


def short_table() -> FlowTable:
    """A works that makes use of every kind of thing, robbing too."""
    options = FlowOptions(
        calls=Calls.EVEN, pace_a_day=1.0, weeks=5 if IN_PYTHON else 9, robbing=True
    )
    return compile_flow(small_works(short_of_all), None, options)


@pytest.mark.parametrize("room", ROOMS)
def test_no_word_is_touched_beyond_a_thing(
    room: Room, guards: Guards, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Everything happens, in rooms that run out one after the other; the run is the plain one."""
    with_room(monkeypatch, lambda table: room)
    table = short_table()
    run = run_kernel(table, 3, 1, events=True)
    assert run is not None
    assert_same(run, run_heap(table, 3, 1))
    assert set(guards.ends) == {FULL, DONE}


def test_more_is_due_at_the_start_than_there_is_room_for(
    guards: Guards, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Units of the float take up all room: the vehicles were put beyond it all the same."""
    with_room(monkeypatch, lambda table: Room(8, 8, 8, 8000))
    table = flow_table(40, 4.0)
    table = replace(table, kinds=replace(table.kinds, unserviceable=np.array([200, 0])))
    run = run_kernel(table, 1, 0, events=True)
    assert run is not None
    assert_same(run, run_heap(table, 1, 0))
    assert guards.ends[0] == FULL


def test_a_record_may_know_more_on_positions_than_there_are(
    guards: Guards, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Positions are given up while pieces stand on them and wait for units: each has its order."""
    with_room(monkeypatch, lambda table: Room(400, 400, 1, 20_000))
    for table in live_tables(benches=False)[: 1 if IN_PYTHON else None]:
        few = all_wait_on_positions(table)
        run = run_kernel(few, 1, 0, events=True)
        assert run is not None
        assert_same(run, run_heap(few, 1, 0))
    assert DONE in guards.ends


def all_wait_on_positions(table: FlowTable) -> FlowTable:
    """One position a stage, no unit in the pools, and all at a stage that fits units ask anew."""
    starts = table.live.starts
    fits = np.diff(table.steps.fit_first)[np.maximum(starts.step, 0)] > 0
    asks = fits & np.isin(starts.stand, [Stand.AT_WORK, Stand.POSITIONED])
    known = replace(
        starts,
        stand=np.where(asks, int(Stand.POSITIONED), starts.stand),
        asks=np.where(fits[:, np.newaxis], UNKNOWN, starts.asks),
    )
    return replace(
        table,
        stages=replace(table.stages, positions=np.ones_like(table.stages.positions)),
        kinds=replace(table.kinds, serviceable=np.zeros_like(table.kinds.serviceable)),
        live=replace(table.live, starts=known),
    )


@compiled_only
def test_room_for_units_that_ends_anywhere(guards: Guards, monkeypatch: pytest.MonkeyPatch) -> None:
    """Lots of two kinds off one vehicle, room for 1 to 150 units: crossed lines crashed it once."""
    table = flow_table(80, 4.0)
    kinds = replace(table.kinds, lot=np.array([7, 5]), benches=np.array([3, 0]))
    table = replace(table, kinds=kinds)
    plain = run_heap(table, 1, 0)
    usual = Room.guessed(table)
    for units in range(1, 150):
        with_room(monkeypatch, lambda table, units=units: replace(usual, units=units))
        run = run_kernel(table, 1, 0, events=True)
        assert run is not None
        assert_same(run, plain)
    assert guards.ends.count(FULL) > 150


@compiled_only
def test_100_000_vehicles_over_14_years(guards: Guards) -> None:
    """Nearly six million events kept; such a run crashed while the kernel was made."""
    run = run_kernel(flow_table(100_000, 27.5), 1, 0, events=True)
    assert run is not None
    assert (run.released > 0).all()
    assert run.events is not None
    assert len(run.events.time) > 5_500_000
    assert (np.diff(run.events.time) >= 0).all()


@compiled_only
def test_no_word_is_read_beyond_a_thing() -> None:
    """The tests above once more in a process without the compiler, every word asked for checked."""
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", "--no-cov", __file__],
        env=os.environ | {"NUMBA_DISABLE_JIT": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout[-4000:]
    assert f"{len(ROOMS) + 2} passed" in done.stdout
