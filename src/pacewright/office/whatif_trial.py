"""One what-if run: what is asked of it, within which bounds, and how far it is."""

import threading
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from pathlib import Path
from tempfile import TemporaryDirectory

from pacewright.base.faults import WorksFaultyError
from pacewright.office.errors import CallError
from pacewright.office.whatif import read_changes
from pacewright.plans.change import Change
from pacewright.plans.comparison import Comparison
from pacewright.works import Works

LEAST_REPLICATIONS, USUAL_REPLICATIONS, MOST_REPLICATIONS = 10, 40, 200
LEAST_WEEKS, USUAL_WEEKS, MOST_WEEKS = 4, 26, 104
STARTS = {"now": "as it stands now", "steady": "in full swing, after it has settled",
          "empty": "empty"}  # fmt: skip
MOST_TEXT = 20_000
"""Letters of a change."""


class State(StrEnum):
    """How far a run is."""

    WAITING = "waits for another run"
    RUNNING = "is being run"
    DONE = "done"
    SHORTENED = "done, ended by the time limit"
    STOPPED = "stopped"
    FAILED = "not possible"

    @property
    def is_over(self) -> bool:
        """True when nothing more will come."""
        return self not in (State.WAITING, State.RUNNING)


@dataclass(frozen=True, slots=True)
class WhatIfAsked:
    """What is asked.

    Parameters
    ----------
    text : of a change file; ``name`` is that of the change.
    replications, weeks : see the bounds of this module. ``start`` : one of ``STARTS``.
    """

    name: str
    text: str
    replications: int = USUAL_REPLICATIONS
    weeks: int = USUAL_WEEKS
    start: str = "now"


@dataclass
class Trial:
    """One what-if run.

    Parameters
    ----------
    number : of the run, from 1. ``by`` : account of who asked; ``shown`` the name as read.
    place : last event of the record its base knows.
    differs : what differs from the works as it is, one line each.
    step, share : what is being done, and how much of it all is done.
    comparison : what it comes to; None: not there.
    why : why it failed, a line each.
    """

    number: int
    asked: WhatIfAsked
    by: str
    shown: str
    at: datetime
    place: int
    differs: tuple[str, ...]
    state: State = State.WAITING
    step: str = ""
    share: float = 0.0
    comparison: Comparison | None = None
    why: tuple[str, ...] = ()
    stop: threading.Event = field(default_factory=threading.Event)


def change_of(asked: WhatIfAsked, works: Works) -> Change:
    """The change that a text makes of the works.

    Raises
    ------
    WorksFaultyError : with every fault in it.
    """
    with TemporaryDirectory() as folder:
        path = Path(folder) / "change.toml"
        path.write_text(asked.text, encoding="utf-8")
        return read_changes([path], works)[0]


def refuse_wrong(asked: WhatIfAsked) -> None:
    """Refuse what lies outside the bounds.

    Raises
    ------
    CallError : with every bound that is broken, a line each.
    """
    faults = []
    if not 1 <= len(asked.name.strip()) <= 80 or not asked.name.isprintable():
        faults.append("name: 1 to 80 letters are wanted. Say in short what differs.")
    if len(asked.text) > MOST_TEXT:
        faults.append(f"change: it has {len(asked.text):,} letters, {MOST_TEXT:,} at most. Cut it.")
    for name, value, least, most in (
        ("replications", asked.replications, LEAST_REPLICATIONS, MOST_REPLICATIONS),
        ("weeks", asked.weeks, LEAST_WEEKS, MOST_WEEKS),
    ):
        if not least <= value <= most:
            faults.append(
                f"{name}: {value} found. A whole number from {least} to {most}. Correct it."
            )
    if asked.start not in STARTS:
        faults.append(f"start: {asked.start[:40]!r} found. Choose one of: {', '.join(STARTS)}.")
    if faults:
        raise CallError("\n".join(faults))


def faults_of(error: CallError | WorksFaultyError) -> Sequence[str]:
    """What is wrong, a sentence each."""
    return str(error).split("\n")
