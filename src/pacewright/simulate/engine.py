"""One replication by the engine that gets there first; both give the same run, row by row."""

from enum import StrEnum
from functools import cache
from importlib.util import find_spec
from threading import Lock

from pacewright.simulate.heap_engine import run_heap
from pacewright.simulate.run import Run
from pacewright.simulate.table import FlowTable, Ints

ROWS_BEFORE_LOADING = 100_000
"""Events that the plain engine works off in the second in which a kernel is loaded from disk."""

ROWS_BEFORE_COMPILING = 2_000_000
"""Events that the plain engine works off in the dozen seconds in which a kernel is compiled."""


class Engine(StrEnum):
    """Which engine runs."""

    AUTO = "auto"
    """the compiled one where it pays, else the plain one"""
    COMPILED = "compiled"
    """the compiled one, whatever it costs to start"""
    PLAIN = "plain"
    """the plain one"""


class StoppedRunError(Exception):
    """The caller stopped the run before its end."""


def run_flow(
    table: FlowTable,
    seed: int,
    replication: int,
    events: bool = False,
    engine: Engine | str = Engine.AUTO,
    stop: Ints | None = None,
) -> Run:
    """Run a works through once.

    Parameters
    ----------
    table : the works, compiled to an instruction table.
    seed, replication : of the chance; the same two give the same run on any engine.
    events : whether every event is kept.
    engine : an ``Engine``.
    stop : one number that another thread sets to other than 0 to end the run early.

    Raises
    ------
    StoppedRunError : ``stop`` was set.
    ImportError : the compiled engine was asked for and is not installed.
    TooLargeError : the compiled engine was asked for and cannot hold the table.
    """
    if stop is not None and stop[0]:
        raise StoppedRunError
    engine = Engine(engine)
    if engine is Engine.PLAIN or (engine is Engine.AUTO and not _CHOICE.compiled_pays(table)):
        return run_heap(table, seed, replication, events)
    if not _may_compile():
        raise ImportError(
            "simulate: the compiled engine needs numba. Install pacewright[simulate], or use the "
            "plain engine."
        )
    from pacewright.simulate.kernel.engine import TooLargeError, run_kernel  # noqa: PLC0415

    try:
        run = run_kernel(table, seed, replication, events, stop)
    except TooLargeError:
        if engine is Engine.COMPILED:
            raise
        return run_heap(table, seed, replication, events)
    if run is None:
        raise StoppedRunError
    return run


class _Choice:
    """Rent or buy: the plain engine until it has cost as much as the compiled one costs to start.

    So a run never takes much more than twice the time of the better choice, however many
    replications follow (the ski-rental rule; common knowledge of online algorithms).
    """

    def __init__(self) -> None:
        self._lock = Lock()
        self._rows = 0
        self._loaded = False

    def compiled_pays(self, table: FlowTable) -> bool:
        """True when the compiled engine is ready, or the plain one has worked off enough."""
        with self._lock:
            self._rows += rows_expected(table)
            if not self._loaded and self._rows > ROWS_BEFORE_LOADING and _may_compile():
                from pacewright.simulate.kernel.loop import entry  # noqa: PLC0415

                self._loaded = entry().is_on_disk() or self._rows > ROWS_BEFORE_COMPILING
            return self._loaded


_CHOICE = _Choice()


@cache
def _may_compile() -> bool:
    return find_spec("numba") is not None


def rows_expected(table: FlowTable) -> int:
    """About how many events a run will have."""
    steps, pieces = table.steps, len(table.pieces.vehicle)
    if pieces == 0:
        return 0
    stages_a_piece = len(steps.stage) / (2 * len(table.types.first_step) + len(_assemblies(table)))
    rows_a_stage = 5 + 2 * len(steps.need) / len(steps.stage)
    return int(pieces * (1 + stages_a_piece) * rows_a_stage)


def _assemblies(table: FlowTable) -> Ints:
    return table.types.assembly_count
