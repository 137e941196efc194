"""Daily sheets of the gate and the office: calls, arrivals, promises, releases, attendance."""

from typing import Annotated, ClassVar

from pydantic.dataclasses import dataclass

from pacewright.base.columns import (
    ROW,
    Day,
    Id,
    Name,
    Number,
    YesNo,
    most,
    says,
)
from pacewright.events import gate, identity, record
from pacewright.events.things import Event
from pacewright.files.daily_cells import DayRow


@dataclass(frozen=True, slots=True, config=ROW)
class Call(DayRow):
    """A vehicle was called in."""

    TABLE: ClassVar[str] = "calls"

    vehicle_id: Annotated[Id, says("vehicle number")]
    type_id: Annotated[Id, says("vehicle type")]
    depot_id: Annotated[Id, says("depot that sends it")]
    due_in: Annotated[Day, says("day it is to come")]

    def events(self) -> tuple[Event, ...]:
        return (gate.Called(self.at, self.vehicle_id, self.type_id, self.depot_id, self.due_in),)


@dataclass(frozen=True, slots=True, config=ROW)
class Arrival(DayRow):
    """A vehicle came to the gate, and may have been let in at once."""

    TABLE: ClassVar[str] = "arrivals"

    vehicle_id: Annotated[Id, says("vehicle number")]
    type_id: Annotated[Id, says("vehicle type")]
    depot_id: Annotated[Id | None, says("depot that sent it; blank: not said")] = None
    odometer: Annotated[
        Number | None, says("odometer read at the gate; blank: not read [distance unit]")
    ] = None
    let_in: Annotated[YesNo, says("yes: let into the works at the same time")] = False

    def events(self) -> tuple[Event, ...]:
        found: list[Event] = [
            gate.Arrived(self.at, self.vehicle_id, self.type_id, self.depot_id or "")
        ]
        if self.odometer is not None:
            found.append(gate.OdometerRead(self.at, self.vehicle_id, self.odometer))
        if self.let_in:
            found.append(gate.Admitted(self.at, self.vehicle_id))
        return tuple(found)


@dataclass(frozen=True, slots=True, config=ROW)
class Admission(DayRow):
    """A vehicle at the gate was let into the works."""

    TABLE: ClassVar[str] = "admissions"

    vehicle_id: Annotated[Id, says("vehicle number")]

    def events(self) -> tuple[Event, ...]:
        return (gate.Admitted(self.at, self.vehicle_id),)


@dataclass(frozen=True, slots=True, config=ROW)
class OdometerReading(DayRow):
    """An odometer was read; the row may come late."""

    TABLE: ClassVar[str] = "odometer"

    vehicle_id: Annotated[Id, says("vehicle number")]
    odometer: Annotated[Number, says("reading [distance unit]")]

    def events(self) -> tuple[Event, ...]:
        return (gate.OdometerRead(self.at, self.vehicle_id, self.odometer),)


@dataclass(frozen=True, slots=True, config=ROW)
class Promise(DayRow):
    """A day of release was promised; the first of a visit is kept beside the current one."""

    TABLE: ClassVar[str] = "promises"

    vehicle_id: Annotated[Id, says("vehicle number")]
    release_day: Annotated[Day, says("day of release promised")]

    def events(self) -> tuple[Event, ...]:
        return (gate.Promised(self.at, self.vehicle_id, self.release_day),)


@dataclass(frozen=True, slots=True, config=ROW)
class Modification(DayRow):
    """A campaign was done on a vehicle."""

    TABLE: ClassVar[str] = "modifications"

    vehicle_id: Annotated[Id, says("vehicle number")]
    campaign_id: Annotated[Id, says("campaign")]

    def events(self) -> tuple[Event, ...]:
        return (identity.Modified(self.at, self.vehicle_id, self.campaign_id),)


@dataclass(frozen=True, slots=True, config=ROW)
class Release(DayRow):
    """A vehicle left the works for service, on the signature of an authorised person."""

    TABLE: ClassVar[str] = "releases"

    vehicle_id: Annotated[Id, says("vehicle number")]
    signed_by: Annotated[Name, says("authorised person who released it")]

    def events(self) -> tuple[Event, ...]:
        return (gate.Released(self.at, self.vehicle_id, self.signed_by),)


@dataclass(frozen=True, slots=True, config=ROW)
class Attendance(DayRow):
    """So many of a trade attended in a shop on a day; the last row for the day counts."""

    TABLE: ClassVar[str] = "attendance"

    shop_id: Annotated[Id, says("shop")]
    trade_id: Annotated[Id, says("trade")]
    people: Annotated[Number, most(100_000), says("people present")]
    hours: Annotated[Number, most(1_000_000), says("hours they attended together [man-hours]")]

    def events(self) -> tuple[Event, ...]:
        told = self.shop_id, self.trade_id, self.date, self.people, self.hours
        return (record.Attended(self.at, *told),)
