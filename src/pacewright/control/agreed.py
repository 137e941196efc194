"""The programme as it is agreed: what the plan says, and over it the calls that are booked.

The plan keeps the day of every vehicle that was called in when it was made. What is booked after
that, moved or called off is set over it, until the next plan takes it up.
"""

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

from pacewright.base.calendar import Week
from pacewright.callin.absence import last_weeks_away, stays_of_booked, whole_days
from pacewright.callin.booked import Booked, comes_on
from pacewright.callin.paper import When, call_of, zone_of
from pacewright.callin.problem import is_dated
from pacewright.events.standing import Phase, Standing, VehicleStanding
from pacewright.fleet.windows import DueWindow
from pacewright.plans.plan import Plan
from pacewright.plans.programme import BookedCall, Call, Zone
from pacewright.works import Works

CALLED_OFF = "its call was called off after the plan was made; the next plan gives it a week"


@dataclass(frozen=True, slots=True)
class Awaited:
    """A vehicle that was called in and has not come.

    Parameters
    ----------
    booked_day : day its depot was told.
    planned_day : day on which the plan has it come; None: it has no day in it.
    limit : last day it may run; None: cannot be told.
    late_days : days since the day booked, when that has passed; else 0.
    """

    vehicle_id: str
    type_id: str
    depot_id: str
    booked_day: date
    planned_day: date | None
    limit: date | None
    late_days: int = 0


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

    def put(self, call: Call | BookedCall, times: int = 1) -> None:
        """Count a call in; ``times`` -1: take it out. One without a call only holds room."""
        if isinstance(call, Call) and 0 <= call.week < len(self._plan.programme.weeks):
            self.called[call.week] += times
            self.by_type[call.type_id, call.week] += times
        for week in self.weeks_away(call):
            self.away[call.depot_id, week] += times
        for week in self.weeks_inside(call):
            self.inside[week] += times

    def weeks_away(self, call: Call | BookedCall) -> range:
        """Weeks in which a call keeps its vehicle from its depot, by the rule of the programme."""
        depots = {one.depot_id: one.travel_days for one in self._works.depots}
        if call.week >= len(self._calendar_weeks) or call.depot_id not in depots:
            return range(0)
        if call.week < 0 or isinstance(call, BookedCall):
            return self._weeks_of_stay(call, depots[call.depot_id])
        days = self._turn(call.type_id) + 2 * depots[call.depot_id]
        if days not in self._lasts:
            lasts = last_weeks_away(self._works, self._calendar_weeks, days)
            self._lasts[days] = [int(one) for one in lasts]
        return range(call.week, min(self._lasts[days][call.week] + 1, len(self._calendar_weeks)))

    def _weeks_of_stay(self, call: Call | BookedCall, travel_days: float) -> range:
        works, monday = self._works, self._calendar_weeks[0].monday
        [stay] = stays_of_booked(
            works, [Booked(call.vehicle_id, call.type_id, call.depot_id, call.day, call.day, False)]
        )
        origin = bisect_left(works.calendar.days, works.settings.plan.start)
        home = works.calendar.days[min(origin + stay.away_until, len(works.calendar.days) - 1)]
        last = min((home - monday).days // 7, len(self._calendar_weeks) - 1)
        return range(max(0, call.week), last + 1)

    def weeks_inside(self, call: Call | BookedCall) -> Iterator[int]:
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
    works : brought up to the record (``as_recorded``).
    """
    booked = {
        one.vehicle_id: one
        for one in standing.vehicles.values()
        if one.phase is Phase.CALLED and one.due_in is not None
    }
    windows = {one.vehicle_id: one for one in plan.windows if one.visit == 1}
    planned: dict[str, Call | BookedCall] = {one.vehicle_id: one for one in plan.programme.booked}
    planned |= {one.vehicle_id: one for one in plan.programme.calls if one.visit == 1}
    counts = Counts(works, plan)
    for one in plan.programme.booked:
        if _is_off(one.vehicle_id, standing):
            counts.put(one, -1)
    moved = {}
    for vehicle_id, known in booked.items():
        call = _booked_call(works, plan, known, windows.get(vehicle_id))
        old = planned.get(vehicle_id)
        if isinstance(old, Call) and call and (old.called_for, old.day) == (known.due_in, call.day):
            moved[vehicle_id] = old
            continue
        if old is not None:
            counts.put(old, -1)
        if call is not None:
            counts.put(call)
        if isinstance(call, Call):
            moved[vehicle_id] = call
    left = [
        _as_left(one, standing)
        for one in plan.programme.calls
        if one.visit > 1 or one.vehicle_id not in booked
    ]
    calls = sorted([*left, *moved.values()], key=lambda one: (one.day, one.order, one.vehicle_id))
    waits = [_awaited(plan, one, planned.get(key), windows.get(key)) for key, one in booked.items()]
    waits.sort(key=lambda one: (one.booked_day, one.vehicle_id))
    return Agreed(plan, works, tuple(calls), tuple(waits), counts)


def _as_left(call: Call, standing: Standing) -> Call:
    """A call of the plan; one that was booked and is called off says so."""
    if call.called_for is None or not _is_off(call.vehicle_id, standing):
        return call
    return replace(call, called_for=None, note=CALLED_OFF)


def _is_off(vehicle_id: str, standing: Standing) -> bool:
    known = standing.vehicles.get(vehicle_id)
    return known is not None and known.phase is Phase.IN_SERVICE


def _awaited(
    plan: Plan,
    known: VehicleStanding,
    call: Call | BookedCall | None,
    window: DueWindow | None,
) -> Awaited:
    assert known.due_in is not None
    return Awaited(
        known.vehicle_id,
        known.type_id,
        known.depot_id,
        known.due_in,
        call.day if call else None,
        window.limit if window else None,
        max(0, (plan.today - known.due_in).days),
    )


def _booked_call(
    works: Works, plan: Plan, known: VehicleStanding, window: DueWindow | None
) -> Call | BookedCall | None:
    """Its call on the day booked, or on the first of the plan when that has passed."""
    told = known.due_in
    day = comes_on(works, told) if told is not None else None
    if told is None or day is None:
        return None
    overdue = told < works.settings.plan.today
    booked = Booked(known.vehicle_id, known.type_id, known.depot_id, told, day, overdue)
    call = call_on(works, plan, window, day, booked.note) if window is not None else None
    if call is not None:
        return replace(call, called_for=told)
    week = (day - plan.programme.weeks[0].monday).days // 7
    return BookedCall(known.vehicle_id, known.type_id, known.depot_id, told, day, max(-1, week))


def call_on(works: Works, plan: Plan, window: DueWindow, day: date, note: str = "") -> Call | None:
    """The call-in of a vehicle on a day; None: its dates cannot be told.

    Its order is 0: nobody has given it a place among those of its week. Before the plan starts it
    stands in week -1.
    """
    if not is_dated(window):
        return None
    week = (day - plan.programme.weeks[0].monday).days // 7 if day >= plan.start else -1
    zone = zone_of(works, week) if week >= 0 and not note else Zone.FIRM
    return call_of(window, day, When(week, zone), note)
