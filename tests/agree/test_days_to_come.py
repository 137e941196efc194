"""What is counted at moments of a run against the time integrals that the engines keep."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from flow_works import MONDAY, flow_works
from pacewright.events.codes import Code
from pacewright.parts.tables import FloatHeld
from pacewright.shops.tables import Assembly, Upset
from pacewright.simulate.calendars import Clock
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.days_to_come import days_to_come
from pacewright.simulate.follow_rows import Want, _Floor, follow
from pacewright.simulate.heap_engine import run_heap
from pacewright.simulate.live_start import LiveStart
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.releases import Asked
from pacewright.simulate.replicate import HowSure
from pacewright.simulate.table import FlowTable
from pacewright.works import Works
from rows_told import RowsTold
from small_works import Tables, small_works

OPTIONS = FlowOptions(
    calls=Calls.EVEN, inside_now=False, pace_a_day=1.0, weeks=9, upsets=False, late_calls=False
)


HARD: dict[str, dict[str, Any]] = {
    "body": {"batch_size": 2, "longest_wait_hours": 4.0, "positions": 6},
    "frame": {"hours_least": 6.0, "hours_usual": 9.0, "hours_most": 40.0, "positions": 9},
    "marry": {"positions": 1},
    "test": {"first_pass_share": 0.6, "rectify_hours": 3.0},
}
"""Charges, a longest wait that is missed, few places of marriage, tests that fail."""


def hard() -> FlowTable:
    """A works from empty with all that can happen to a piece, and hardly any motors."""
    one = flow_works(1.5, people=True)
    stages = tuple(replace(row, **HARD.get(row.stage_id, {})) for row in one.stages)
    kinds = tuple(
        replace(row, scrap_share=0.3, purchase_days=20, purchase_lot=2, removal_share=0.8)
        if row.unit_kind_id == "motor"
        else replace(row, lot_size=3, despatch_days=2, fit_stage_id="fit")
        for row in one.unit_kinds
    )
    floats = (FloatHeld("motor", 3, 0), FloatHeld("axle", 12, 0))
    made = replace(one, stages=stages, unit_kinds=kinds, floats=floats)
    made = replace(
        made, upsets=(Upset("crane", mean_days_between=6.0, mean_hours=9.0, stage_id="fit"),)
    )
    options = replace(OPTIONS, pace_a_day=1.5, weeks=8, upsets=True)
    return compile_flow(made, None, options)


def robbed() -> FlowTable:
    """A works where units come off half the vehicles: one that waits holds what another lacks."""

    def change(tables: Tables) -> None:
        for row in tables["stages"]:
            row["positions"] = "6"
        for row in tables["unit_kinds"]:
            row |= {"strip_stage_id": "strip", "fit_stage_id": "marry", "turn_days": "30"}
            row |= {"removal_share": "0.5", "must_change": "no"}

    options = replace(OPTIONS, pace_a_day=0.5, weeks=14, robbing=True)
    return compile_flow(small_works(change), None, options)


@pytest.mark.parametrize(
    ("table", "wanted"),
    [
        (
            hard,
            {Code.BATCHED, Code.REDONE, Code.FAILED, Code.UPSET, Code.SCRAPPED, Code.BOUGHT},
        ),
        (robbed, {Code.ROBBED, Code.SITE_DRAWN}),
    ],
)
def test_counts_sum_to_the_integrals_whatever_happens(
    table: Callable[[], FlowTable], wanted: set[Code]
) -> None:
    """Charges, repeats, failed tests, lots, scrap, upsets, robbing: the engine's integrals."""
    flow = table()
    agree_with_integrals(flow, 7, wanted)


def agree_with_integrals(table: FlowTable, seed: int, wanted: set[Code]) -> None:
    """What is counted every worked minute of a run sums to the integrals the engine keeps."""
    run = run_heap(table, seed, 0, events=True)
    assert run.events is not None
    assert wanted <= set(run.events.code.tolist()), "the case does not do what it is for"
    counted = follow(table, run, worked_minutes_of(table), 120)
    kept = run.integrals
    for mine, theirs in (
        (counted.held, kept.busy),
        (counted.waiting, kept.queue),
        (counted.stored, kept.stored),
        (counted.ready, kept.pool),
    ):
        np.testing.assert_array_equal(mine.sum(axis=0, dtype=np.int64), theirs)


def test_units_away_are_those_the_record_has_off_vehicles() -> None:
    """Before its first row as many units are away, and ready, as the record has them so."""
    _, start, table = live()
    floor = _Floor(table)
    for k, kind_id in enumerate(table.names.kinds):
        off = start.standing.off_vehicle(kind_id)
        assert int(floor.away[k]) == off.unserviceable
        assert int(floor.ready[k]) == off.serviceable
    assert floor.away.sum() > 0


def works() -> Works:
    """Two frames a vehicle, few positions, hardly enough people, a test that fails."""
    one = flow_works(1.0, people=True)
    changed = {
        "frame": {"positions": 4},
        "marry": {"positions": 1},
        "test": {"first_pass_share": 0.6, "rectify_hours": 3.0},
    }
    return replace(
        one,
        people=tuple(replace(row, people=row.people * 0.9) for row in one.people),
        stages=tuple(replace(row, **changed.get(row.stage_id, {})) for row in one.stages),
        assemblies=(Assembly("bus", "body", "Body"), Assembly("bus", "frame", "Frame", 2)),
    )


def live(weeks: int = 2) -> tuple[Works, LiveStart, FlowTable]:
    """The works in full swing as a record knows it, and the table of a run on from it."""
    one = works()
    table = compile_flow(one, None, OPTIONS)
    told = RowsTold(one, table, run_heap(table, 3, 0), MONDAY)
    at = 43 * 1440 + 640
    start = LiveStart(told.until(at), told.moment(at))
    return one, start, compile_flow(one, None, replace(OPTIONS, weeks=weeks), start)


def worked_minutes_of(table: FlowTable) -> list[int]:
    """Every minute of a run at which the works is open."""
    clock = Clock.of(table.days)
    days = table.days
    return [m for m in range(days.start, days.end) if clock.is_open(0, m)]


@pytest.mark.parametrize("replication", [0, 1])
def test_counts_sum_to_the_integrals_of_the_engine(replication: int) -> None:
    """Counted every worked minute, positions, queues, stores and pools give its integrals."""
    _, _, table = live()
    run = run_heap(table, 5, replication, events=True)
    counted = follow(table, run, worked_minutes_of(table), 120)
    kept = run.integrals
    for mine, theirs in (
        (counted.held, kept.busy),
        (counted.waiting, kept.queue),
        (counted.stored, kept.stored),
        (counted.ready, kept.pool),
    ):
        np.testing.assert_array_equal(mine.sum(axis=0, dtype=np.int64), theirs)
    assert counted.inside.sum(dtype=np.int64) == kept.inside
    assert counted.at_gate.sum(dtype=np.int64) == kept.gate


def test_the_first_moment_is_the_standing() -> None:
    """At its first minute who is at work is at the stage where the record has it."""
    one, start, table = live()
    run = run_heap(table, 5, 0, events=True)
    counted = follow(table, run, [table.days.start], 0)
    stages = [row.stage_id for row in one.stages]
    at_work = 0
    for v, name in enumerate(table.names.vehicles):
        vehicle_id = name.split("/")[0]
        if vehicle_id not in {row.vehicle_id for row in start.standing.inside()}:
            continue
        stands = start.standing.stands_at(vehicle_id)
        if stands.trades:
            at_work += 1
            assert stages[int(counted.leads[0, v])] == stands.stage_id
    assert at_work >= 5


def test_what_stands_has_waited_as_long_as_said() -> None:
    """With a longer wait asked for, less stands; with none, all that waits does."""
    _, _, table = live()
    run = run_heap(table, 5, 0, events=True)
    minutes = worked_minutes_of(table)[::97]
    at_once, later = (follow(table, run, minutes, long).stands.sum() for long in (0, 240))
    assert at_once > later >= 0


def test_a_failed_test_is_waited_for_in_the_stage_of_the_test() -> None:
    """What failed its test and is not yet worked on again stands at the test, for that."""
    one, _, table = live(weeks=8)
    stage = [row.stage_id for row in one.stages].index("test")
    run = run_heap(table, 5, 0, events=True)
    rows = run.events
    assert rows is not None
    waits = []
    for n in np.flatnonzero(rows.code == Code.FAILED):
        same = (rows.vehicle == rows.vehicle[n]) & (rows.amount == rows.amount[n])
        after = np.flatnonzero(same & (rows.code == Code.STARTED) & (np.arange(len(same)) > n))
        if len(after) and rows.time[after[0]] > rows.time[n]:
            waits.append(int(rows.time[n]))
    assert waits, "no piece that failed had to wait for people: the case tests nothing"
    counted = follow(table, run, waits, 0)
    assert (counted.stands[:, stage, Want.RECTIFYING] >= 1).all()


def test_the_runs_are_the_same_in_any_hands() -> None:
    """Moments are the middles of working days to come; the same seed gives the same counts."""
    one, start, _ = live()
    asked = Asked(one, start, None, replace(OPTIONS, weeks=3), HowSure(4, seed=2))
    first, again = (days_to_come(asked, 5, 0.25) for _ in range(2))
    assert first.runs == 4
    assert len(first.moments) == 5
    assert all(moment > start.now for moment in first.moments)
    assert all(moment.weekday() < 5 for moment in first.moments)
    np.testing.assert_array_equal(first.held, again.held)
    np.testing.assert_array_equal(first.leads, again.leads)
    assert (first.held <= np.array([row.positions for row in one.stages])).all()
