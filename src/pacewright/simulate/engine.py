"""The one door to the engines: a table in, a run out."""

from pacewright.simulate.heap_engine import run_heap
from pacewright.simulate.run import Run
from pacewright.simulate.table import FlowTable


def run_flow(table: FlowTable, seed: int, replication: int, events: bool = False) -> Run:
    """Run a works through once.

    Parameters
    ----------
    table : the works, compiled to an instruction table.
    seed, replication : of the chance; the same two give the same run.
    events : whether every event is kept.
    """
    return run_heap(table, seed, replication, events)
