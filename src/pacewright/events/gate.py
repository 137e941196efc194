"""What happens to a vehicle at the gate of the works, and what is promised and read of it."""

from dataclasses import dataclass
from typing import Annotated

from pacewright.base.columns import Id, says
from pacewright.events.things import Amount, Day, Event, MaybeId, Who, Words


@dataclass(frozen=True, slots=True)
class VehicleEvent(Event):
    """Something that happened to a vehicle, whole or parted."""

    vehicle_id: Annotated[Id, says("vehicle number")]


@dataclass(frozen=True, slots=True)
class Called(VehicleEvent):
    """A vehicle was called in."""

    type_id: Annotated[Id, says("vehicle type")]
    depot_id: Annotated[Id, says("depot that sends it")]
    due_in: Annotated[Day, says("day it is to come")]


@dataclass(frozen=True, slots=True)
class CalledOff(VehicleEvent):
    """A vehicle that was called in and had not come is not awaited any more."""

    reason: Annotated[Words, says("why")] = ""


@dataclass(frozen=True, slots=True)
class Arrived(VehicleEvent):
    """A vehicle came to the gate."""

    type_id: Annotated[Id, says("vehicle type")]
    depot_id: Annotated[MaybeId, says("depot that sent it; blank: not said")] = ""


@dataclass(frozen=True, slots=True)
class Admitted(VehicleEvent):
    """A vehicle was let into the works."""


@dataclass(frozen=True, slots=True)
class TurnedBack(VehicleEvent):
    """A vehicle at the gate was sent back without being let in."""

    reason: Annotated[Words, says("why")] = ""


@dataclass(frozen=True, slots=True)
class Promised(VehicleEvent):
    """A release day was promised; the first of a visit is kept beside the current one."""

    release_day: Annotated[Day, says("day of release promised")]


@dataclass(frozen=True, slots=True)
class OdometerRead(VehicleEvent):
    """The odometer of a vehicle was read."""

    odometer: Annotated[Amount, says("reading [distance unit of the works]")]


@dataclass(frozen=True, slots=True)
class Released(VehicleEvent):
    """A vehicle left the works for service, on the signature of an authorised person."""

    signed_by: Annotated[Who, says("authorised person who released it")]


@dataclass(frozen=True, slots=True)
class Withdrawn(VehicleEvent):
    """A vehicle was taken out of the fleet for good; its number ends."""

    reason: Annotated[Words, says("why")]
