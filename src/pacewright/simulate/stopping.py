"""How runs under way are told to stop: a cell that every thread of a pool looks at."""

from collections.abc import Iterator, Sequence
from threading import local

import numpy as np

from pacewright.simulate.engine import StoppedRunError, run_flow
from pacewright.simulate.run import Run
from pacewright.simulate.table import FlowTable, Ints

_HERE = local()


def new_cell() -> Ints:
    """A cell that says: go on. Any other number than 0 in it says: stop."""
    return np.zeros(1, np.int64)


def look_at(cell: Ints) -> None:
    """Have the runs of this thread look at a cell."""
    _HERE.cell = cell


def runs_until_stopped(table: FlowTable, seed: int, numbers: Sequence[int]) -> Iterator[Run]:
    """The replications of the numbers given, in their order; ends early when told to stop."""
    cell: Ints | None = getattr(_HERE, "cell", None)
    for number in numbers:
        try:
            yield run_flow(table, seed, number, stop=cell)
        except StoppedRunError:
            return
