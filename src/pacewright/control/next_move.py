"""A move that can be made now, and what blocks a piece that cannot make one."""

from dataclasses import dataclass
from datetime import date, datetime

from pacewright.events.things import Cause

MOVE, PART, MARRY, RELEASE = "move", "part", "marry", "ready for release"


@dataclass(frozen=True, slots=True)
class Move:
    """Something that can be done with a piece now; a person decides and books it.

    Parameters
    ----------
    what : ``move``, ``part``, ``marry`` or ``ready for release``.
    piece : whole vehicle or assembly, in words.
    vehicle_id : number it carries, or would go to.
    to_stage_id, position : where to; 0 where no position is taken.
    since : moment from which it could go.
    must_by : moment at which the longest wait allowed after its stage has run out; None: any wait.
    promise : current promise of its vehicle.
    """

    what: str
    piece: str
    vehicle_id: str
    from_stage_id: str
    to_stage_id: str
    position: int
    since: datetime | None
    must_by: datetime | None
    promise: date | None


@dataclass(frozen=True, slots=True)
class Blocked:
    """A piece that stands and can neither go on nor be worked on, and why.

    Parameters
    ----------
    stage_id, next_stage_id : where it stands, and where it wants to go; equal when the work there
        cannot go on.
    waits_for : unit kind, stage, trade or assembly.
    by : who or what is in the way, in words.
    opens : what opens it, in words.
    opens_day : when that is expected, on the clock; None: not known.
    since : moment from which it stands.
    must_by : as in ``Move``: when it has run out, the stage before is done again.
    """

    piece: str
    vehicle_id: str
    stage_id: str
    next_stage_id: str
    cause: Cause
    waits_for: str
    by: str
    opens: str
    opens_day: float | None
    since: datetime | None
    must_by: datetime | None = None


@dataclass(frozen=True)
class Moves:
    """What can move, what is blocked, and what is at work or may be worked on.

    ``at_work`` : somebody is at work on it, or its stage needs nobody (drying). ``to_work_on`` :
    stands on its stage, nothing is in the way, nobody is at work on it.
    """

    moves: tuple[Move, ...]
    blocked: tuple[Blocked, ...]
    at_work: tuple[str, ...]
    to_work_on: tuple[Blocked, ...]
