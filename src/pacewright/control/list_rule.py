"""Jobs put on a grid of time one after another, each as early as what it needs is free.

The serial list rule (Kelley 1963): of the jobs whose forerunners are all placed, the one of first
rank is placed at its earliest possible start. A job that must follow within a longest wait is
placed together with its forerunner, which is held back until both fit.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Latest = Callable[[int], int]
"""End of the forerunner [slot] -> latest start of what must follow it [slot]."""

_SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Job:
    """Something to be done without a break.

    Parameters
    ----------
    slots : length; 0: a moment.
    uses : what it takes while it lasts -> how much.
    after : places (in the list of jobs) of its forerunners, all to be done before it starts.
    earliest : slot before which it cannot start.
    rank : least first among those that can be placed.
    within : latest start after the end of its forerunner, of which it then has one; None: any.
    fixed : under way: starts at ``earliest``, whatever is free.
    """

    slots: int
    uses: Mapping[str, float]
    after: tuple[int, ...] = ()
    earliest: int = 0
    rank: tuple[float, ...] = ()
    within: Latest | None = None
    fixed: bool = False


class Grid:
    """What is taken of each thing in each slot.

    Parameters
    ----------
    able : thing -> how much of it there is in every slot.
    slots : length of the grid.
    """

    def __init__(self, able: Mapping[str, float], slots: int) -> None:
        self.slots = slots
        self._free: dict[str, Floats] = {key: np.full(slots, most) for key, most in able.items()}
        self._most = dict(able)

    def first(self, job: Job, start: int) -> int | None:
        """First start from ``start`` on at which the job fits; None: not on this grid.

        A job that asks for more than there is of a thing takes all of it.
        """
        if start + job.slots > self.slots:
            return None
        blocked = np.zeros(self.slots - start, dtype=np.int64)
        for key, amount in job.uses.items():
            wanted = min(amount, self._most[key]) - _SAME
            blocked += self._free[key][start:] < wanted
        if not job.slots:
            return start
        run = np.concatenate([[0], np.cumsum(blocked > 0)])
        fits = run[job.slots :] == run[: -job.slots]
        return start + int(np.argmax(fits)) if fits.any() else None

    def take(self, job: Job, start: int) -> None:
        """Take what the job uses from ``start`` on."""
        for key, amount in job.uses.items():
            self._free[key][start : start + job.slots] -= min(amount, self._most[key])


def list_schedule(
    jobs: Sequence[Job], able: Mapping[str, float], slots: int
) -> tuple[int | None, ...]:
    """The start of each job; None: it does not fit on the grid, or waits for one that does not.

    Parameters
    ----------
    jobs : no job stands among its own forerunners, however far back.
    able : thing -> how much of it there is.
    slots : length of the grid.
    """
    return _Placing(jobs, Grid(able, slots)).starts()


class _Placing:
    def __init__(self, jobs: Sequence[Job], grid: Grid) -> None:
        self._jobs, self._grid = jobs, grid
        self._starts: list[int | None] = [None] * len(jobs)
        self._open = [len(job.after) for job in jobs]
        self._followers: list[list[int]] = [[] for _ in jobs]
        self._glued: dict[int, int] = {}
        for place, job in enumerate(jobs):
            for before in job.after:
                self._followers[before].append(place)
            if job.within is not None and len(job.after) == 1:
                self._glued.setdefault(job.after[0], place)

    def starts(self) -> tuple[int | None, ...]:
        """The start of each job."""
        ready: list[tuple[tuple[float, ...], int]] = []
        for place, job in enumerate(self._jobs):
            if job.fixed:
                self._put(place, job.earliest)
        for place, job in enumerate(self._jobs):
            if job.fixed:
                self._open_followers(place, ready)
            elif not job.after:
                heappush(ready, (job.rank, place))
        while ready:
            _, place = heappop(ready)
            if self._starts[place] is None:
                for done in self._place(place):
                    self._open_followers(done, ready)
        return tuple(self._starts)

    def _open_followers(self, place: int, ready: list[tuple[tuple[float, ...], int]]) -> None:
        for follower in self._followers[place]:
            self._open[follower] -= 1
            if not self._open[follower] and self._starts[follower] is None:
                heappush(ready, (self._jobs[follower].rank, follower))

    def _place(self, place: int) -> list[int]:
        # The job and all that is glued to it; what does not fit stays open, and its followers.
        run = [place]
        while run[-1] in self._glued:
            run.append(self._glued[run[-1]])
        found = self._run_starts(run, self._earliest(place))
        if found is None:
            return []
        for one, start in zip(run, found, strict=True):
            self._put(one, start)
        return run

    def _earliest(self, place: int) -> int:
        job = self._jobs[place]
        ends = [self._end(before) for before in job.after]
        return max([job.earliest, *ends])

    def _end(self, place: int) -> int:
        start = self._starts[place]
        return (start if start is not None else self._grid.slots) + self._jobs[place].slots

    def _run_starts(self, run: Sequence[int], start: int) -> list[int] | None:
        # Held back until each follows the one before within its longest wait.
        while True:
            found: list[int] = []
            end = start
            too_late = 0
            for place in run:
                job = self._jobs[place]
                at = self._grid.first(job, max(job.earliest, end))
                if at is None:
                    return None
                if found and job.within is not None:
                    too_late = max(0, at - job.within(end))
                if too_late:
                    break
                found.append(at)
                end = at + job.slots
            if not too_late:
                return found
            start = found[0] + too_late

    def _put(self, place: int, start: int) -> None:
        self._grid.take(self._jobs[place], start)
        self._starts[place] = start
