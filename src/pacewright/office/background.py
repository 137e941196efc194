"""What takes seconds, made once in the background, so that no page waits for it."""

import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from pacewright.base.faults import CallError

MOST_KEPT = 20
"""Things kept; what was asked for longest ago goes first."""

RETRY_SECONDS = 20.0
"""What failed is tried again after so long, though nothing it is made from has changed."""


@dataclass(slots=True)
class Job:
    """One thing that is made, or was.

    Parameters
    ----------
    mark : what it is made from; another mark makes it anew.
    made : the thing; None while it is being made, or when it failed.
    error : why it failed; None: it did not.
    done : set when it is there or has failed; ``at`` the moment, by the clock of the machine.
    seconds : how long making it took. ``begun`` : when it was asked for, by the same clock.
    before : the last one of its key that was made, to be shown meanwhile; None: there was none.
    """

    mark: tuple[object, ...]
    before: "Job | None" = None
    begun: float = field(default_factory=time.monotonic)
    made: Any = None
    error: Exception | None = None
    at: float = 0.0
    seconds: float = 0.0
    done: threading.Event = field(default_factory=threading.Event)

    def there(self) -> bool:
        """Whether it is there; what failed on the way is raised.

        Raises
        ------
        Exception : whatever making it raised.
        """
        if not self.done.is_set():
            return False
        if self.error is not None:
            raise self.error
        return True

    def age_seconds(self) -> float:
        """How long ago it was made."""
        return time.monotonic() - self.at


class Background:
    """Makes one thing at a time, in the order asked for, and keeps the latest of each key."""

    def __init__(self) -> None:
        self._jobs: OrderedDict[object, Job] = OrderedDict()
        self._turn = threading.Lock()
        self._one_at_a_time = threading.Lock()

    def ask(
        self,
        key: object,
        mark: tuple[object, ...],
        make: Callable[[], Any],
        wait_seconds: float = 0.0,
    ) -> Job:
        """The job of a key; it is begun when there is none, or when its mark is another.

        While one of the key is being made it is the answer whatever its mark, so that a mark that
        changes faster than the thing is made does not pile up work.

        Parameters
        ----------
        wait_seconds : how long after it was begun it is waited for, for what is mostly quick: who
            asks later, or again, does not wait anew.
        """
        with self._turn:
            job = self._jobs.get(key)
            if job is None or (job.done.is_set() and _is_old(job, mark)):
                job = self._jobs[key] = Job(mark, _last_made(job))
                threading.Thread(target=self._run, args=(job, make), daemon=True).start()
            self._jobs.move_to_end(key)
            while len(self._jobs) > MOST_KEPT:
                self._jobs.popitem(last=False)
        job.done.wait(max(0.0, wait_seconds - (time.monotonic() - job.begun)))
        return job

    def last(self, key: object) -> Job | None:
        """The last one of a key that was made; None: there is none."""
        with self._turn:
            job = self._jobs.get(key)
        return job if job is None or (job.done.is_set() and job.error is None) else job.before

    def _run(self, job: Job, make: Callable[[], Any]) -> None:
        with self._one_at_a_time:
            began = time.monotonic()
            try:
                self._refuse_given_up(job)
                job.made = make()
            except Exception as error:
                job.error = error
            finally:
                job.at = time.monotonic()
                job.seconds = job.at - began
                job.done.set()

    def _refuse_given_up(self, job: Job) -> None:
        """Whoever asks for more than is kept must not keep all others waiting for it."""
        with self._turn:
            if not any(one is job for one in self._jobs.values()):
                raise CallError(
                    f"More than {MOST_KEPT} things were asked for at once, and this one was given "
                    "up for others. Ask again."
                )


def _is_old(job: Job, mark: tuple[object, ...]) -> bool:
    return job.mark != mark or (job.error is not None and job.age_seconds() > RETRY_SECONDS)


def _last_made(job: Job | None) -> Job | None:
    last = job if job is None or job.error is None else job.before
    if last is not None:
        # Only the last one is kept: a chain of all there ever were would never be given back.
        last.before = None
    return last
