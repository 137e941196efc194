"""The programme as it is agreed: what the plan says, and over it the calls that are booked.

The plan gives every vehicle a week anew each day. A vehicle that was called in is awaited on the
day its depot was told, whatever the plan would say now; so that day is set over the plan's.
"""

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from pacewright.base.calendar import Week
from pacewright.callin.absence import last_weeks_away, whole_days
from pacewright.callin.paper import When, call_of, is_dated, zone_of
from pacewright.events.standing import Phase, Standing, VehicleStanding
from pacewright.fleet.windows import DueWindow
from pacewright.plans.plan import Plan
from pacewright.plans.programme import Call, Zone
from pacewright.works import Works

BOOKED = "called in for this day"


@dataclass(frozen=True, slots=True)
class Awaited:
    """A vehicle that was called in and has not come.

    Parameters
    ----------
    booked_day : day its depot was told.
    planned_day : day the plan would give it now; None: none.
    limit : last day it may run; None: cannot be told.
    """

    vehicle_id: str
    type_id: str
    depot_id: str
    booked_day: date
    planned_day: date | None
    limit: date | None


class Counts:
    """What the weeks of the programme come to, while calls are taken out and put in.

    Parameters
    ----------
    works : the works as planned.
    plan : its plan; the counts begin with those of its programme.
    """

    def __init__(self, works: Works, plan: Plan) -> None:
        self._works, self._plan = works, plan
        weeks = plan.programme.weeks
        self.called = Counter({one.index: one.called for one in weeks})
        self.by_type = Counter(
            {(t, one.index): count for one in weeks for t, count in one.called_by_type.items()}
        )
        self.away = Counter({(d.depot_id, d.week): d.away for d in plan.programme.depot_weeks})
        self.inside = Counter({one.index: one.inside_end for one in weeks})
        self._lasts: dict[float, list[int]] = {}

    @classmethod
    def none(cls, works: Works, plan: Plan) -> "Counts":
        """Counts that begin at nothing, for what a change comes to."""
        found = cls(works, plan)
        for one in (found.called, found.by_type, found.away, found.inside):
            one.clear()
        return found

    def put(self, call: Call, times: int = 1) -> None:
        """Count a call in; ``times`` -1: take it out."""
        if 0 <= call.week < len(self._plan.programme.weeks):
            self.called[call.week] += times
            self.by_type[call.type_id, call.week] += times
        for week in self.weeks_away(call):
            self.away[call.depot_id, week] += times
        for week in self.weeks_inside(call):
            self.inside[week] += times

    def weeks_away(self, call: Call) -> range:
        """Weeks in which a call keeps its vehicle from its depot, by the rule of the programme."""
        depots = {one.depot_id: one.travel_days for one in self._works.depots}
        if call.week < 0 or call.week >= len(self._calendar_weeks) or call.depot_id not in depots:
            return range(0)
        days = self._turn(call.type_id) + 2 * depots[call.depot_id]
        if days not in self._lasts:
            lasts = last_weeks_away(self._works, self._calendar_weeks, days)
            self._lasts[days] = [int(one) for one in lasts]
        return range(call.week, min(self._lasts[days][call.week] + 1, len(self._calendar_weeks)))

    def weeks_inside(self, call: Call) -> Iterator[int]:
        """Weeks at whose end its vehicle would be inside."""
        days = self._works.calendar.days
        first = bisect_left(days, call.day)
        out = first + whole_days(self._turn(call.type_id))
        for week in self._calendar_weeks[max(0, call.week) :]:
            end = bisect_left(days, date.fromordinal(week.sunday.toordinal() + 1)) - 1
            if end >= out:
                return
            if first <= end:
                yield week.index

    def _turn(self, type_id: str) -> float:
        return next(t.turn_days for t in self._works.vehicle_types if t.type_id == type_id)

    @cached_property
    def _calendar_weeks(self) -> tuple[Week, ...]:
        plan = self._works.settings.plan
        return self._works.calendar.weeks(plan.start, plan.horizon_weeks)


@dataclass(frozen=True)
class Agreed:
    """The programme with what is booked.

    Parameters
    ----------
    calls : every call-in, in order of day; those booked on the day booked, with that note.
    awaited : the vehicles called in and not come, in order of day.
    counts : the weeks, with what is booked.
    """

    plan: Plan
    works: Works
    calls: tuple[Call, ...]
    awaited: tuple[Awaited, ...]
    counts: Counts

    @cached_property
    def first_windows(self) -> Mapping[str, DueWindow]:
        """Vehicle -> window of its next visit."""
        return {one.vehicle_id: one for one in self.plan.windows if one.visit == 1}

    def call_of(self, vehicle_id: str) -> Call | None:
        """The call-in of its next visit; None: it has none, or it is here already."""
        mine = (one for one in self.calls if one.vehicle_id == vehicle_id and one.visit == 1)
        return next(mine, None)


def agreed(works: Works, plan: Plan, standing: Standing) -> Agreed:
    """Set what is booked over the plan.

    Parameters
    ----------
    works : the works from which the plan was made.
    """
    booked = {
        one.vehicle_id: one
        for one in standing.vehicles.values()
        if one.phase is Phase.CALLED and one.due_in is not None
    }
    windows = {one.vehicle_id: one for one in plan.windows if one.visit == 1}
    planned = {one.vehicle_id: one for one in plan.programme.calls if one.visit == 1}
    counts, moved = Counts(works, plan), {}
    for vehicle_id, known in booked.items():
        call = _booked_call(works, plan, known, windows.get(vehicle_id))
        if vehicle_id in planned:
            counts.put(planned[vehicle_id], -1)
        if call is not None:
            counts.put(call)
            moved[vehicle_id] = call
    left = [one for one in plan.programme.calls if one.visit > 1 or one.vehicle_id not in booked]
    calls = sorted([*left, *moved.values()], key=lambda one: (one.day, one.order, one.vehicle_id))
    waits = [_awaited(one, planned.get(key), windows.get(key)) for key, one in booked.items()]
    waits.sort(key=lambda one: (one.booked_day, one.vehicle_id))
    return Agreed(plan, works, tuple(calls), tuple(waits), counts)


def _awaited(known: VehicleStanding, call: Call | None, window: DueWindow | None) -> Awaited:
    assert known.due_in is not None
    return Awaited(
        known.vehicle_id,
        known.type_id,
        known.depot_id,
        known.due_in,
        call.day if call else None,
        window.limit if window else None,
    )


def _booked_call(
    works: Works, plan: Plan, known: VehicleStanding, window: DueWindow | None
) -> Call | None:
    if window is None or known.due_in is None:
        return None
    return call_on(works, plan, window, known.due_in, BOOKED)


def call_on(works: Works, plan: Plan, window: DueWindow, day: date, note: str = "") -> Call | None:
    """The call-in of a vehicle on a day; None: its dates cannot be told.

    Its order is 0: nobody has given it a place among those of its week.
    """
    if not is_dated(window):
        return None
    week = (day - plan.programme.weeks[0].monday).days // 7
    zone = zone_of(works, week) if week >= 0 else Zone.FIRM
    return call_of(window, day, When(week, zone), note)
