"""Positions, people, benches and plant that fit a pace, but for the places set askew on purpose."""

import math
from dataclasses import dataclass, replace
from functools import cached_property

from pacewright.invent.draws import Draws
from pacewright.invent.need import Need, hours_mean
from pacewright.parts.tables import UnitKind
from pacewright.shops.tables import Crew, Plant, Stage

_PAID_HOURS, _WEEK_DAYS = 7.5, 5
# What a works aims at when it sets capacity: use in the long run.
_PEOPLE_USE = 0.9
_BENCH_USE = 0.62
# People, positions and plant beyond the mean for scatter, in square roots of the mean
# (square-root staffing: Halfin and Whitt 1981, from memory).
_PEOPLE_ROOTS = 1.1
_PLANT_ROOTS = 0.1
_POSITION_ROOTS = 1.8
# Least people of a crew over those its work takes at once, so that one may stay away.
_PEOPLE_LEAST = 1.5


@dataclass(frozen=True)
class Capacity:
    """Capacity of a works at a pace.

    Parameters
    ----------
    need : what one vehicle asks.
    pace_a_day : vehicles a working day.
    usual_hours_a_day : working hours of a shop that names none [h].
    """

    need: Need
    pace_a_day: float
    usual_hours_a_day: float

    @cached_property
    def shop_hours(self) -> dict[str, float]:
        """Shop -> working hours a day [h]."""
        return {
            shop.shop_id: shop.hours_a_day or self.usual_hours_a_day
            for shop in self.need.catalogue.shops
        }

    @cached_property
    def stages(self) -> tuple[Stage, ...]:
        """The stages with their positions."""
        return tuple(
            replace(stage, positions=self._positions(stage)) for stage in self.need.catalogue.stages
        )

    def stage_days(self, stage: Stage) -> float:
        """Mean time of one piece on the position [working days]."""
        return hours_mean(stage) / (24 if stage.night_goes_on else self.shop_hours[stage.shop_id])

    @cached_property
    def unit_kinds(self) -> tuple[UnitKind, ...]:
        """The unit kinds with their benches, and the second site's draw at this pace."""
        return tuple(self._with_benches(kind) for kind in self.need.catalogue.unit_kinds)

    @cached_property
    def plant(self) -> tuple[Plant, ...]:
        """Ovens, booths and tanks, as many as the charges need."""
        return tuple(
            replace(plant, how_many=self._how_many(plant)) for plant in self.need.catalogue.plant
        )

    def people(self, draws: Draws) -> tuple[Crew, ...]:
        """The people of each trade in each shop.

        Records show a little less than people are able to, as records do.
        """
        a_week = self.pace_a_day * _WEEK_DAYS
        weekly = {place: hours * a_week for place, hours in self.need.hours.items()}
        count = len(weekly)
        attendance = draws.whole(count, 82, 89) / 100
        performance = draws.whole(count, 94, 104) / 100
        shown = draws.even(count, 0.92, 1.01)
        crews = []
        for place, (shop_id, trade_id) in enumerate(weekly):
            share = self.need.catalogue.gearing.get(("people", f"{shop_id} {trade_id}"), 1.0)
            earned = _PAID_HOURS * _WEEK_DAYS * float(attendance[place] * performance[place])
            usual = self._usual_people(shop_id, trade_id, weekly[shop_id, trade_id] / earned)
            people = _as_rolled(usual * share, share)
            crews.append(
                Crew(
                    shop_id=shop_id,
                    trade_id=trade_id,
                    people=people,
                    hours_a_day=_PAID_HOURS,
                    attendance_share=float(attendance[place]),
                    performance=float(performance[place]),
                    shown_hours_a_week=round(people * earned * float(shown[place]), 1),
                )
            )
        return tuple(crews)

    def _usual_people(self, shop_id: str, trade_id: str, busy: float) -> float:
        at_once = self.need.people_at_once[shop_id, trade_id]
        room = busy / _PEOPLE_USE + _PEOPLE_ROOTS * math.sqrt(busy * at_once)
        return max(room, _PEOPLE_LEAST * at_once)

    def _positions(self, stage: Stage) -> int:
        pieces = self.need.pieces[stage.stage_id] * self.pace_a_day
        # Each piece of a charge has a place of its own, and an oven is built for whole charges.
        busy = pieces * self.stage_days(stage)
        # Pieces of one vehicle come together: the scatter grows with their number.
        together = max(route.passes.get(stage.stage_id, 1) for route in self.need.routes.values())
        places = self._places("stages", stage.stage_id, busy, _POSITION_ROOTS * math.sqrt(together))
        return stage.batch_size * math.ceil(places / stage.batch_size)

    def _places(self, table: str, key: str, busy: float, roots: float) -> int:
        share = self.need.catalogue.gearing.get((table, key), 1.0)
        usual = busy + roots * math.sqrt(busy)
        return max(1, (round if share < 1 else math.ceil)(usual * share))

    def _with_benches(self, kind: UnitKind) -> UnitKind:
        a_day = self.need.units[kind.unit_kind_id] * self.pace_a_day
        # In the catalogue the second site's draw and float are for one vehicle a week and a day.
        site_a_week = round(kind.site_a_week * self.pace_a_day * _WEEK_DAYS, 3)
        busy = (a_day + site_a_week / _WEEK_DAYS) * kind.bench_hours / self.shop_hours[kind.shop_id]
        share = self.need.catalogue.gearing.get(("unit_kinds", kind.unit_kind_id))
        wanted = busy / _BENCH_USE if share is None else busy * share
        return replace(
            kind,
            benches=max(1, math.ceil(wanted)),
            site_a_week=site_a_week,
            site_float=round(kind.site_float * self.pace_a_day) if site_a_week else 0,
        )

    def _how_many(self, plant: Plant) -> int:
        places = sum(
            load.pieces
            * (self.need.pieces | self.need.units)[load.stage_id or load.unit_kind_id or ""]
            for load in self.need.catalogue.plant_loads
            if load.plant_id == plant.plant_id
        )
        charges = places * self.pace_a_day / plant.batch_size
        busy = charges / _charges_a_day(plant, self.shop_hours[plant.shop_id])
        return self._places("plant", plant.plant_id, busy, _PLANT_ROOTS)


def _charges_a_day(plant: Plant, shop_hours: float) -> float:
    # A charge that ends in the night is changed in the morning; by day only whole charges count.
    by_day = math.floor(shop_hours / plant.cycle_hours)
    if by_day >= 1:
        return float(by_day)
    if plant.night_goes_on:
        return 1 / math.ceil(plant.cycle_hours / 24)
    return shop_hours / plant.cycle_hours


def _as_rolled(people: float, share: float) -> float:
    # Small crews share a person with the next shop, in halves, tenths or twentieths.
    parts = 1 if people >= 10 else 2 if people >= 5 else 10 if people >= 1 else 20
    return max(0.05, (round if share < 1 else math.ceil)(people * parts) / parts)
