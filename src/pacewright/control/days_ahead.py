"""The load of each shop on each of the next working days, against its people and the pace."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import NamedTuple

from pacewright.control.ahead import Ahead
from pacewright.control.demand import Demand
from pacewright.control.hours import Work, able_hours_a_day, hours_today, stage_hours, unit_hours
from pacewright.events.standing import Standing
from pacewright.plans.line import Line
from pacewright.works import Works

DAYS = 10
"""Working days looked ahead, unless told otherwise."""

_SAME = 1e-9


@dataclass(frozen=True, slots=True)
class PeopleDay:
    """One trade of one shop on one working day [standard hours].

    Parameters
    ----------
    inside : for vehicles and assemblies inside, on the days they would be worked on.
    coming : for vehicles still to be let in.
    units : on units at the pace.
    able : what the people there can do; today what is left of the day.
    at_pace : a mean day at the pace; None: no line is known.
    """

    shop_id: str
    trade_id: str
    day: date
    inside: float
    coming: float
    units: float
    able: float
    at_pace: float | None

    @property
    def needed(self) -> float:
        """All that is asked of the trade."""
        return self.inside + self.coming + self.units


@dataclass(frozen=True, slots=True)
class PlacesDay:
    """One stage on one working day.

    Parameters
    ----------
    inside, coming : pieces there on the mean of the day, positions or not.
    positions : positions in use.
    """

    shop_id: str
    stage_id: str
    day: date
    inside: float
    coming: float
    positions: int


class _Stay(NamedTuple):
    stage_id: str
    type_id: str
    begins: float
    ends: float
    inside: bool


@dataclass(frozen=True)
class Load:
    """What loads the days ahead: all of one standing.

    Parameters
    ----------
    coming : type and moment of each vehicle still to be let in.
    asked : demand, for the units.
    line : line of the plan, for route and pace; None: none, then nothing coming is placed.
    """

    works: Works
    standing: Standing
    seen: Ahead
    asked: Demand
    coming: Sequence[tuple[str, datetime]] = ()
    line: Line | None = None


def people_days(given: Load, days: int = DAYS) -> tuple[PeopleDay, ...]:
    """Every trade of every shop, day by day, in order of shop, trade and day.

    Equations
    ---------
    The standard hours of a stage fall evenly over the stay there; of a stay that spans days each
    day gets its share. A vehicle to be let in passes each stage at the earliest time of its route
    (critical path). Units: demand a day times the standard hours of one.
    """
    needed = _stage_hours(given, days)
    units = _unit_hours(given)
    usual, today = (
        able_hours_a_day(given.works),
        hours_today(given.works, given.standing, given.seen.now.date()),
    )
    pace = _pace(given)
    found = []
    for key in sorted({*usual, *units, *(work for work, _, _ in needed)}):
        for place, day, share in _days(given.seen, days):
            able = today.get(key, (usual.get(key, 0.0), False))[0] if not place else usual.get(key)
            found.append(
                PeopleDay(
                    key.shop_id,
                    key.trade_id,
                    day,
                    needed[key, place, True],
                    needed[key, place, False],
                    units.get(key, 0.0) * share,
                    (able or 0.0) * share,
                    pace.get(key, 0.0) if given.line else None,
                )
            )
    return tuple(found)


def places_days(given: Load, days: int = DAYS) -> tuple[PlacesDay, ...]:
    """Every stage, day by day, in the order of the stages table."""
    there: dict[tuple[str, int, bool], float] = defaultdict(float)
    for stay in _stays(given):
        for place, share in _shares(given.seen, stay, days):
            there[stay.stage_id, place, stay.inside] += share
    closed: dict[str, int] = defaultdict(int)
    for stage_id, _ in given.standing.out_of_use:
        closed[stage_id] += 1
    return tuple(
        PlacesDay(
            stage.shop_id,
            stage.stage_id,
            day,
            there[stage.stage_id, place, True] / share,
            there[stage.stage_id, place, False] / share,
            stage.positions - closed[stage.stage_id],
        )
        for stage in given.works.stages
        for place, day, share in _days(given.seen, days)
    )


def _days(seen: Ahead, days: int) -> Iterator[tuple[int, date, float]]:
    """Place, date, and how much of the day still lies ahead."""
    start = int(seen.clock.start_of_day(seen.now_day))
    for place in range(days):
        left = start + 1 - seen.now_day if not place else 1.0
        yield place, seen.clock.calendar.days[start + place], max(_SAME, left)


def _shares(seen: Ahead, stay: _Stay, days: int) -> Iterator[tuple[int, float]]:
    """Place of a day, and how much of the stay falls into it [working days]."""
    start = int(seen.clock.start_of_day(seen.now_day))
    begins = max(stay.begins, seen.now_day)
    for place in range(max(0, int(begins) - start), days):
        share = min(stay.ends, start + place + 1) - max(begins, start + place)
        if share <= 0:
            return
        yield place, share


def _stage_hours(given: Load, days: int) -> dict[tuple[Work, int, bool], float]:
    shops = {one.stage_id: one.shop_id for one in given.works.stages}
    of_stage = {
        (stage_id, one.type_id): stage_hours(given.works, stage_id, one.type_id)
        for stage_id in shops
        for one in given.works.vehicle_types
    }
    found: dict[tuple[Work, int, bool], float] = defaultdict(float)
    for stay in _stays(given):
        length = max(_SAME, stay.ends - stay.begins)
        hours = of_stage.get((stay.stage_id, stay.type_id), {})
        for place, share in _shares(given.seen, stay, days):
            for trade_id, each in hours.items():
                key = Work(shops[stay.stage_id], trade_id), place, stay.inside
                found[key] += each * share / length
    return found


def _stays(given: Load) -> Iterator[_Stay]:
    for one in given.seen.stays:
        yield _Stay(one.stage_id, one.type_id, one.begins, one.ends, True)
    route = defaultdict(list)
    for row in given.line.route if given.line else ():
        route[row.type_id].append(row)
    counts = _counts(given.works)
    for type_id, moment in given.coming:
        begins = given.seen.clock.day_of(moment)
        for row in route[type_id]:
            stay = _Stay(
                row.stage_id,
                type_id,
                begins + row.earliest_start_day,
                begins + row.earliest_end_day,
                False,
            )
            for _ in range(counts.get((type_id, row.stage_id), 1)):
                yield stay


def _counts(works: Works) -> dict[tuple[str, str], int]:
    """Type and stage -> pieces of one vehicle that pass it."""
    many = {(one.type_id, one.assembly_id): one.count for one in works.assemblies}
    return {
        (one.type_id, stage.stage_id): many.get((one.type_id, stage.assembly_id), 1)
        for one in works.vehicle_types
        for stage in works.stages
    }


def _unit_hours(given: Load) -> dict[Work, float]:
    found: dict[Work, float] = defaultdict(float)
    for kind in given.works.unit_kinds:
        a_day = given.asked.a_day.get(kind.unit_kind_id, 0.0)
        for trade_id, each in unit_hours(given.works, kind.unit_kind_id).items():
            found[Work(kind.shop_id, trade_id)] += a_day * each
    return found


def _pace(given: Load) -> dict[Work, float]:
    trades = given.line.trades if given.line else ()
    week = given.works.week_days
    return {Work(one.shop_id, one.trade_id): one.hours_mean / week for one in trades}
