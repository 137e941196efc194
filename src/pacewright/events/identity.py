"""How a vehicle comes apart, and which assemblies carry which vehicle number afterwards."""

from dataclasses import dataclass
from typing import Annotated, ClassVar

from pydantic import Field

from pacewright.base.columns import Id, says
from pacewright.events.gate import VehicleEvent
from pacewright.events.stages import PieceEvent
from pacewright.events.things import MaybeId, Piece, Words

Pieces = Annotated[tuple[Piece, ...], Field(min_length=1)]


@dataclass(frozen=True, slots=True)
class Stripped(VehicleEvent):
    """All that is to come off a vehicle is off."""


@dataclass(frozen=True, slots=True)
class Parted(VehicleEvent):
    """A vehicle was parted; all its pieces stand where it stood.

    The first piece is the lead: it keeps the vehicle number, and where it is the vehicle is.
    """

    pieces: Annotated[Pieces, says("its assemblies, the lead (the body) first")]


@dataclass(frozen=True, slots=True)
class Married(VehicleEvent):
    """A vehicle was made whole from its lead and other assemblies, of whatever origin."""

    pieces: Annotated[Pieces, says("its assemblies now, the lead first")]


@dataclass(frozen=True, slots=True)
class Renumbered(VehicleEvent):
    """The number of a parted vehicle was given to another body.

    A number that body had goes to the body given up, and is named so that it is meant.
    """

    lead: Annotated[Piece, says("assembly that gets the number")]
    other_vehicle_id: Annotated[MaybeId, says("number it had, which goes to the other")] = ""


@dataclass(frozen=True, slots=True)
class Modified(VehicleEvent):
    """A campaign was done on a vehicle; it stays done, and goes with the lead (the body)."""

    campaign_id: Annotated[Id, says("campaign")]


@dataclass(frozen=True, slots=True)
class PieceEntered(PieceEvent):
    """An assembly without a vehicle number was entered in the books: a spare body or bogie."""

    VERSION: ClassVar[int] = 2

    place_id: Annotated[Id, says("store, floor or yard")]
    type_id: Annotated[MaybeId, says("vehicle type it is made for; blank: not told")] = ""


@dataclass(frozen=True, slots=True)
class PieceScrapped(PieceEvent):
    """An assembly without a vehicle number was scrapped."""

    reason: Annotated[Words, says("why")]
