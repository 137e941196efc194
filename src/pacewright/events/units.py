"""What happens to a unit, from removal to fitting."""

from dataclasses import dataclass
from typing import Annotated, ClassVar

from pacewright.base.columns import Id, says
from pacewright.events.things import (
    Amount,
    Condition,
    Day,
    Event,
    MaybeId,
    Moment,
    PhotoDigest,
    Piece,
    Place,
    Reading,
    Unit,
    Verdict,
    Who,
    Words,
)


@dataclass(frozen=True, slots=True)
class UnitEvent(Event):
    """Something that happened to a unit."""

    unit: Annotated[Unit, says("unit kind and serial")]


@dataclass(frozen=True, slots=True)
class UnitEntered(UnitEvent):
    """A unit was entered in the books, as the count of a store found it."""

    condition: Annotated[Condition, says("condition")]
    place_id: Annotated[Id, says("store, shop or site")]


@dataclass(frozen=True, slots=True)
class Ordered(Event):
    """New units of a kind were ordered; those that come in count against its oldest open order."""

    unit_kind_id: Annotated[Id, says("unit kind")]
    units: Annotated[Place, says("how many")]
    due_in: Annotated[Day, says("day on which the seller says they come in")]
    reference: Annotated[Words, says("number of the order")] = ""


@dataclass(frozen=True, slots=True)
class Purchased(UnitEvent):
    """A new unit came in, ready to fit."""

    place_id: Annotated[Id, says("store")]


@dataclass(frozen=True, slots=True)
class AgeTold(UnitEvent):
    """What a unit has behind it was read from its plate or papers: when made, how far it ran."""

    told_by: Annotated[Who, says("who read it")]
    made_on: Annotated[Day | None, says("day it was new; blank: not known")] = None
    used_distance: Annotated[
        Amount | None,
        says("distance run from new until then; blank: not known [distance unit of the works]"),
    ] = None


@dataclass(frozen=True, slots=True)
class Removed(UnitEvent):
    """A unit was taken off; it is unserviceable, and one of its kind is owed."""

    off: Annotated[Piece, says("what it was taken off")]


@dataclass(frozen=True, slots=True)
class SeenOn(UnitEvent):
    """A unit was seen on a vehicle or assembly, whatever the books said: changed at a depot."""

    on: Annotated[Piece, says("what it was seen on")]
    seen_by: Annotated[Who, says("who read its serial there")]


@dataclass(frozen=True, slots=True)
class Missed(UnitEvent):
    """A unit the books have on a vehicle or assembly is not on it: changed at a depot.

    It is in quarantine until it turns up; nothing is owed for it, since another is in its place.
    """

    off: Annotated[Piece, says("what it is not on")]
    seen_by: Annotated[Who, says("who looked")]
    place_id: Annotated[
        MaybeId, says("depot or store where it is thought to be; blank: unknown")
    ] = ""


@dataclass(frozen=True, slots=True)
class Sent(UnitEvent):
    """A unit left for a shop, store or site."""

    place_id: Annotated[Id, says("where to")]


@dataclass(frozen=True, slots=True)
class Received(UnitEvent):
    """A unit came to a shop, store or site; a unit given back is no longer issued."""

    place_id: Annotated[Id, says("where it is now")]


@dataclass(frozen=True, slots=True)
class UnitFound(UnitEvent):
    """Inspection found this of an item of a unit.

    A verdict can take a unit out of use; it never puts one into use.
    """

    VERSION: ClassVar[int] = 2

    item_id: Annotated[Id, says("what was inspected")]
    verdict: Annotated[Verdict, says("what is to be done")]
    measurement: Annotated[Reading | None, says("what was measured; blank: by eye")] = None
    limit: Annotated[Reading | None, says("limit it was held against; blank: none")] = None
    reading_unit: Annotated[Words, says("unit of both")] = ""
    photo: Annotated[PhotoDigest, says("SHA-256 of its photo, kept first; blank: none")] = ""


@dataclass(frozen=True, slots=True)
class Reconditioned(UnitEvent):
    """A unit was made good, or found good, by its shop: it is serviceable."""

    shop_id: Annotated[MaybeId, says("shop that made it good")] = ""


@dataclass(frozen=True, slots=True)
class Scrapped(UnitEvent):
    """A unit that cannot be made good was done away with."""

    reason: Annotated[Words, says("why")] = ""


@dataclass(frozen=True, slots=True)
class Quarantined(UnitEvent):
    """A unit was set aside: not to be fitted, repaired or scrapped until it is cleared."""

    reason: Annotated[Words, says("why")]


@dataclass(frozen=True, slots=True)
class Cleared(UnitEvent):
    """A unit came out of quarantine, unserviceable until its shop says otherwise."""

    cleared_by: Annotated[Who, says("authorised person")]


@dataclass(frozen=True, slots=True)
class Issued(UnitEvent):
    """A serviceable unit was given out for one vehicle or assembly and for no other."""

    to: Annotated[Piece, says("vehicle or assembly it is meant for")]


@dataclass(frozen=True, slots=True)
class Fitted(UnitEvent):
    """A serviceable unit was fitted."""

    onto: Annotated[Piece, says("vehicle or assembly")]


@dataclass(frozen=True, slots=True)
class RobbingAsked(UnitEvent):
    """One approved taking a serviceable unit from one for another; it waits for a second."""

    off: Annotated[Piece, says("what it would be taken from")]
    to: Annotated[Piece, says("what it would be for")]
    approved_by: Annotated[Who, says("first approval, by name")]
    until: Annotated[Moment, says("until when a second may approve, works clock")]
    reason: Annotated[Words, says("why")] = ""


@dataclass(frozen=True, slots=True)
class RobbingDeclined(UnitEvent):
    """A robbing that waited for a second approval was refused, or withdrawn by who asked."""

    declined_by: Annotated[Who, says("who refuses it, or withdraws what he asked")]
    reason: Annotated[Words, says("why")] = ""


@dataclass(frozen=True, slots=True)
class Robbed(UnitEvent):
    """A serviceable unit, fitted or issued, was taken from one for another; two approved it."""

    off: Annotated[Piece, says("what it was taken from")]
    to: Annotated[Piece, says("what it is for now")]
    approved_by: Annotated[Who, says("first approval, by name")]
    second_approval: Annotated[Who, says("second approval, by another name")]
    reason: Annotated[Words, says("why")] = ""
