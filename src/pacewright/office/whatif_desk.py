"""What-if runs of a desk: made in the background one at a time, kept while the server runs."""

import os
import threading
import time
from dataclasses import dataclass
from queue import SimpleQueue
from weakref import WeakKeyDictionary, ref

from pacewright.office.desk import Desk
from pacewright.office.errors import CallError, NoPlanError, NotFoundError
from pacewright.office.simulating import Asked
from pacewright.office.whatif import make_comparison
from pacewright.office.whatif_trial import State, Trial, WhatIfAsked, change_of, refuse_wrong
from pacewright.plans.change import Change
from pacewright.works import Works

MOST_KEPT = 20
"""Runs kept; of those that are over the oldest goes first."""

MOST_SECONDS = 300.0
"""A run is ended after so long, with the replications it has."""

TOO_LONG = (
    f"In {MOST_SECONDS / 60:g} minutes not one pair of replications was run. Ask for fewer "
    "weeks, or run it by the command 'pacewright compare' with the change file."
)


@dataclass(frozen=True)
class _Order:
    """A run to be made, with the works and the change of it, which are let go after it."""

    trial: Trial
    works: Works
    change: Change


class _StoppedError(Exception):
    """Somebody stopped the run."""


class Trials:
    """The what-if runs of one desk.

    Parameters
    ----------
    desk : works and record they start from; runs end when it closes.
    """

    def __init__(self, desk: Desk) -> None:
        # Not held: a desk that nobody holds any more goes, and its runs with it.
        self._desk_there = ref(desk)
        self._turn = threading.Lock()
        self._kept: dict[int, Trial] = {}
        self._number = 0
        self._queue: SimpleQueue[_Order] = SimpleQueue()
        self._worker: threading.Thread | None = None

    @property
    def _desk(self) -> Desk:
        desk = self._desk_there()
        if desk is None:
            raise _StoppedError
        return desk

    def all(self) -> tuple[Trial, ...]:
        """Every run, the newest first."""
        with self._turn:
            return tuple(sorted(self._kept.values(), key=lambda one: -one.number))

    def one(self, number: int) -> Trial:
        """A run by its number.

        Raises
        ------
        NotFoundError : there is none, or it was dropped.
        """
        with self._turn:
            found = self._kept.get(number)
        if found is None:
            raise NotFoundError(
                f"what-if {number}: there is none. Runs are kept while the server runs, "
                f"{MOST_KEPT} at most. Choose one of the list, or run it again."
            )
        return found

    def ask(self, asked: WhatIfAsked, by: str, shown: str) -> Trial:
        """Begin a run; it goes on whatever page is looked at.

        Raises
        ------
        WorksFaultyError : with every fault of the change.
        CallError : a bound is broken, or the person has a run that is not over.
        """
        refuse_wrong(asked)
        works, _ = self._desk.works_now()
        change = change_of(asked, works)
        if not change.differs:
            raise CallError(
                "change: nothing differs from the works as it is. Fill in another figure."
            )
        with self._turn:
            own = next((t for t in self._kept.values() if t.by == by and not t.state.is_over), None)
            if own is not None:
                raise CallError(
                    f"what-if {own.number} '{own.asked.name}' is not over. One run at a time for "
                    "a person. Wait for it, or stop it."
                )
            self._number += 1
            place = self._desk.head_place()
            now = self._desk.now()
            trial = Trial(self._number, asked, by, shown, now, place, change.differs)
            self._kept[trial.number] = trial
            self._make_room()
            if self._worker is None:
                self._worker = threading.Thread(target=self._work, daemon=True, name="what-if")
                self._worker.start()
        self._queue.put(_Order(trial, works, change))
        return trial

    def stop(self, number: int, by: str) -> None:
        """Stop a run of one's own; what it has run is lost.

        Raises
        ------
        NotFoundError : there is none. CallError : it is another person's.
        """
        trial = self._own(number, by, "stop")
        trial.stop.set()
        if trial.state is State.WAITING:
            trial.state = State.STOPPED

    def drop(self, number: int, by: str) -> None:
        """Forget a run of one's own; one that is not over is stopped.

        Raises
        ------
        As ``stop``.
        """
        trial = self._own(number, by, "drop")
        trial.stop.set()
        with self._turn:
            self._kept.pop(number, None)

    def _own(self, number: int, by: str, what: str) -> Trial:
        trial = self.one(number)
        if trial.by != by:
            raise CallError(
                f"what-if {number} is {trial.shown}'s. Everyone may look at it; only who asked "
                f"for it may {what} it. Ask {trial.shown}."
            )
        return trial

    def _make_room(self) -> None:
        over = [one.number for one in self._kept.values() if one.state.is_over]
        for number in sorted(over)[: max(0, len(self._kept) - MOST_KEPT)]:
            del self._kept[number]

    # -- the worker --------------------------------------------------------------------------

    def _work(self) -> None:
        while True:
            order = self._queue.get()
            if not order.trial.state.is_over and not order.trial.stop.is_set():
                self._run(order)
            del order

    def _run(self, order: _Order) -> None:
        trial = order.trial
        trial.state = State.RUNNING
        asked = Asked(
            replications=trial.asked.replications,
            weeks=trial.asked.weeks,
            start=trial.asked.start,
            # One processor is left for the pages.
            threads=max(1, (os.cpu_count() or 1) - 1),
        )
        watch = _Watch(order, self._desk)
        try:
            trial.comparison = make_comparison(order.works, [order.change], asked, watch)
            short = trial.comparison.interrupted
            trial.state = State.SHORTENED if short else State.DONE
        except _StoppedError:
            trial.state = State.STOPPED
        except (CallError, NoPlanError) as error:
            said = TOO_LONG if watch.too_long else str(error)
            trial.why, trial.state = tuple(said.split("\n")), State.FAILED
        except Exception as error:
            # The worker must outlive any run; what went wrong is told where the run is told of.
            trial.why = (f"{type(error).__name__}: {error}. Report it with the change file.",)
            trial.state = State.FAILED
        trial.share = 1.0


class _Watch:
    """Takes down how far a run is, and ends it when it is stopped or too long under way."""

    def __init__(self, order: _Order, desk: Desk) -> None:
        self._trial, self._desk, self._changed = order.trial, desk, f"{order.change.name}: "
        self._ends = time.monotonic() + MOST_SECONDS
        self.too_long = False

    def __call__(self, step: str, share: float) -> None:
        trial = self._trial
        if trial.stop.is_set() or self._desk.closing:
            raise _StoppedError
        if time.monotonic() > self._ends:
            # As Ctrl-C at the command line: the replications that are done count.
            self.too_long = True
            raise KeyboardInterrupt
        trial.step = step
        if "replication" in step:
            trial.share = max(trial.share, (share + step.startswith(self._changed)) / 2)


_OF: WeakKeyDictionary[Desk, Trials] = WeakKeyDictionary()
_OPENING = threading.Lock()


def trials_of(desk: Desk) -> Trials:
    """The what-if runs of a desk; one set for all who ask, whatever its tables become."""
    with _OPENING:
        return _OF.setdefault(desk, Trials(desk))
