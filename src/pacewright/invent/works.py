"""An invented works of any size: catalogue, capacity for its pace, and a drawn fleet."""

import math
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cached_property

import numpy as np

from pacewright.base.calendar import WorkCalendar
from pacewright.base.settings import CalendarSettings
from pacewright.fleet.tables import Depot, Vehicle
from pacewright.invent.capacity import Capacity
from pacewright.invent.catalogue import Catalogue, catalogue
from pacewright.invent.dates import Dates, dates_drawn
from pacewright.invent.draws import Draws
from pacewright.invent.held import floats_held
from pacewright.invent.inside import gates_drawn, stage_at
from pacewright.invent.need import Need
from pacewright.invent.odometer import Odometers, odometers_drawn, readings
from pacewright.invent.roll import Roll, roll_drawn
from pacewright.invent.route_days import StageDays, route_days
from pacewright.invent.settings import calendar_settings, first_day, settings
from pacewright.invent.vehicles import vehicle_numbers, vehicle_rows
from pacewright.parts.tables import Campaign
from pacewright.works import Works

TODAY = date(2026, 11, 6)
"""The plan's day unless another is given: a Friday, so that the plan starts on the next."""

USUAL_VEHICLES = {"trolleybus": 1900, "tramway": 260}
"""Vehicles of the two example works."""

LEAST_VEHICLES = 20
"""Below this a fleet has no pace worth planning."""

# Vehicles that leave before they are due, or have left.
_LEAVING_SHARE = 0.02
# The smaller a fleet, the more its due dates bunch: room for so many vehicles more.
_IN_HAND = 5
# What a depot can spare, as a share of what it must spare on average.
_AWAY_ROOM = 1.4
_HISTORY = timedelta(days=366)


def invented_works(kind: str, vehicles: int, seed: int, today: date = TODAY) -> Works:
    """A works of a kind, with capacity near what its fleet needs; the same for the same arguments.

    Parameters
    ----------
    kind : trolleybus or tramway.
    vehicles : vehicles of the fleet, 20 or more.
    seed : seed of all that is drawn.
    today : day to which everything is known; the plan starts on the Monday after.

    Raises
    ------
    UnknownKindError : no such kind.
    ValueError : fewer than 20 vehicles.
    """
    if vehicles < LEAST_VEHICLES:
        raise ValueError(
            f"vehicles: {vehicles}. An invented works has {LEAST_VEHICLES} or more. Ask for more."
        )
    made = _Making(catalogue(kind), vehicles, seed, today)
    of, capacity = made.of, made.capacity
    return Works(
        settings=settings(of.kind, today, made.shifts, made.pace_a_day * 5, made.turn_days),
        vehicle_types=of.types,
        depots=made.depots,
        vehicles=made.vehicle_rows,
        readings=tuple(readings(made.numbers, made.odometers)),
        shops=of.shops,
        trades=of.trades,
        people=capacity.people(made.draws("people")),
        assemblies=of.assemblies,
        stages=capacity.stages,
        unit_kinds=capacity.unit_kinds,
        fits=of.fits,
        floats=floats_held(capacity, made.days, made.draws("floats")),
        operations=of.operations,
        plant=capacity.plant,
        plant_loads=of.plant_loads,
        upsets=of.upsets,
        campaigns=made.campaigns,
        test_items=of.test_items,
    )


@dataclass(frozen=True)
class _Making:
    """Everything on the way from a kind and a number of vehicles to a works."""

    of: Catalogue
    vehicles: int
    seed: int
    today: date

    def draws(self, purpose: str) -> Draws:
        return Draws(self.seed, purpose)

    @cached_property
    def roll(self) -> Roll:
        return roll_drawn(self.of, self.vehicles, self.draws("roll"))

    @cached_property
    def shifts(self) -> CalendarSettings:
        return calendar_settings(self.of.kind, self.today)

    @cached_property
    def calendar(self) -> WorkCalendar:
        last = first_day(self.today) + timedelta(weeks=self.of.kind["horizon_weeks"], days=-1)
        return self.shifts.calendar(self.today - _HISTORY, last)

    @cached_property
    def worked_share(self) -> float:
        """Working days of the horizon as a share of all its days."""
        start = first_day(self.today)
        return self.calendar.count(start, self.calendar.last) / (
            (self.calendar.last - start).days + 1
        )

    @cached_property
    def due_a_day(self) -> dict[str, float]:
        """Vehicle type -> vehicles due on a working day in the long run."""
        a_day = np.bincount(self.roll.type_at, 1 / self.roll.used_days, len(self.of.types))
        return {
            one.type_id: float(due) / self.worked_share * (1 - _LEAVING_SHARE)
            for one, due in zip(self.of.types, a_day, strict=True)
        }

    @cached_property
    def pace_a_day(self) -> float:
        """Vehicles due on a working day in the long run, all types, and a little in hand."""
        return sum(self.due_a_day.values()) * (1 + _IN_HAND / self.vehicles)

    @cached_property
    def turn_days(self) -> float:
        """Mean promised time inside [working days]."""
        return sum(one.turn_days * self.need.shares[one.type_id] for one in self.of.types)

    @cached_property
    def need(self) -> Need:
        total = sum(self.due_a_day.values())
        return Need(self.of, {name: due / total for name, due in self.due_a_day.items()})

    @cached_property
    def capacity(self) -> Capacity:
        """Capacity for the pace at the end of the ramp."""
        able_a_day = self.pace_a_day * self.of.kind["ramp"][-1]
        return Capacity(self.need, able_a_day, self.calendar.hours_a_day)

    @cached_property
    def days(self) -> dict[str, dict[str, StageDays]]:
        """Vehicle type -> stage -> its stretch on the route."""
        positions = {one.stage_id: one.positions for one in self.capacity.stages}
        return {
            type_id: route_days(route, positions, self.capacity.stage_days)
            for type_id, route in self.need.routes.items()
        }

    @cached_property
    def depots(self) -> tuple[Depot, ...]:
        """The depots, each with a little more room than it needs on average."""
        a_day = (
            np.bincount(self.roll.depot_at, 1 / self.roll.used_days, len(self.roll.depots))
            / self.worked_share
        )
        return tuple(
            replace(
                one,
                away_limit=1
                + math.ceil(float(due) * (self.turn_days + 2 * one.travel_days) * _AWAY_ROOM),
            )
            for one, due in zip(self.roll.depots, a_day, strict=True)
        )

    @cached_property
    def dates(self) -> Dates:
        gates = gates_drawn(
            self.calendar, self.today, self.pace_a_day, self.turn_days, self.draws("gates")
        )
        # The distance still permitted past due lasts the least used vehicle longest.
        late_days = max(
            max(one.late_days, one.late_distance / float(self.roll.distance_a_day.min()))
            for one in self.of.types
        )
        return dates_drawn(self.roll, self.today, math.ceil(late_days), gates, self.draws("dates"))

    @cached_property
    def odometers(self) -> Odometers:
        return odometers_drawn(
            self.roll,
            self.dates,
            self.today.toordinal(),
            self.of.kind["reading_gap_days"],
            self.draws("odometers"),
        )

    @cached_property
    def numbers(self) -> list[str]:
        """Fleet numbers."""
        prefixes = [row["number_prefix"] for row in self.of.cells("vehicle_types")]
        return vehicle_numbers(self.roll, prefixes)

    @cached_property
    def vehicle_rows(self) -> tuple[Vehicle, ...]:
        return vehicle_rows(
            self.numbers, self.of.types, self.roll, self.dates, self.odometers, self._stage_of
        )

    @cached_property
    def campaigns(self) -> tuple[Campaign, ...]:
        """The campaigns; the catalogue gives their weeks from the plan's start."""
        start = first_day(self.today)
        return tuple(
            replace(
                one,
                first=start + timedelta(weeks=int(row["first_week"])),
                last=start + timedelta(weeks=int(row["last_week"]), days=-1),
            )
            for one, row in zip(
                self.of.rows(Campaign, first=start, last=start),
                self.of.cells("campaigns"),
                strict=True,
            )
        )

    def _stage_of(self, type_id: str, gate_in: date) -> str:
        turn_days = next(one.turn_days for one in self.of.types if one.type_id == type_id)
        elapsed = self.calendar.count(gate_in, self.today) - 1
        return stage_at(elapsed, turn_days, self.days[type_id])
