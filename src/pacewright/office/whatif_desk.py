"""What-if runs of a desk: made in the background one at a time, kept while the server runs."""

import os
import secrets
import threading
from contextlib import suppress
from dataclasses import dataclass
from queue import SimpleQueue
from weakref import WeakKeyDictionary, ref

from pacewright.office.desk import Desk
from pacewright.office.errors import CallError, NoPlanError, NotFoundError
from pacewright.office.simulating import Asked
from pacewright.office.whatif_trial import State, Trial, WhatIfAsked, change_of, refuse_wrong
from pacewright.office.whatif_watch import EndedError, compared, how_far
from pacewright.plans.change import Change
from pacewright.works import Works

MOST_KEPT = 20
"""Runs kept; of those that are over the oldest goes first."""

LOOK_SECONDS = 0.25
"""How often it is asked how far a run is."""


@dataclass(frozen=True)
class _Order:
    """A run to be made, with the works and the change of it, which are let go after it."""

    trial: Trial
    works: Works
    change: Change


class _DeskGoneError(Exception):
    """The desk is closed and gone."""


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
            raise _DeskGoneError
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
        key, over = secrets.token_hex(8), threading.Event()
        threading.Thread(target=self._look, args=(trial, key, over), daemon=True).start()
        try:
            trial.comparison = self._desk.apart(compared, key, order.works, order.change, asked)
            short = trial.comparison.interrupted
            trial.state = State.SHORTENED if short else State.DONE
        except (EndedError, _DeskGoneError):
            trial.state = State.STOPPED
        except (CallError, NoPlanError) as error:
            trial.why, trial.state = tuple(str(error).split("\n")), State.FAILED
        except Exception as error:
            # The worker must outlive any run; what went wrong is told where the run is told of.
            trial.why = (f"{type(error).__name__}: {error}. Report it with the change file.",)
            trial.state = State.FAILED
        finally:
            over.set()
        trial.share = 1.0

    def _look(self, trial: Trial, key: str, over: threading.Event) -> None:
        """Take down how far a run is until it is over, and hand on that it is to be ended."""
        # Without the process in which it ran, the run itself tells what became of it.
        with suppress(CallError, _DeskGoneError, OSError, EOFError):
            while not over.wait(LOOK_SECONDS):
                end = trial.stop.is_set() or self._desk.closing
                found = self._desk.apart(how_far, key, end)
                if found is not None and not over.is_set():
                    trial.step, trial.share = found


_OF: WeakKeyDictionary[Desk, Trials] = WeakKeyDictionary()
_OPENING = threading.Lock()


def trials_of(desk: Desk) -> Trials:
    """The what-if runs of a desk; one set for all who ask, whatever its tables become."""
    with _OPENING:
        return _OF.setdefault(desk, Trials(desk))
