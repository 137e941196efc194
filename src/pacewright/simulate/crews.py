"""People at once: what a step asks of each trade, and what is left of a crew for the route."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from functools import cached_property

import numpy as np

from pacewright.parts.tables import Operation, UnitKind
from pacewright.shops.repeats import work_times
from pacewright.shops.tables import Crew, Stage
from pacewright.simulate.calendars import Stretch
from pacewright.simulate.chains import Step
from pacewright.simulate.chance import key_of
from pacewright.simulate.problem import FlowOptions
from pacewright.simulate.table import CrewRows, Floats
from pacewright.works import Works

ShopTrade = tuple[str, str]

MOST_TAKEN = 0.95
"""Most of a crew that work off the route may take; the rest keeps the route going (our rule)."""


def occurrence(operation: Operation) -> float:
    """How often an operation is needed; always, if it must be."""
    return 1.0 if operation.must_change else operation.occurrence_share


def mean_minutes(stage: Stage) -> float:
    """Mean work of a stage, (least + 4 usual + most) / 6 [min]."""
    return (stage.hours_least + 4 * stage.hours_usual + stage.hours_most) * 10


def holds_people(stage: Stage) -> bool:
    """True when people stand at its work; a process, a charge or an unmanned stage holds none."""
    charge = min(stage.batch_size, stage.positions)
    return stage.crew > 0 and not stage.night_goes_on and charge == 1


@dataclass(frozen=True)
class Crews:
    """People of each trade in each shop, then the open doors of each shop.

    Parameters
    ----------
    works : its people, operations and shops.
    pace_a_day : vehicles a working day, for the mean work off the route.
    mix : share of each type.
    """

    works: Works
    pace_a_day: float
    mix: Mapping[str, float]

    @cached_property
    def index(self) -> dict[ShopTrade, int]:
        return {(one.shop_id, one.trade_id): c for c, one in enumerate(self.works.people)}

    @cached_property
    def doors(self) -> dict[str, int]:
        """Shop -> the crew that stands for its open doors."""
        first = len(self.works.people)
        return {one.shop_id: first + place for place, one in enumerate(self.works.shops)}

    @cached_property
    def names(self) -> tuple[str, ...]:
        people = [f"{one.shop_id} {one.trade_id}" for one in self.works.people]
        return (*people, *(f"{one.shop_id} doors" for one in self.works.shops))

    @cached_property
    def _work_at(self) -> dict[str, list[Operation]]:
        found: dict[str, list[Operation]] = defaultdict(list)
        for one in self.works.operations:
            if one.stage_id is not None:
                found[one.stage_id].append(one)
        return found

    def work_of(self, step: Step) -> list[Operation]:
        """Operations at a step's stage on its type."""
        mine = self._work_at.get(step.stage.stage_id, [])
        return [one for one in mine if one.type_id in (None, step.chain.type_id)]

    def hours_by_trade(self, step: Step) -> dict[str, float]:
        """Mean standard hours a piece at a step asks of each trade [man-hours]."""
        hours: dict[str, float] = defaultdict(float)
        for one in self.work_of(step):
            hours[one.trade_id] += occurrence(one) * one.standard_hours
        return {trade: value for trade, value in hours.items() if value > 0}

    def needs(self, step: Step) -> list[tuple[int, int]]:
        """Crews a step holds at once, and how many hundredths of a person of each.

        Equations
        ---------
        100 * 60 * hours of the trade / (mean minutes of the stage * performance).
        """
        found = []
        if holds_people(step.stage):
            for trade, hours in self.hours_by_trade(step).items():
                c = self.index.get((step.stage.shop_id, trade))
                if c is not None:
                    earned = mean_minutes(step.stage) * self.works.people[c].performance
                    found.append((c, max(1, int(6000 * hours / earned + 0.5))))
        return sorted(found) or [(self.doors[step.stage.shop_id], 0)]

    def hours_off_route(self, steps: tuple[Step, ...]) -> dict[ShopTrade, float]:
        """Mean hours a day of work at which the run holds nobody: on units, at processes [h]."""
        hours: dict[ShopTrade, float] = defaultdict(float)
        for step in steps:
            if not holds_people(step.stage):
                pieces = self.pace_a_day * self.mix.get(step.chain.type_id, 0.0) * step.chain.pieces
                # What failed is put right by those who work there, though the run holds nobody.
                times, _ = work_times(step.stage)
                for trade, value in self.hours_by_trade(step).items():
                    hours[step.stage.shop_id, trade] += pieces * times * value
        shops = {one.unit_kind_id: one.shop_id for one in self.works.unit_kinds}
        for one in self.works.operations:
            if one.unit_kind_id is not None:
                units = self._units_a_day(one.unit_kind_id, one.type_id)
                done = units * occurrence(one) * one.standard_hours
                hours[shops[one.unit_kind_id], one.trade_id] += done
        return hours

    def _units_a_day(self, unit_kind_id: str, type_id: str | None) -> float:
        """Units a day at the pace; those of a second site only where the work is on any type."""
        kind = next(one for one in self.works.unit_kinds if one.unit_kind_id == unit_kind_id)
        site = kind.site_a_week / self.works.week_days if type_id is None else 0.0
        return self.removed_a_day(kind, type_id) + site

    def removed_a_day(self, kind: UnitKind, type_id: str | None = None) -> float:
        """Units of a kind that come off a day at the pace, off one type or all."""
        share = 1.0 if kind.must_change else kind.removal_share
        a_vehicle = sum(
            self.mix.get(fit.type_id, 0.0) * fit.per_vehicle
            for fit in self.works.fits
            if fit.unit_kind_id == kind.unit_kind_id and type_id in (None, fit.type_id)
        )
        return self.pace_a_day * a_vehicle * share


def crew_rows(
    crews: Crews, steps: tuple[Step, ...], stretch: Stretch, options: FlowOptions
) -> tuple[CrewRows, list[str]]:
    """The rows of crews and doors, and notes where a crew has too little left for the route."""
    works = crews.works
    off = crews.hours_off_route(steps)
    hours_a_day = works.shop_hours_a_day
    scale, notes = [], []
    for one in works.people:
        able = one.people * one.hours_a_day * one.attendance_share * one.performance
        taken = off.get((one.shop_id, one.trade_id), 0.0) / able if able else 0.0
        if taken > MOST_TAKEN:
            notes.append(
                f"people.csv, {one.shop_id} {one.trade_id}: work on units and at processes takes "
                f"{100 * taken:.0f} % of their hours at the pace. The run takes at most "
                f"{100 * MOST_TAKEN:.0f} % and lets that work not queue, so it shows too few "
                "waits. Give them more people or hours, or a lower pace."
            )
        left = 1 - min(taken, MOST_TAKEN)
        scale.append(_scale(one, hours_a_day[one.shop_id], left))
    shops = [*(one.shop_id for one in works.people), *(one.shop_id for one in works.shops)]
    doors = len(works.shops)
    rows = CrewRows(
        key=np.array([key_of(name) for name in crews.names], np.uint64),
        calendar=np.array([stretch.calendar_of(hours_a_day[one]) for one in shops], np.int64),
        people=np.array([*(one.people for one in works.people), *[-1.0] * doors]),
        attendance=_attendance(works, stretch, options),
        drawn=np.array([int(options.absence and options.scatter)] * len(shops), np.int64),
        scale=np.array([*scale, *[0.0] * doors]),
    )
    return rows, notes


def _scale(crew: Crew, shop_hours: float, left: float) -> float:
    scale = 100 * crew.hours_a_day / shop_hours * left
    present = crew.people * crew.attendance_share
    # A crew that is there at all is never rounded away.
    return max(scale, 1 / present) if present > 0 else scale


def _attendance(works: Works, stretch: Stretch, options: FlowOptions) -> Floats:
    count = len(stretch.days.workday)
    shares = np.zeros((len(works.people) + len(works.shops), count))
    for c, one in enumerate(works.people):
        shares[c] = one.attendance_share
        for wave in options.waves:
            mine = wave.shop_id in ("", one.shop_id) and wave.trade_id in ("", one.trade_id)
            if mine:
                low = max(0, stretch.working_day(wave.first, works))
                stop = max(0, stretch.working_day(wave.last + timedelta(days=1), works))
                shares[c, low:stop] *= 1 - wave.absent_share
    return shares
