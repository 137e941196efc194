"""What takes long is made aside, one at a time; the last one made is shown meanwhile."""

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

from pacewright.office.background import Background, Job

Made = TypeVar("Made")

TRY_AGAIN_SECONDS = 60.0
"""How long a thing that could not be made is not tried again."""


@dataclass(frozen=True, slots=True)
class Told(Generic[Made]):
    """What there is now.

    Parameters
    ----------
    made : the last one; None: there is none yet, or the last could not be made.
    being_made : a newer one is under way.
    why_not : why the last could not be made; empty: it could.
    """

    made: Made | None
    being_made: bool
    why_not: str


class Aside(Generic[Made]):
    """Makes one thing again and again, as it is asked for.

    Parameters
    ----------
    key : name of the thing in the background.
    keep_seconds : one so old is still given out though what it is made from has changed.
    """

    def __init__(self, key: str, keep_seconds: float) -> None:
        self._key, self._keep_seconds = key, keep_seconds
        self._turn = threading.Lock()
        self._made: Made | None = None
        self._why_not = ""
        self._mark: tuple[object, ...] = ()
        self._at = 0.0
        self._job: Job | None = None

    def look(
        self,
        background: Background,
        mark: tuple[object, ...],
        make: Callable[[], Made],
        wait_seconds: float = 0.0,
    ) -> Told[Made]:
        """The last one made; a newer one is begun when it is time.

        Parameters
        ----------
        mark : what it would be made from now; as long as it is the same nothing is made.
        wait_seconds : how long to wait for one that is under way.
        """
        with self._turn:
            self._take()
            if self._job is None and self._is_time(mark):
                self._job = background.ask(self._key, mark, make)
            job = self._job
        if job is not None and wait_seconds:
            job.done.wait(wait_seconds)
        with self._turn:
            self._take()
            return Told(self._made, self._job is not None, self._why_not)

    def _is_time(self, mark: tuple[object, ...]) -> bool:
        if mark == self._mark:
            return False
        keep = self._keep_seconds if self._made is not None else TRY_AGAIN_SECONDS
        return not self._mark or time.monotonic() - self._at > keep

    def _take(self) -> None:
        job = self._job
        if job is None or not job.done.is_set():
            return
        self._why_not = "" if job.error is None else str(job.error)
        self._made = job.made if job.error is None else self._made
        self._mark, self._at, self._job = job.mark, time.monotonic(), None
