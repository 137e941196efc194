"""What takes seconds, made once in the background, so that no page waits for it."""

import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

MOST_KEPT = 20
"""Things kept; what was asked for longest ago goes first."""


@dataclass(slots=True)
class Job:
    """One thing that is made, or was.

    Parameters
    ----------
    mark : what it is made from; another mark makes it anew.
    made : the thing; None while it is being made, or when it failed.
    error : why it failed; None: it did not.
    done : set when it is there or has failed.
    """

    mark: tuple[object, ...]
    made: Any = None
    error: Exception | None = None
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
        """The job of a key; it is begun when there is none, or its mark is another.

        Parameters
        ----------
        wait_seconds : how long to wait for it, for what is mostly quick.
        """
        with self._turn:
            job = self._jobs.get(key)
            if job is None or job.mark != mark:
                job = self._jobs[key] = Job(mark)
                threading.Thread(target=self._run, args=(job, make), daemon=True).start()
            self._jobs.move_to_end(key)
            while len(self._jobs) > MOST_KEPT:
                self._jobs.popitem(last=False)
        job.done.wait(wait_seconds)
        return job

    def _run(self, job: Job, make: Callable[[], Any]) -> None:
        with self._one_at_a_time:
            try:
                job.made = make()
            except Exception as error:
                job.error = error
            finally:
                job.done.set()
