"""The tables that describe the works: shops, people, stages, plant."""

from typing import Annotated, ClassVar

from pydantic.dataclasses import dataclass

from pacewright.base.columns import (
    ROW,
    Count,
    CountOne,
    Id,
    Ids,
    Name,
    Number,
    Positive,
    Refers,
    Share,
    YesNo,
    most,
    says,
)
from pacewright.base.hazards import Hazards

WHOLE = "vehicle"
"""The assembly id of the vehicle while it is whole."""


@dataclass(frozen=True, slots=True, config=ROW)
class Shop:
    """A group of trades under one roof."""

    TABLE: ClassVar[str] = "shops"
    KEY: ClassVar[tuple[str, ...]] = ("shop_id",)

    shop_id: Annotated[Id, says("shop")]
    name: Annotated[Name, says("name")]
    hours_a_day: Annotated[
        Positive | None, says("hours the shop works on a working day [h]; blank: as the calendar")
    ] = None


@dataclass(frozen=True, slots=True, config=ROW)
class Trade:
    """A trade of the people."""

    TABLE: ClassVar[str] = "trades"
    KEY: ClassVar[tuple[str, ...]] = ("trade_id",)

    trade_id: Annotated[Id, says("trade")]
    name: Annotated[Name, says("name")]


@dataclass(frozen=True, slots=True, config=ROW)
class Crew:
    """People of one trade in one shop."""

    TABLE: ClassVar[str] = "people"
    KEY: ClassVar[tuple[str, ...]] = ("shop_id", "trade_id")

    shop_id: Annotated[Id, Refers("shops", "shop_id"), says("shop")]
    trade_id: Annotated[Id, Refers("trades", "trade_id"), says("trade")]
    people: Annotated[Number, most(100_000), says("people on the roll, all shifts together")]
    hours_a_day: Annotated[Positive, says("paid hours of one of them on a working day [h]")] = 8.0
    attendance_share: Annotated[Share, says("share of paid hours attended at the work")] = 1.0
    performance: Annotated[
        Positive, most(5), says("standard hours earned for each attended hour (1 = standard)")
    ] = 1.0
    shown_hours_a_week: Annotated[
        Number | None, says("standard hours a week the records show they earn [h]; blank: none yet")
    ] = None


@dataclass(frozen=True, slots=True, config=ROW)
class Assembly:
    """What a vehicle of a type parts into, and how many of each."""

    TABLE: ClassVar[str] = "assemblies"
    KEY: ClassVar[tuple[str, ...]] = ("type_id", "assembly_id")

    type_id: Annotated[Id, Refers("vehicle_types", "type_id"), says("vehicle type")]
    assembly_id: Annotated[Id, says("assembly: body, chassis, bogie ...")]
    name: Annotated[Name, says("name")]
    count: Annotated[CountOne, most(50), says("how many one vehicle has")] = 1


@dataclass(frozen=True, slots=True, config=ROW)
class Stage:
    """One step of the route; the route is the graph that ``follows`` makes.

    Where the assembly changes from ``vehicle`` to others the vehicle parts; where it changes
    back they are married.
    """

    TABLE: ClassVar[str] = "stages"
    KEY: ClassVar[tuple[str, ...]] = ("stage_id",)

    stage_id: Annotated[Id, says("stage")]
    name: Annotated[Name, says("name")]
    shop_id: Annotated[Id, Refers("shops", "shop_id"), says("shop it stands in")]
    assembly_id: Annotated[
        Id, says("what passes through: vehicle while whole, else an assembly of the type")
    ]
    positions: Annotated[
        CountOne, most(100_000), says("places where one vehicle or assembly can stand")
    ]
    hours_least: Annotated[
        Positive, most(1000), says("shortest time on the position [working hours]")
    ]
    hours_usual: Annotated[
        Positive, most(1000), says("most frequent time on the position [working hours]")
    ]
    hours_most: Annotated[
        Positive, most(1000), says("longest time on the position [working hours]")
    ]
    follows: Annotated[
        Ids, Refers("stages", "stage_id"), says("stages it comes after; blank: the gate")
    ] = ()
    crew: Annotated[Count, most(100), says("people who work on one position at once")] = 1
    batch_size: Annotated[
        CountOne,
        most(100),
        says("how many go through together (oven, booth), each on a position of its own"),
    ] = 1
    night_goes_on: Annotated[
        YesNo, says("yes: its hours run on outside working time (drying, soaking)")
    ] = False
    longest_wait_hours: Annotated[
        Number | None, says("longest wait allowed after the stage before [hours]; blank: any")
    ] = None
    type_ids: Annotated[
        Ids, Refers("vehicle_types", "type_id"), says("types that pass it; blank: all")
    ] = ()
    first_pass_share: Annotated[
        Share, says("share that passes its test the first time; 1: no test, or none fails")
    ] = 1.0
    rectify_hours: Annotated[
        Number,
        most(1000),
        says("time to put right what failed, before the stage is done again [working hours]"),
    ] = 0.0
    hazards: Annotated[
        Hazards, says("what can hurt people at all work there; blank: none is declared")
    ] = ()

    @property
    def charge_size(self) -> int:
        """Pieces of a full charge: each stands on a position, so no more than there are."""
        return min(self.batch_size, self.positions)

    @property
    def charges_at_once(self) -> int:
        """Full charges the positions hold at once."""
        return self.positions // self.charge_size


@dataclass(frozen=True, slots=True, config=ROW)
class Plant:
    """Ovens, booths and tanks that units pass in batches."""

    TABLE: ClassVar[str] = "plant"
    KEY: ClassVar[tuple[str, ...]] = ("plant_id",)

    plant_id: Annotated[Id, says("oven, booth or tank")]
    name: Annotated[Name, says("name")]
    shop_id: Annotated[Id, Refers("shops", "shop_id"), says("shop it stands in")]
    how_many: Annotated[CountOne, most(10_000), says("how many alike there are")]
    batch_size: Annotated[CountOne, most(10_000), says("pieces one charge takes")]
    cycle_hours: Annotated[Positive, most(1000), says("time of one charge, loading included [h]")]
    night_goes_on: Annotated[YesNo, says("yes: a charge runs on outside working time")] = False


@dataclass(frozen=True, slots=True, config=ROW)
class PlantLoad:
    """What passes through a plant: each piece of a stage, or each unit of a kind."""

    TABLE: ClassVar[str] = "plant_loads"
    KEY: ClassVar[tuple[str, ...]] = ("plant_id", "stage_id", "unit_kind_id")

    plant_id: Annotated[Id, Refers("plant", "plant_id"), says("oven, booth or tank")]
    stage_id: Annotated[
        Id | None, Refers("stages", "stage_id"), says("stage whose pieces pass it")
    ] = None
    unit_kind_id: Annotated[
        Id | None, Refers("unit_kinds", "unit_kind_id"), says("unit kind that passes it")
    ] = None
    pieces: Annotated[Positive, says("places of the charge that one takes up")] = 1.0


@dataclass(frozen=True, slots=True, config=ROW)
class Upset:
    """What takes a position of a stage, or a bench of a unit kind, away now and then."""

    TABLE: ClassVar[str] = "upsets"
    KEY: ClassVar[tuple[str, ...]] = ("upset_id",)

    upset_id: Annotated[Id, says("breakdown: of the crane, the booth, the oven ...")]
    mean_days_between: Annotated[Positive, says("mean time from one to the next [working days]")]
    mean_hours: Annotated[Positive, says("mean time until it is put right, nights included [h]")]
    stage_id: Annotated[
        Id | None, Refers("stages", "stage_id"), says("stage that loses a position")
    ] = None
    unit_kind_id: Annotated[
        Id | None, Refers("unit_kinds", "unit_kind_id"), says("unit kind that loses a bench")
    ] = None
