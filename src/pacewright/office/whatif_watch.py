"""A what-if run under way: how far it is can be asked from outside, and it can be ended."""

import threading
import time

from pacewright.office.desk import Desk
from pacewright.office.errors import CallError
from pacewright.office.simulating import Asked
from pacewright.office.whatif import make_comparison
from pacewright.plans.change import Change
from pacewright.plans.comparison import Comparison
from pacewright.works import Works

MOST_SECONDS = 300.0
"""A run is ended after so long, with the replications it has."""

TOO_LONG = (
    f"In {MOST_SECONDS / 60:g} minutes not one pair of replications was run. Ask for fewer "
    "weeks, or run it by the command 'pacewright compare' with the change file."
)


class EndedError(Exception):
    """Somebody ended the run."""


class Watch:
    """Takes down how far a run is, and ends it when it is told to or too long under way.

    Parameters
    ----------
    change : name of the change.

    Attributes
    ----------
    step, share : what is being done, and how much of it all is done.
    end : set by who wants it ended.
    """

    def __init__(self, change: str) -> None:
        self.step, self.share = "", 0.0
        self.end = threading.Event()
        self.too_long = False
        self._changed = f"{change}: "
        self._ends = time.monotonic() + MOST_SECONDS

    def __call__(self, step: str, share: float) -> None:
        """Told by the run after every piece of work."""
        if self.end.is_set():
            raise EndedError
        if time.monotonic() > self._ends:
            # As Ctrl-C at the command line: the replications that are done count.
            self.too_long = True
            raise KeyboardInterrupt
        self.step = step
        if "replication" in step:
            self.share = max(self.share, (share + step.startswith(self._changed)) / 2)


_GOING: dict[str, Watch] = {}
"""Runs under way in this process, by key."""


def compared(_: Desk, key: str, works: Works, change: Change, asked: Asked) -> Comparison:
    """Run a change beside the works.

    Parameters
    ----------
    key : under which others ask how far it is.

    Raises
    ------
    EndedError : it was ended. CallError, NoPlanError : as ``make_comparison``; or it took too long.
    """
    watch = _GOING[key] = Watch(change.name)
    try:
        return make_comparison(works, [change], asked, watch)
    except CallError:
        if watch.too_long:
            raise CallError(TOO_LONG) from None
        raise
    finally:
        del _GOING[key]


def how_far(_: Desk, key: str, end: bool) -> tuple[str, float] | None:
    """What a run is doing, and how much of it all is done; None: it is not under way.

    Parameters
    ----------
    end : True ends it.
    """
    watch = _GOING.get(key)
    if watch is None:
        return None
    if end:
        watch.end.set()
    return watch.step, watch.share
