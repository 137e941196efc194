"""Replications: as many as the asked precision needs, in any hands, always the same numbers.

Every replication has its number, and its chance hangs on seed and number alone. Results are kept
by number and looked at only at fixed counts; so neither the number of threads nor the order in
which they finish shows in any figure.
"""

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, wait
from dataclasses import dataclass
from math import ceil
from time import perf_counter
from typing import Any, Generic, TypeVar

from pacewright.base.progress import Progress, silent
from pacewright.plans.stopped import Stopped
from pacewright.simulate.executors import Workers

Result = TypeVar("Result")

LEAST = 10
"""Replications before the precision is looked at for the first time."""

PIECE_SECONDS = 1.0
"""A piece of work is made about this long, so that sending it costs little beside doing it."""

LOSSES = 5
"""How often lost workers are replaced before the run is given up."""


class WorkersLostError(Exception):
    """Workers were lost again and again; the message says on what the results would rest."""


@dataclass(frozen=True, slots=True)
class HowSure:
    """How many replications are run.

    Parameters
    ----------
    replications : so many, 2 or more; the most when a precision is asked.
    precision : wanted half width over mean of the figure ``of``; None: just ``replications``.
    of : key of the figure.
    confidence : of all intervals.
    seed : of all chance.
    """

    replications: int = 40
    precision: float | None = None
    of: str = "output_a_week"
    confidence: float = 0.95
    seed: int = 1

    def counts(self) -> Iterator[int]:
        """Counts of replications at which the precision is looked at.

        Equations
        ---------
        10, then each time half as many again rounded down to tens, at least ten more, to the
        limit: 10, 20, 30, 40, 60, 90, 130 ... Few looks keep the interval honest: each look is
        one more chance to stop on a run of luck.
        """
        if self.precision is None:
            yield self.replications
            return
        count = min(LEAST, self.replications)
        while count < self.replications:
            yield count
            count = min(self.replications, count + max(10, count // 20 * 10))
        yield count


@dataclass(frozen=True, slots=True)
class Replicated(Generic[Result]):
    """The results of replications 0, 1, 2 ... without a gap, and what ended them."""

    results: tuple[Result, ...]
    stopped: Stopped


def replicate(
    work: Callable[[Any, Sequence[int]], list[Result]],
    shared: Any,
    sure: HowSure,
    enough: Callable[[Sequence[Result]], bool],
    workers: Workers,
    progress: Progress = silent,
) -> Replicated[Result]:
    """Run replications until they are enough.

    Parameters
    ----------
    work : does the replications of the numbers given, in their order; a function of a module, so
        that it can be sent. Told to stop it gives those it has done.
    shared : what every replication needs; sent once.
    sure : how many.
    enough : whether the results so far are precise enough; asked at ``sure.counts()`` only.
    workers : in whose hands.

    Returns
    -------
    With Ctrl-C: the results without a gap so far.

    Raises
    ------
    KeyboardInterrupt : Ctrl-C before the first two replications were done.
    WorkersLostError : workers were lost more than ``LOSSES`` times.
    """
    going = _Going(work, workers, progress, sure.replications)
    count = 0
    stopped = Stopped.REPLICATIONS if sure.precision is None else Stopped.LIMIT
    workers.begin(shared)
    try:
        for count in sure.counts():
            going.fill(count)
            if sure.precision is not None and enough(going.first(count)):
                stopped = Stopped.PRECISION
                break
    except KeyboardInterrupt:
        going.collect()
        count = going.whole()
        if count < 2:
            raise
        stopped = Stopped.INTERRUPTED
    finally:
        workers.rest()
    return Replicated(tuple(going.first(count)), stopped)


class _Going(Generic[Result]):
    """Replications under way."""

    def __init__(
        self,
        work: Callable[[Any, Sequence[int]], list[Result]],
        workers: Workers,
        progress: Progress,
        most: int,
    ) -> None:
        self.work, self.workers, self.progress, self.most = work, workers, progress, most
        self.done: dict[int, Result] = {}
        self.under_way: dict[Future[list[Result]], tuple[Sequence[int], float]] = {}
        self.seconds_each: float | None = None
        self.losses = 0

    def first(self, count: int) -> list[Result]:
        """The results of the first so many, in order."""
        return [self.done[number] for number in range(count)]

    def whole(self) -> int:
        """How many are done without a gap."""
        count = 0
        while count in self.done:
            count += 1
        return count

    def fill(self, count: int) -> None:
        """Do all replications below ``count``."""
        waiting = [number for number in range(count) if number not in self.done]
        while waiting or self.under_way:
            while waiting and len(self.under_way) < self.workers.how_many:
                size = self._piece(len(waiting))
                numbers, waiting = waiting[:size], waiting[size:]
                future = self.workers.submit(self.work, numbers)
                self.under_way[future] = numbers, perf_counter()
            # A short wait, or Ctrl-C would not be heard while the workers work.
            ready, _ = wait(self.under_way, timeout=0.2, return_when=FIRST_COMPLETED)
            waiting = sorted([*waiting, *self._take(ready)])
            self.progress(
                f"replication {len(self.done)} of {self.most}", len(self.done) / self.most
            )

    def collect(self) -> None:
        """Stop what is under way and take what is done of it; nothing new is begun."""
        for future in self.under_way:
            future.cancel()
        self.workers.halt()
        for future, (numbers, _) in self.under_way.items():
            if future.done() and not future.cancelled() and future.exception() is None:
                # Work that was told to stop gives what it had done by then.
                self.done.update(zip(numbers, future.result(), strict=False))

    def _piece(self, waiting: int) -> int:
        if self.seconds_each is None:
            return 1
        share = ceil(waiting / self.workers.how_many)
        return max(1, min(share, round(PIECE_SECONDS / max(self.seconds_each, 1e-6))))

    def _take(self, ready: set[Future[list[Result]]]) -> list[int]:
        """Keep what is done; the numbers that must be run again because their worker is lost."""
        for future in ready:
            numbers, began = self.under_way[future]
            try:
                results = future.result()
            except self.workers.lost as error:
                return self._again(error)
            del self.under_way[future]
            self.done.update(zip(numbers, results, strict=True))
            self.seconds_each = (perf_counter() - began) / len(numbers)
        return []

    def _again(self, error: BaseException) -> list[int]:
        self.losses += 1
        if self.losses > LOSSES:
            raise WorkersLostError(
                f"Workers were lost {self.losses} times, the last time: {error}. "
                f"{self.whole()} replications were whole. Mend the workers, or run on this machine."
            ) from error
        lost = [number for numbers, _ in self.under_way.values() for number in numbers]
        self.under_way.clear()
        self.workers.renew()
        return [number for number in lost if number not in self.done]
