"""Runs under way that are told to stop."""

from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.stopping import look_at, new_cell, runs_until_stopped
from small_works import small_works


def test_work_told_to_stop_gives_what_it_has() -> None:
    """A cell that is set ends the runs of a thread before their end; what was done is whole."""
    table = compile_flow(small_works(), None, FlowOptions(Calls.EVEN, False, 10, pace_a_day=0.2))
    cell = new_cell()
    look_at(cell)
    try:
        runs = runs_until_stopped(table, 1, range(5))
        assert next(runs).replication == 0
        cell[0] = 1
        assert list(runs) == []
    finally:
        look_at(new_cell())
    assert [one.replication for one in runs_until_stopped(table, 1, [3, 4])] == [3, 4]
