"""Events about the record itself, attendance and factors, and how a record keeps events."""

from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import Field

from pacewright.base.columns import Id, Name, says
from pacewright.events.stages import PieceEvent
from pacewright.events.things import Amount, Day, Event, Overridable, Who, Words, YesNo


@dataclass(frozen=True, slots=True)
class Attended(Event):
    """So many of a trade attended in a shop on a day; the last word for the day stands."""

    shop_id: Annotated[Id, says("shop")]
    trade_id: Annotated[Id, says("trade")]
    day: Annotated[Day, says("day")]
    people: Annotated[Amount, says("people present")]
    hours: Annotated[Amount, says("hours attended by them together [man-hours]")]


@dataclass(frozen=True, slots=True)
class Overridden(PieceEvent):
    """An authorised person set a rule aside for a piece, once."""

    rule: Annotated[Overridable, says("which rule")]
    reason: Annotated[Annotated[Words, Field(min_length=1)], says("why")]
    authorised_by: Annotated[Who, says("authorised person")]


@dataclass(frozen=True, slots=True)
class Corrected(Event):
    """An earlier event is mended: the events given here stand in its place.

    Nothing in its place voids it; two put a forgotten one beside it.
    """

    mends: Annotated[
        Annotated[str, Field(min_length=1, max_length=80)], says("event id of the event mended")
    ]
    instead: Annotated[
        tuple[dict[str, Any], ...], says("what happened in truth, as written events; may be none")
    ]
    reason: Annotated[Annotated[Words, Field(min_length=1)], says("why")]


@dataclass(frozen=True, slots=True)
class FactorDecided(Event):
    """A figure that the record proposed for a table of the works was accepted or rejected."""

    table: Annotated[Id, says("table")]
    row: Annotated[Name, says("key of the row, its parts with a blank between")]
    column: Annotated[Id, says("column")]
    old: Annotated[Words, says("what stood in the cell")]
    new: Annotated[Name, says("what was proposed")]
    accepted: Annotated[YesNo, says("yes: the cell was rewritten; no: it stays")]
    sample: Annotated[Amount, says("how many the proposal was counted on")]
    decided_by: Annotated[Who, says("who decided")]
    reason: Annotated[Words, says("why")] = ""


@dataclass(frozen=True, slots=True)
class Recorded:
    """An event with the id under which a record keeps it.

    Parameters
    ----------
    event_id : unique within the record, given by the writer so that sending twice is harmless.
    event : what happened.
    """

    event_id: str
    event: Event
