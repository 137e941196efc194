"""The flow as processes of SimPy (Team SimPy, 4.1), a general library, against our engines.

Positions with blocking, parting, marriage, unit pools and opening hours; nobody is needed at the
stages. With the same draws every vehicle must be released in the same minute; with other draws the
mean stay must agree within its confidence limits.
"""

import numpy as np
import pytest
from scipy.stats import t as student

from flow_in_simpy import FlowInSimpy
from flow_works import flow_table
from pacewright.simulate.engine import run_flow
from pacewright.simulate.run import Run
from pacewright.simulate.table import FlowTable


@pytest.mark.parametrize("engine", ["plain", "compiled"])
@pytest.mark.parametrize("floats_short", [False, True])
def test_every_vehicle_leaves_in_the_same_minute(engine: str, floats_short: bool) -> None:
    """300 vehicles; once without floats, so that they wait for units."""
    if engine == "compiled":
        pytest.importorskip("numba", reason="the compiled engine is an extra")
    table = flow_table(300, 4.7, people=False)
    if floats_short:
        table.kinds.serviceable[:] = 0
    for seed in (1, 2):
        run = run_flow(table, seed, 3, engine=engine)
        assert FlowInSimpy(table, seed, 3).run() == run.released.tolist()
        assert (run.released >= 0).all()
    parts = run.waits[:, 1 + len(table.stages.key) :][:, : len(table.kinds.key)]
    assert (parts.sum() > 0.02 * run.waits.sum()) == floats_short


def test_mean_stay_agrees_under_other_draws() -> None:
    """Ten runs each, seeds apart: means within the limits of a two-sided t test at 0.1 %."""
    table = flow_table(300, 4.7, people=False)
    ours = [_stay(table, run_flow(table, 11, n, engine="plain")) for n in range(10)]
    theirs = []
    for n in range(10):
        released = np.array(FlowInSimpy(table, 12, n).run())
        theirs.append(float((released - run_flow(table, 12, n).arrived).mean()))
    spread = np.sqrt((np.var(ours, ddof=1) + np.var(theirs, ddof=1)) / 10)
    assert abs(np.mean(ours) - np.mean(theirs)) < student.ppf(0.9995, 18) * spread


def _stay(table: FlowTable, run: Run) -> float:
    return float((run.released - run.arrived).mean())
