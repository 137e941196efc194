"""Absences: how long a vehicle called in stays inside and away, in days and in whole weeks."""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

from pacewright.base.calendar import Week
from pacewright.callin.booked import Booked
from pacewright.works import Works

Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Stay:
    """A vehicle in the works without a call of the plan; days from the plan's first day 0.

    Parameters
    ----------
    inside_until, away_until : last day inside, and away.
    guessed : it should be out already, so the days are a guess.
    begins : day it comes; 0: it is there at the start.
    """

    depot: int
    inside_until: int
    away_until: int
    guessed: bool
    begins: int = 0


def last_weeks_away(works: Works, weeks: Sequence[Week], working_days: float) -> Ints:
    """For each week, the last week of an absence that starts on its first working day.

    This is the rule by which absences are counted: in whole weeks, from the week of the call to
    the week in which a vehicle called on the first working day would come back.
    """
    calendar, start = works.calendar, works.settings.plan.start
    found = []
    for week in weeks:
        first = bisect_left(calendar.days, max(week.monday, start))
        place = first + whole_days(working_days) - 1
        last = calendar.days[min(place, len(calendar.days) - 1)]
        found.append((last - weeks[0].monday).days // 7)
    return np.array(found, dtype=np.int64)


def stays_at_start(works: Works) -> tuple[Stay, ...]:
    """The vehicles in the works at the start.

    A vehicle is expected out on the day it is promised for, else ``turn_days`` after ``gate_in``.
    One that should be out already is taken to need one more full working week: a guess, and marked
    so.
    """
    days = works.calendar.days
    depots = {depot.depot_id: place for place, depot in enumerate(works.depots)}
    turn = {one.type_id: one.turn_days for one in works.vehicle_types}
    origin = bisect_left(days, works.settings.plan.start)
    found = []
    for vehicle in works.vehicles:
        if vehicle.state != "inside":
            continue
        if vehicle.promised is not None:
            out = bisect_right(days, vehicle.promised) - 1 - origin
        else:
            came = bisect_left(days, vehicle.gate_in or works.settings.plan.today)
            out = came + whole_days(turn[vehicle.type_id]) - 1 - origin
        guessed = out < 0
        if guessed:
            out = works.week_days - 1
        depot = depots[vehicle.depot_id]
        home = out + ceil(works.depots[depot].travel_days - 1e-9)
        found.append(Stay(depot, out, home, guessed))
    return tuple(found)


def stays_of_booked(works: Works, booked: Sequence[Booked]) -> tuple[Stay, ...]:
    """The stays of vehicles called in that have no call of the plan, ``turn_days`` from their day.

    Parameters
    ----------
    booked : as ``booked.beside_the_weeks`` finds them; each has its day.
    """
    days = works.calendar.days
    depots = {depot.depot_id: place for place, depot in enumerate(works.depots)}
    turn = {one.type_id: one.turn_days for one in works.vehicle_types}
    origin = bisect_left(days, works.settings.plan.start)
    found = []
    for one in booked:
        assert one.day is not None
        first = bisect_left(days, one.day) - origin
        depot = depots[one.depot_id]
        out = max(-1, first + whole_days(turn[one.type_id]) - 1)
        home = out + ceil(works.depots[depot].travel_days - 1e-9)
        found.append(Stay(depot, out, home, False, max(0, first)))
    return tuple(found)


def counted_by_week(works: Works, weeks: Sequence[Week], spans: Sequence[tuple[int, int]]) -> Ints:
    """How many of the stays, from and until these days, reach into each week."""
    days = works.calendar.days
    origin = bisect_left(days, works.settings.plan.start)
    counts = np.zeros(len(weeks), dtype=np.int64)

    def week_of(place: int) -> int:
        return (days[min(origin + place, len(days) - 1)] - weeks[0].monday).days // 7

    for begins, until in spans:
        counts[week_of(begins) if begins else 0 : week_of(until) + 1] += 1
    return counts


def whole_days(working_days: float) -> int:
    """Working days begun: an absence takes at least one."""
    return max(1, ceil(working_days - 1e-9))
