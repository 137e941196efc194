"""The tables that describe parts and the work on them."""

from typing import Annotated, ClassVar

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
    Share,
    Signed,
    Text,
    YesNo,
    most,
    says,
)
from pacewright.base.hazards import Hazards


@dataclass(frozen=True, slots=True, config=ROW)
class UnitKind:
    """An interchangeable unit: where it comes off, where it goes on, how it is made good."""

    TABLE: ClassVar[str] = "unit_kinds"
    KEY: ClassVar[tuple[str, ...]] = ("unit_kind_id",)

    unit_kind_id: Annotated[Id, says("unit kind")]
    name: Annotated[Name, says("name")]
    shop_id: Annotated[Id, Refers("shops", "shop_id"), says("shop that makes it good")]
    strip_stage_id: Annotated[Id, Refers("stages", "stage_id"), says("stage where it comes off")]
    fit_stage_id: Annotated[Id, Refers("stages", "stage_id"), says("stage where it goes on again")]
    turn_days: Annotated[
        Positive,
        most(250),
        says("mean time from removal to serviceable, waiting included [working days]"),
    ]
    turn_sd_days: Annotated[Number, says("its standard deviation [working days]")] = 0.0
    removal_share: Annotated[
        Share, says("share of vehicles on which it comes off (1 when it must be changed)")
    ] = 1.0
    must_change: Annotated[YesNo, says("yes: changed on every vehicle, whatever is found")] = False
    scrap_share: Annotated[Share, says("share of removed units that cannot be made good")] = 0.0
    purchase_days: Annotated[Number, most(2500), says("lead time of a new one [working days]")] = (
        0.0
    )
    purchase_lot: Annotated[CountOne, most(10_000), says("how many are bought at a time")] = 1
    lot_size: Annotated[
        CountOne, most(200), says("units gathered before the shop starts or sends them")
    ] = 1
    despatch_days: Annotated[
        Number,
        most(250),
        says("interval between despatches to the shop; 0: at once [working days]"),
    ] = 0.0
    site_a_week: Annotated[
        Number, most(10_000), says("units a week that a second site draws from the same float")
    ] = 0.0
    site_float: Annotated[
        Count, most(100_000), says("units of the kind kept at the second site")
    ] = 0
    site_transit_days: Annotated[
        Number, most(250), says("time to send one to the second site [working days]")
    ] = 0.0
    benches: Annotated[
        Annotated[CountOne, most(10_000)] | None,
        says("units the shop can work on at once; blank: enough"),
    ] = None
    bench_hours: Annotated[
        Number, most(1000), says("time one takes on the bench, no waiting [working hours]")
    ] = 0.0
    unit_cost: Annotated[Number, says("price of one more unit [money]")] = 0.0
    life_distance: Annotated[
        Positive | None,
        says("distance from new after which it is not fitted again; blank: none [distance unit]"),
    ] = None
    life_months: Annotated[
        Annotated[Positive, most(1200)] | None,
        says("time from new after which it is not fitted again; blank: none [months]"),
    ] = None
    rob_hours: Annotated[
        Annotated[Number, most(1000)] | None,
        says(
            "work of taking one off a built vehicle and fitting it again; blank: plan.rob_hours [h]"
        ),
    ] = None
    keep_with_kind_id: Annotated[
        Id | None,
        Refers("unit_kinds", "unit_kind_id"),
        says("kind whose unit it is matched with: the two that came off together go on together"),
    ] = None
    hazards: Annotated[
        Hazards,
        says("what of the unit can hurt people who handle it; blank: none is declared"),
    ] = ()


@dataclass(frozen=True, slots=True, config=ROW)
class Fit:
    """How many of a unit kind one vehicle of a type carries."""

    TABLE: ClassVar[str] = "fits"
    KEY: ClassVar[tuple[str, ...]] = ("unit_kind_id", "type_id")

    unit_kind_id: Annotated[Id, Refers("unit_kinds", "unit_kind_id"), says("unit kind")]
    type_id: Annotated[Id, Refers("vehicle_types", "type_id"), says("vehicle type it fits")]
    per_vehicle: Annotated[CountOne, most(1000), says("how many one vehicle carries")] = 1
    needs_campaign_id: Annotated[
        Id | None,
        Refers("campaigns", "campaign_id"),
        says("goes only on vehicles on which this campaign is done; blank: any"),
    ] = None
    until_campaign_id: Annotated[
        Id | None,
        Refers("campaigns", "campaign_id"),
        says("goes only on vehicles on which this campaign is not done yet; blank: any"),
    ] = None


@dataclass(frozen=True, slots=True, config=ROW)
class FloatHeld:
    """Units of a kind off the vehicles; the three conditions are never summed for the reader."""

    TABLE: ClassVar[str] = "floats"
    KEY: ClassVar[tuple[str, ...]] = ("unit_kind_id",)

    unit_kind_id: Annotated[Id, Refers("unit_kinds", "unit_kind_id"), says("unit kind")]
    serviceable: Annotated[Count, most(1_000_000), says("ready to fit")]
    unserviceable: Annotated[
        Count, most(1_000_000), says("waiting for or under repair, beyond those owed to vehicles")
    ]
    quarantine: Annotated[
        Count, most(1_000_000), says("set aside, not to be used or repaired yet")
    ] = 0


@dataclass(frozen=True, slots=True, config=ROW)
class Operation:
    """Work at a stage or on a unit kind, by one trade, with how often it is needed."""

    TABLE: ClassVar[str] = "operations"
    KEY: ClassVar[tuple[str, ...]] = ("operation_id",)

    operation_id: Annotated[Id, says("operation")]
    name: Annotated[Name, says("name")]
    trade_id: Annotated[Id, Refers("trades", "trade_id"), says("trade that does it")]
    standard_hours: Annotated[
        Number, most(10_000), says("standard time each time it is done [man-hours]")
    ]
    stage_id: Annotated[
        Id | None, Refers("stages", "stage_id"), says("stage it is done at; or give unit_kind_id")
    ] = None
    unit_kind_id: Annotated[
        Id | None,
        Refers("unit_kinds", "unit_kind_id"),
        says("unit kind it is done on; or give stage_id"),
    ] = None
    type_id: Annotated[
        Id | None, Refers("vehicle_types", "type_id"), says("only for this type; blank: all")
    ] = None
    occurrence_share: Annotated[
        Share, says("share of the vehicles, assemblies or units on which it is needed")
    ] = 1.0
    sample: Annotated[Count, says("vehicles or units the share was counted on; 0: a judgement")] = 0
    must_change: Annotated[YesNo, says("yes: done always, whatever is found")] = False
    moves_vehicle: Annotated[
        YesNo,
        says("yes: what it is done on is lifted, lowered or moved, so everyone else is off it"),
    ] = False
    inspect_least: Annotated[
        Signed | None,
        says("strip inspection: lowest measurement at which it is not needed; blank: none"),
    ] = None
    inspect_most: Annotated[
        Signed | None,
        says("strip inspection: highest measurement at which it is not needed; blank: none"),
    ] = None
    inspect_unit: Annotated[Text, says("unit of these; blank: by eye")] = ""
    hazards: Annotated[
        Hazards,
        says("what can hurt people at it, beyond those of its stage or unit kind; blank: none"),
    ] = ()


@dataclass(frozen=True, slots=True, config=ROW)
class Campaign:
    """A modification done to the vehicles of a type as they come in."""

    TABLE: ClassVar[str] = "campaigns"
    KEY: ClassVar[tuple[str, ...]] = ("campaign_id",)

    campaign_id: Annotated[Id, says("campaign")]
    name: Annotated[Name, says("name")]
    type_id: Annotated[Id, Refers("vehicle_types", "type_id"), says("vehicle type")]
    stage_id: Annotated[Id, Refers("stages", "stage_id"), says("stage it is done at")]
    trade_id: Annotated[Id, Refers("trades", "trade_id"), says("trade that does it")]
    standard_hours: Annotated[
        Positive, most(10_000), says("standard time for one vehicle [man-hours]")
    ]
    first: Annotated[Day, says("first day of call-in from which it is done")]
    last: Annotated[Day, says("last day of call-in on which it is done")]


@dataclass(frozen=True, slots=True, config=ROW)
class TestItem:
    """One reading or check before release, with its limit and where the limit comes from."""

    TABLE: ClassVar[str] = "test_items"
    KEY: ClassVar[tuple[str, ...]] = ("item_id",)
    __test__: ClassVar[bool] = False

    item_id: Annotated[Id, says("test item")]
    name: Annotated[Name, says("what is tested")]
    stage_id: Annotated[Id, Refers("stages", "stage_id"), says("stage it is tested at")]
    limit_source: Annotated[Text, says("standard, maker's book or local code that sets the limit")]
    type_id: Annotated[
        Id | None, Refers("vehicle_types", "type_id"), says("only for this type; blank: all")
    ] = None
    reading_unit: Annotated[Text, says("unit of the reading; blank: pass or fail")] = ""
    least: Annotated[Signed | None, says("lowest reading that passes; blank: none")] = None
    most: Annotated[Signed | None, says("highest reading that passes; blank: none")] = None
    must_pass: Annotated[YesNo, says("yes: no release without a pass")] = True
