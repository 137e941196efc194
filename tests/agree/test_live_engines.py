"""Both engines from a start that the record knows: equal rows, causes and sums."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from flow_works import MONDAY, flow_works
from pacewright.events.codes import Code
from pacewright.events.fold import take
from pacewright.events.things import Unit
from pacewright.events.units import Removed
from pacewright.parts.tables import FloatHeld
from pacewright.shops.tables import Assembly
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.heap_engine import run_heap
from pacewright.simulate.live_start import LiveStart
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.start_table import Stand, Way
from pacewright.simulate.table import FlowTable
from pacewright.works import Works
from rows_told import RowsTold
from same_run import assert_same

pytest.importorskip("numba", reason="the compiled engine is an extra")

OPTIONS = FlowOptions(
    calls=Calls.EVEN, inside_now=False, pace_a_day=1.5, weeks=12, upsets=False, late_calls=False
)
STAGES: dict[str, dict[str, Any]] = {
    "body": {"batch_size": 2, "longest_wait_hours": 4.0, "positions": 6},
    "frame": {"hours_least": 6.0, "hours_usual": 9.0, "hours_most": 40.0, "positions": 9},
    "marry": {"positions": 1},
    "test": {"first_pass_share": 0.6, "rectify_hours": 3.0},
}
KINDS: dict[str, dict[str, Any]] = {
    "motor": {"scrap_share": 0.3, "purchase_days": 20, "purchase_lot": 2, "removal_share": 0.6},
    "axle": {"lot_size": 3, "despatch_days": 2, "fit_stage_id": "frame"},
}


def hard_works(benches: bool) -> Works:
    """A works with two frames a vehicle, charges, tests that fail, lots, scrap, benches."""
    one = flow_works(1.5, people=True)
    stages = tuple(replace(row, **STAGES.get(row.stage_id, {})) for row in one.stages)
    kinds = tuple(replace(row, **KINDS[row.unit_kind_id]) for row in one.unit_kinds)
    if benches:
        kinds = tuple(replace(row, benches=12, bench_hours=8.0) for row in kinds)
    return replace(
        one,
        stages=stages,
        unit_kinds=kinds,
        floats=(FloatHeld("motor", 5, 0), FloatHeld("axle", 40, 0)),
        assemblies=(Assembly("bus", "body", "Body"), Assembly("bus", "frame", "Frame", 2)),
    )


def live_tables(benches: bool) -> list[FlowTable]:
    """Starts at several moments of a told run, by day and by night."""
    works = hard_works(benches)
    table = compile_flow(works, None, OPTIONS)
    told = RowsTold(works, table, run_heap(table, 3, 0), MONDAY)
    return [
        compile_flow(works, None, replace(OPTIONS, weeks=8), in_debt(told, at))
        for at in (40 * 1440 + 600, 43 * 1440 + 123, 50 * 1440 + 777, 57 * 1440 + 950)
    ]


def in_debt(told: RowsTold, at: int) -> LiveStart:
    """The record at a minute: motors taken off again that had gone on, axles off at the strip."""
    standing, now = told.until(at).copy(), told.moment(at)
    for vehicle in standing.inside():
        whole = standing.whole(vehicle.vehicle_id)
        if whole.stands and whole.stage_id in ("fit", "test"):
            for unit in standing.units_on(vehicle.vehicle_id)[:1]:
                take(standing, Removed(now, unit, whole.piece))
        if whole.stands and whole.stage_id == "strip":
            take(standing, Removed(now, Unit("axle", f"A-{vehicle.vehicle_id}"), whole.piece))
    return LiveStart(standing, now)


@pytest.mark.parametrize("benches", [False, True])
@pytest.mark.parametrize("robbing", [False, True])
def test_live_starts(benches: bool, robbing: bool) -> None:
    """The same run from either engine, from the middle of a day or of a night."""
    from pacewright.simulate.kernel.engine import run_kernel

    for table in live_tables(benches):
        kinds = replace(table.kinds, rob_minutes=np.full_like(table.kinds.lot, 60))
        one = replace(table, robbing=int(robbing), kinds=kinds)
        compiled = run_kernel(one, 7, 2, events=True)
        assert compiled is not None
        assert_same(compiled, run_heap(one, 7, 2, events=True))
        assert (compiled.released >= 0).sum() > 10
        assert compiled.events is not None
        assert Code.RELEASED in compiled.events.code


def test_every_way_to_stand_and_to_be_away_is_among_them() -> None:
    """What these starts do not hold is not compared: between them they hold it all."""
    tables = [table for benches in (False, True) for table in live_tables(benches)]
    stands = {int(one) for table in tables for one in table.live.starts.stand}
    ways = {int(one) for table in tables for one in table.live.away.way}
    assert stands >= {int(one) for one in Stand} - {int(Stand.PASSED)}
    assert ways >= {int(Way.GATHERS), int(Way.IN_REPAIR), int(Way.BOUGHT)}
    assert any((table.live.starts.attempt > 0).any() for table in tables)
    assert any((table.live.starts.late > 0).any() for table in tables)
