"""The works: fleet, shops and parts joined."""

from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cached_property

from pacewright.base.calendar import WorkCalendar
from pacewright.base.settings import Settings
from pacewright.fleet.tables import Depot, Reading, Vehicle, VehicleType
from pacewright.parts.tables import Campaign, Fit, FloatHeld, Operation, TestItem, UnitKind
from pacewright.shops.route import Route, route_of
from pacewright.shops.tables import Assembly, Crew, Plant, PlantLoad, Shop, Stage, Trade, Upset

TABLES: tuple[type, ...] = (
    VehicleType,
    Depot,
    Vehicle,
    Reading,
    Shop,
    Trade,
    Crew,
    Assembly,
    Stage,
    UnitKind,
    Fit,
    FloatHeld,
    Operation,
    Plant,
    PlantLoad,
    Upset,
    Campaign,
    TestItem,
)
"""Every table, in the order of the column reference; a row model names its table in ``TABLE``."""

MAY_BE_ABSENT = frozenset(
    {"plant", "plant_loads", "upsets", "campaigns", "test_items", "readings", "floats"}
)
"""Tables a works may do without."""


@dataclass(frozen=True)
class Works:
    """One works, as read: the settings, and one tuple of rows for each table."""

    settings: Settings
    vehicle_types: tuple[VehicleType, ...]
    depots: tuple[Depot, ...]
    vehicles: tuple[Vehicle, ...] = field(repr=False)
    readings: tuple[Reading, ...] = field(repr=False)
    shops: tuple[Shop, ...]
    trades: tuple[Trade, ...]
    people: tuple[Crew, ...]
    assemblies: tuple[Assembly, ...]
    stages: tuple[Stage, ...]
    unit_kinds: tuple[UnitKind, ...]
    fits: tuple[Fit, ...]
    floats: tuple[FloatHeld, ...]
    operations: tuple[Operation, ...]
    plant: tuple[Plant, ...]
    plant_loads: tuple[PlantLoad, ...]
    campaigns: tuple[Campaign, ...]
    test_items: tuple[TestItem, ...]
    upsets: tuple[Upset, ...] = ()

    @cached_property
    def calendar(self) -> WorkCalendar:
        """The calendar from a year before the plan's start to two years after its horizon."""
        plan = self.settings.plan
        return self.settings.calendar.calendar(
            plan.today - timedelta(days=366),
            plan.start + timedelta(weeks=plan.horizon_weeks + 104),
        )

    @cached_property
    def routes(self) -> dict[str, Route]:
        """Vehicle type -> its route."""
        return {
            one.type_id: route_of(one.type_id, self.stages, self.assemblies)
            for one in self.vehicle_types
        }

    @cached_property
    def week_days(self) -> int:
        """Working days of a full week."""
        return len(self.settings.calendar.working_weekdays)

    @cached_property
    def shop_hours_a_day(self) -> dict[str, float]:
        """Shop -> working hours of its day [h]."""
        usual = self.calendar.hours_a_day
        return {shop.shop_id: shop.hours_a_day or usual for shop in self.shops}

    @cached_property
    def rob_hours(self) -> dict[str, float]:
        """Unit kind -> work of taking one off a built vehicle and fitting it again [h]."""
        usual = self.settings.plan.rob_hours
        return {
            one.unit_kind_id: usual if one.rob_hours is None else one.rob_hours
            for one in self.unit_kinds
        }

    def horizon_end(self) -> date:
        """Last day of the last week planned."""
        plan = self.settings.plan
        return self.calendar.weeks(plan.start, plan.horizon_weeks)[-1].sunday
