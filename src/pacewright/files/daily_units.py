"""Daily sheets of the units: removals, receipts, rejections, issues, fittings."""

from typing import Annotated, ClassVar

from pydantic.dataclasses import dataclass

from pacewright.base.columns import (
    ROW,
    CountOne,
    Day,
    Id,
    Name,
    Text,
    most,
    says,
)
from pacewright.events import units
from pacewright.events.things import Condition, Event
from pacewright.files.daily_cells import DayRow, Muddle, PieceCode, UnitCode, one_of


@dataclass(frozen=True, slots=True, config=ROW)
class Removal(DayRow):
    """A unit was taken off, and may have been sent to its shop at once."""

    TABLE: ClassVar[str] = "removals"

    unit: Annotated[UnitCode, says("unit taken off")]
    off: Annotated[PieceCode, says("vehicle or assembly it came off")]
    sent_to: Annotated[Id | None, says("shop or store it was sent to at once; blank: none")] = None

    def events(self) -> tuple[Event, ...]:
        off = units.Removed(self.at, self.unit, self.off)
        return (off, units.Sent(self.at, self.unit, self.sent_to)) if self.sent_to else (off,)


@dataclass(frozen=True, slots=True, config=ROW)
class Order(DayRow):
    """New units were ordered; each one bought counts against the oldest open order of its kind."""

    TABLE: ClassVar[str] = "orders"

    unit_kind_id: Annotated[Id, says("unit kind")]
    units: Annotated[CountOne, most(10**6), says("how many")]
    due_in: Annotated[Day, says("day on which the seller says they come in")]
    reference: Annotated[Text, says("number of the order")] = ""

    def events(self) -> tuple[Event, ...]:
        kind, due_in = self.unit_kind_id, self.due_in
        return (units.Ordered(self.at, kind, self.units, due_in, self.reference),)


@dataclass(frozen=True, slots=True, config=ROW)
class Receipt(DayRow):
    """A unit came to a store or shop, was made good there, bought, counted, or sent on."""

    TABLE: ClassVar[str] = "receipts"

    unit: Annotated[UnitCode, says("unit")]
    what: Annotated[
        str,
        one_of("received", "made-good", "bought", "counted", "sent"),
        says(
            "received: it is there now; made-good: its shop says it is serviceable; bought: new; "
            "counted: found in a store and not on the books; sent: on its way there"
        ),
    ]
    place_id: Annotated[Id, says("store or shop; for made-good the shop that did it")]
    condition: Annotated[
        str,
        one_of("serviceable", "unserviceable", "quarantine", ""),
        says("condition of a unit counted; else blank"),
    ] = ""

    def muddles(self) -> tuple[Muddle, ...]:
        if bool(self.condition) == (self.what == "counted"):
            return ()
        state = "is filled" if self.condition else "is blank"
        rule = "The condition is given for units counted, and for no others."
        remedy = "Blank it." if self.condition else "Fill it in."
        return (Muddle("condition", f"{state} where it was {self.what}", rule, remedy),)

    def events(self) -> tuple[Event, ...]:
        match self.what:
            case "made-good":
                return (units.Reconditioned(self.at, self.unit, self.place_id),)
            case "bought":
                return (units.Purchased(self.at, self.unit, self.place_id),)
            case "counted":
                condition = Condition(self.condition)
                return (units.UnitEntered(self.at, self.unit, condition, self.place_id),)
            case "sent":
                return (units.Sent(self.at, self.unit, self.place_id),)
        return (units.Received(self.at, self.unit, self.place_id),)


@dataclass(frozen=True, slots=True, config=ROW)
class Rejection(DayRow):
    """A unit was scrapped, set aside in quarantine, or cleared from there."""

    TABLE: ClassVar[str] = "rejections"

    unit: Annotated[UnitCode, says("unit")]
    what: Annotated[str, one_of("scrapped", "quarantined", "cleared"), says("what was decided")]
    decided_by: Annotated[Name, says("authorised person who decided it")]
    reason: Annotated[Text, says("why")] = ""

    def muddles(self) -> tuple[Muddle, ...]:
        if self.reason or self.what != "quarantined":
            return ()
        rule = "A unit is set aside for a reason."
        return (Muddle("reason", "is blank where it was quarantined", rule, "Fill it in."),)

    def events(self) -> tuple[Event, ...]:
        why = f"{self.reason} ({self.decided_by})".strip()
        match self.what:
            case "scrapped":
                return (units.Scrapped(self.at, self.unit, why),)
            case "quarantined":
                return (units.Quarantined(self.at, self.unit, why),)
        return (units.Cleared(self.at, self.unit, self.decided_by),)


@dataclass(frozen=True, slots=True, config=ROW)
class Issue(DayRow):
    """A serviceable unit was given out for one vehicle or assembly."""

    TABLE: ClassVar[str] = "issues"

    unit: Annotated[UnitCode, says("unit")]
    to: Annotated[PieceCode, says("vehicle or assembly it is for")]

    def events(self) -> tuple[Event, ...]:
        return (units.Issued(self.at, self.unit, self.to),)


@dataclass(frozen=True, slots=True, config=ROW)
class Fitting(DayRow):
    """A serviceable unit was fitted."""

    TABLE: ClassVar[str] = "fittings"

    unit: Annotated[UnitCode, says("unit")]
    onto: Annotated[PieceCode, says("vehicle or assembly it is on now")]

    def events(self) -> tuple[Event, ...]:
        return (units.Fitted(self.at, self.unit, self.onto),)
