"""What happens to a piece on its way through the stages."""

from dataclasses import dataclass
from typing import Annotated, ClassVar

from pacewright.base.columns import Id, says
from pacewright.events.things import (
    Amount,
    Cause,
    Event,
    MaybeId,
    PhotoDigest,
    Piece,
    Place,
    Reading,
    Verdict,
    Words,
    YesNo,
)


@dataclass(frozen=True, slots=True)
class PieceEvent(Event):
    """Something that happened to a piece."""

    piece: Annotated[Piece, says("whole vehicle or assembly")]


@dataclass(frozen=True, slots=True)
class AtStage(PieceEvent):
    """Something that happened to a piece at the stage where it stands."""

    stage_id: Annotated[Id, says("stage")]


@dataclass(frozen=True, slots=True)
class Moved(AtStage):
    """A piece was put on a position of a stage and left where it stood before."""

    position: Annotated[Place, says("number of the position within the stage, from 1")]


@dataclass(frozen=True, slots=True)
class Stored(PieceEvent):
    """A piece was put off its position into a store or on the floor."""

    place_id: Annotated[Id, says("store, floor or yard")]


@dataclass(frozen=True, slots=True)
class WorkStarted(AtStage):
    """A trade began its work on a piece."""

    VERSION: ClassVar[int] = 2

    trade_id: Annotated[Id, says("trade")]
    operation_id: Annotated[
        MaybeId, says("operation begun; needed where it lifts or moves the vehicle")
    ] = ""


@dataclass(frozen=True, slots=True)
class WorkEnded(AtStage):
    """A trade ended its work on a piece."""

    trade_id: Annotated[Id, says("trade")]
    man_hours: Annotated[Amount | None, says("time spent [man-hours]; blank: not taken")] = None


@dataclass(frozen=True, slots=True)
class StageFinished(AtStage):
    """All work of the stage is done on the piece, and passed."""


@dataclass(frozen=True, slots=True)
class Failed(AtStage):
    """A piece did not pass at the end of a stage; it must be rectified."""

    reason: Annotated[Words, says("what failed")] = ""


@dataclass(frozen=True, slots=True)
class Rectified(AtStage):
    """What had failed was put right, and passed."""


@dataclass(frozen=True, slots=True)
class Redone(AtStage):
    """Work of the stage before was done again, the longest wait after it having run out."""


@dataclass(frozen=True, slots=True)
class Tested(PieceEvent):
    """One test item was read or judged; the last result of each item stands."""

    __test__: ClassVar[bool] = False

    item_id: Annotated[Id, says("test item")]
    passed: Annotated[YesNo, says("yes: it passed")]
    reading: Annotated[Reading | None, says("reading; blank: pass or fail only")] = None
    reading_unit: Annotated[Words, says("unit of the reading")] = ""


@dataclass(frozen=True, slots=True)
class Found(PieceEvent):
    """Strip inspection found this of an item of a piece; it makes the piece's scope."""

    VERSION: ClassVar[int] = 2

    item_id: Annotated[Id, says("what was inspected: operation, part or test item")]
    verdict: Annotated[Verdict, says("what is to be done")]
    measurement: Annotated[Reading | None, says("what was measured; blank: by eye")] = None
    limit: Annotated[Reading | None, says("limit it was held against; blank: none")] = None
    reading_unit: Annotated[Words, says("unit of both")] = ""
    photo: Annotated[PhotoDigest, says("SHA-256 of its photo, kept first; blank: none")] = ""


@dataclass(frozen=True, slots=True)
class Held(PieceEvent):
    """A piece stands, and why.

    A safety hold lasts until an authorised person frees the piece. Any other hold ends of itself
    when the piece moves or work on it starts.
    """

    cause: Annotated[Cause, says("why it stands")]
    waits_for: Annotated[MaybeId, says("unit kind, stage, trade or item it waits for")] = ""
    reason: Annotated[Words, says("in words")] = ""


@dataclass(frozen=True, slots=True)
class Freed(PieceEvent):
    """A hold on a piece ended."""

    cause: Annotated[Cause, says("which hold")]
    freed_by: Annotated[Words, says("who; must be named for a safety hold")] = ""


@dataclass(frozen=True, slots=True)
class PlaceEvent(Event):
    """Something that happened to a position or a bench."""

    place_id: Annotated[Id, says("stage of the position, or unit kind of the bench")]
    position: Annotated[Place, says("number of the position or bench, from 1")]


@dataclass(frozen=True, slots=True)
class PutOutOfUse(PlaceEvent):
    """A position or bench broke down or was closed; what stands there may leave."""

    reason: Annotated[Words, says("why")] = ""


@dataclass(frozen=True, slots=True)
class PutIntoUse(PlaceEvent):
    """A position or bench that was out of use is in use again."""
