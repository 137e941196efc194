"""Daily sheets of the floor: work, moves, parting and marriage, inspections, tests, holds."""

from typing import Annotated, ClassVar

from pydantic.dataclasses import dataclass

from pacewright.base.columns import (
    ROW,
    CountOne,
    Id,
    Number,
    Signed,
    Text,
    YesNo,
    most,
    says,
)
from pacewright.events import identity, stages, units
from pacewright.events.things import Cause, Event, Verdict
from pacewright.files.daily_cells import DayRow, Muddle, PieceCode, PieceCodes, UnitCode, one_of


@dataclass(frozen=True, slots=True, config=ROW)
class Work(DayRow):
    """A trade began or ended its work on a piece, or the piece failed or was put right there."""

    TABLE: ClassVar[str] = "work"

    piece: Annotated[PieceCode, says("vehicle or assembly")]
    stage_id: Annotated[Id, says("stage where it stands")]
    what: Annotated[
        str, one_of("started", "ended", "failed", "rectified"), says("what happened to the work")
    ]
    trade_id: Annotated[Id | None, says("trade; needed for started and ended")] = None
    operation_id: Annotated[
        Id | None, says("operation started; needed where it lifts or moves the vehicle")
    ] = None
    man_hours: Annotated[
        Number | None, most(10_000), says("time spent, when it ended; blank: not taken [man-hours]")
    ] = None
    reason: Annotated[Text, says("what failed")] = ""

    def muddles(self) -> tuple[Muddle, ...]:
        if self.trade_id is not None or self.what not in ("started", "ended"):
            return ()
        rule = "Work is started and ended by a trade."
        return (Muddle("trade_id", f"is blank where work {self.what}", rule, "Fill it in."),)

    def events(self) -> tuple[Event, ...]:
        here, trade = (self.at, self.piece, self.stage_id), self.trade_id or ""
        match self.what:
            case "started":
                return (stages.WorkStarted(*here, trade, self.operation_id or ""),)
            case "ended":
                return (stages.WorkEnded(*here, trade, self.man_hours),)
            case "failed":
                return (stages.Failed(*here, self.reason),)
        return (stages.Rectified(*here),)


@dataclass(frozen=True, slots=True, config=ROW)
class Move(DayRow):
    """A piece finished its stage, was put on a position of another or into a store, or both."""

    TABLE: ClassVar[str] = "moves"

    piece: Annotated[PieceCode, says("vehicle or assembly")]
    finished_stage_id: Annotated[
        Id | None, says("stage where it stood, if all work of that stage is done and passed")
    ] = None
    to_stage_id: Annotated[Id | None, says("stage it was moved to; then give position")] = None
    position: Annotated[
        Annotated[CountOne, most(10**6)] | None, says("number of the position there, from 1")
    ] = None
    to_place_id: Annotated[
        Id | None, says("store, floor or yard it was put in, off its position")
    ] = None

    def muddles(self) -> tuple[Muddle, ...]:
        found = []
        if (self.to_stage_id is None) != (self.position is None):
            blank = "position" if self.position is None else "to_stage_id"
            rule = "A move to a stage names the stage and the position."
            found.append(Muddle(blank, "is blank", rule, "Fill it in, or blank the other."))
        if self.to_stage_id is not None and self.to_place_id is not None:
            rule = "A piece is moved to a stage or into a store."
            told = f"{self.to_place_id} beside stage {self.to_stage_id}"
            found.append(Muddle("to_place_id", told, rule, "Blank one of the two."))
        told_of = self.finished_stage_id, self.to_stage_id, self.to_place_id, self.position
        if not any(told_of):
            rule = "A row tells of a stage finished, of a move, or of both."
            found.append(Muddle("to_stage_id", "is blank, and so is all else", rule, "Fill it in."))
        return tuple(found)

    def events(self) -> tuple[Event, ...]:
        found: list[Event] = []
        if self.finished_stage_id is not None:
            found.append(stages.StageFinished(self.at, self.piece, self.finished_stage_id))
        if self.to_stage_id is not None and self.position is not None:
            found.append(stages.Moved(self.at, self.piece, self.to_stage_id, self.position))
        if self.to_place_id is not None:
            found.append(stages.Stored(self.at, self.piece, self.to_place_id))
        return tuple(found)


@dataclass(frozen=True, slots=True, config=ROW)
class Assembled(DayRow):
    """A vehicle was stripped of all that comes off, parted into assemblies, or married."""

    TABLE: ClassVar[str] = "assemblies"

    vehicle_id: Annotated[Id, says("vehicle number")]
    what: Annotated[str, one_of("stripped", "parted", "married"), says("what was done")]
    pieces: Annotated[
        PieceCodes, says("its assemblies, the body first; blank only when stripped")
    ] = ()

    def muddles(self) -> tuple[Muddle, ...]:
        if bool(self.pieces) != (self.what == "stripped"):
            return ()
        state = "is filled" if self.pieces else "is blank"
        rule = "A vehicle is parted into, and married from, the assemblies named; not so stripped."
        remedy = "Name every assembly of the vehicle." if not self.pieces else "Blank it."
        return (Muddle("pieces", f"{state} where it was {self.what}", rule, remedy),)

    def events(self) -> tuple[Event, ...]:
        match self.what:
            case "parted":
                return (identity.Parted(self.at, self.vehicle_id, self.pieces),)
            case "married":
                return (identity.Married(self.at, self.vehicle_id, self.pieces),)
        return (identity.Stripped(self.at, self.vehicle_id),)


@dataclass(frozen=True, slots=True, config=ROW, kw_only=True)
class Inspection(DayRow):
    """What strip inspection found of an item of a vehicle, an assembly or a unit.

    A row without a verdict was not looked at and tells nothing.
    """

    TABLE: ClassVar[str] = "inspections"

    piece: Annotated[PieceCode | None, says("vehicle or assembly; or give unit")] = None
    unit: Annotated[UnitCode | None, says("unit; or give piece")] = None
    item_id: Annotated[Id, says("what was inspected: operation, unit kind or test item")]
    item: Annotated[Text, says("its name and limits, for the reader; not kept")] = ""
    verdict: Annotated[
        str,
        one_of("use", "repair", "replace", "scrap", ""),
        says("what is to be done; blank: not looked at"),
    ] = ""
    measurement: Annotated[Signed | None, says("what was measured; blank: by eye")] = None
    limit: Annotated[Signed | None, says("limit it was held against; blank: none")] = None
    reading_unit: Annotated[Text, says("unit of both")] = ""

    def muddles(self) -> tuple[Muddle, ...]:
        if self.measurement is not None and not self.verdict:
            rule = "What was measured was judged."
            return (Muddle("verdict", "is blank beside a measurement", rule, "Fill it in."),)
        if (self.piece is None) != (self.unit is None) or not self.verdict:
            return ()
        state = "both blank" if self.piece is None else "both filled"
        rule = "A finding is about a vehicle or assembly, or about a unit."
        return (Muddle("unit", f"piece and unit are {state}", rule, "Fill in one of the two."),)

    def events(self) -> tuple[Event, ...]:
        if not self.verdict:
            return ()
        said = (
            self.item_id,
            Verdict(self.verdict),
            self.measurement,
            self.limit,
            self.reading_unit,
        )
        if self.piece is not None:
            return (stages.Found(self.at, self.piece, *said),)
        if self.unit is not None:
            return (units.UnitFound(self.at, self.unit, *said),)
        return ()


@dataclass(frozen=True, slots=True, config=ROW)
class Test(DayRow):
    """A test item was read or judged; the last result of each item stands."""

    TABLE: ClassVar[str] = "tests"
    __test__: ClassVar[bool] = False

    piece: Annotated[PieceCode, says("vehicle or assembly")]
    item_id: Annotated[Id, says("test item")]
    passed: Annotated[YesNo, says("yes: it passed")]
    reading: Annotated[Signed | None, says("reading; blank: pass or fail only")] = None
    reading_unit: Annotated[Text, says("unit of the reading; blank: that of the item")] = ""

    def events(self) -> tuple[Event, ...]:
        result = self.item_id, self.passed, self.reading, self.reading_unit
        return (stages.Tested(self.at, self.piece, *result),)


@dataclass(frozen=True, slots=True, config=ROW)
class Breakdown(DayRow):
    """A position or bench broke down or was closed, or is in use again."""

    TABLE: ClassVar[str] = "breakdowns"

    place_id: Annotated[Id, says("stage of the position, or unit kind of the bench")]
    position: Annotated[CountOne, most(10**6), says("number of the position or bench, from 1")]
    what: Annotated[str, one_of("out-of-use", "in-use"), says("what it is from now on")]
    reason: Annotated[Text, says("why it is out of use")] = ""

    def events(self) -> tuple[Event, ...]:
        if self.what == "in-use":
            return (stages.PutIntoUse(self.at, self.place_id, self.position),)
        return (stages.PutOutOfUse(self.at, self.place_id, self.position, self.reason),)


@dataclass(frozen=True, slots=True, config=ROW)
class Hold(DayRow):
    """A piece stands, and why; or a hold on it ended."""

    TABLE: ClassVar[str] = "holds"

    piece: Annotated[PieceCode, says("vehicle or assembly")]
    cause: Annotated[str, one_of(*(one.value for one in Cause)), says("why it stands")]
    waits_for: Annotated[
        Id | None, says("unit kind, stage, trade or item it waits for; blank: not said")
    ] = None
    reason: Annotated[Text, says("in words")] = ""
    ended: Annotated[YesNo, says("yes: the hold ended, not began")] = False
    freed_by: Annotated[
        Text, says("who ended it; must be an authorised person for a safety hold")
    ] = ""

    def muddles(self) -> tuple[Muddle, ...]:
        if self.ended or not self.freed_by:
            return ()
        rule = "freed_by names who ended a hold."
        return (Muddle("ended", "is no, beside freed_by", rule, "Write yes, or blank freed_by."),)

    def events(self) -> tuple[Event, ...]:
        cause = Cause(self.cause)
        if self.ended:
            return (stages.Freed(self.at, self.piece, cause, self.freed_by),)
        return (stages.Held(self.at, self.piece, cause, self.waits_for or "", self.reason),)
