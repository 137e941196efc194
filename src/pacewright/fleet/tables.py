"""The tables that describe the fleet."""

from typing import Annotated, ClassVar, Literal

from pydantic.dataclasses import dataclass

from pacewright.base.columns import (
    ROW,
    Count,
    CountOne,
    Day,
    Id,
    Name,
    Number,
    Positive,
    Refers,
    Rule,
    Share,
    says,
)

State = Annotated[
    Literal["running", "standing", "inside", "withdrawn"],
    Rule("running, standing, inside or withdrawn.", "Write one of these."),
]


@dataclass(frozen=True, slots=True, config=ROW)
class VehicleType:
    """A type of vehicle and the interval after which it must pass through the works."""

    TABLE: ClassVar[str] = "vehicle_types"
    KEY: ClassVar[tuple[str, ...]] = ("type_id",)

    type_id: Annotated[Id, says("type")]
    name: Annotated[Name, says("name")]
    turn_days: Annotated[Positive, says("promised time from gate-in to release [working days]")]
    interval_months: Annotated[
        Positive | None, says("time allowed between overhauls [months]; blank: time does not count")
    ] = None
    interval_distance: Annotated[
        Positive | None,
        says("distance allowed between overhauls [distance unit]; blank: does not count"),
    ] = None
    early_days: Annotated[Count, says("days before due from which it may come [days]")] = 90
    late_days: Annotated[Count, says("days past the time interval still permitted [days]")] = 0
    late_distance: Annotated[
        Number, says("distance past the distance interval still permitted [distance unit]")
    ] = 0.0
    week_limit: Annotated[
        CountOne | None, says("most vehicles of this type called in a week; blank: no limit")
    ] = None


@dataclass(frozen=True, slots=True, config=ROW)
class Depot:
    """A depot that runs vehicles, and how many it can spare at once."""

    TABLE: ClassVar[str] = "depots"
    KEY: ClassVar[tuple[str, ...]] = ("depot_id",)

    depot_id: Annotated[Id, says("depot")]
    name: Annotated[Name, says("name")]
    away_limit: Annotated[
        CountOne | None, says("most vehicles of the depot away at once; blank: no limit")
    ] = None
    travel_days: Annotated[Number, says("time from depot to works, one way [working days]")] = 0.0
    late_share: Annotated[Share, says("share of its vehicles that come later than called in")] = 0.0
    late_days: Annotated[
        Number, says("how late these come on average [working days]; 0 when none is late")
    ] = 0.0


@dataclass(frozen=True, slots=True, config=ROW)
class Vehicle:
    """One vehicle as the record knows it on the plan's day."""

    TABLE: ClassVar[str] = "vehicles"
    KEY: ClassVar[tuple[str, ...]] = ("vehicle_id",)

    vehicle_id: Annotated[Id, says("vehicle number")]
    type_id: Annotated[Id, Refers("vehicle_types", "type_id"), says("its type")]
    depot_id: Annotated[Id, Refers("depots", "depot_id"), says("its depot")]
    state: Annotated[
        State,
        says("running; standing (out of use, still due); inside (in the works); withdrawn"),
    ]
    in_service: Annotated[Day, says("day it was first put in service")]
    last_overhaul: Annotated[
        Day | None, says("day its last overhaul was released; blank: none yet, in_service counts")
    ] = None
    overhaul_odometer: Annotated[
        Number | None,
        says("odometer at last_overhaul; blank after an overhaul: unknown [distance unit]"),
    ] = None
    licence_expiry: Annotated[
        Day | None, says("last day its road licence holds; it must be in the works by then")
    ] = None
    withdraw_on: Annotated[
        Day | None, says("day it is to leave the fleet; due later: not called in")
    ] = None
    gate_in: Annotated[Day | None, says("day it came in; filled when state is inside")] = None
    stage_id: Annotated[
        Id | None, Refers("stages", "stage_id"), says("stage where it stands; filled when inside")
    ] = None
    promised: Annotated[
        Day | None,
        says("day its release is promised for, when inside; blank: its turn_days after gate_in"),
    ] = None
    called_for: Annotated[
        Day | None,
        says("day it is called in for, as its depot was told; the plan keeps it; blank: none"),
    ] = None


@dataclass(frozen=True, slots=True, config=ROW)
class Reading:
    """One odometer reading."""

    TABLE: ClassVar[str] = "readings"
    KEY: ClassVar[tuple[str, ...]] = ("vehicle_id", "read_on")

    vehicle_id: Annotated[Id, Refers("vehicles", "vehicle_id"), says("vehicle")]
    read_on: Annotated[Day, says("day of the reading")]
    odometer: Annotated[Number, says("odometer since new [distance unit]")]
