"""The programme written out: calls, weeks, depots, and what could not be placed."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from math import erf, sqrt
from typing import NamedTuple

import numpy as np

from pacewright.callin.absence import Ints
from pacewright.callin.booked import Booked, booked_calls
from pacewright.callin.order import Order
from pacewright.callin.problem import HAVE_WINDOW, NO_LIMIT, Problem, day_of, is_dated
from pacewright.fleet.windows import DueWindow, Standing
from pacewright.plans.programme import BookedCall, Call, DepotWeek, ProgrammeWeek, Unplaced, Zone
from pacewright.works import Works

STANDS = "past its limit: must stand until called in"
IN_GUARD = "past its latest day: uses the guard kept for forecast error; read its odometer first"
NO_DAY = "its window holds no working day"
TOO_EARLY = "before its window opens"


@dataclass(frozen=True)
class Settled:
    """What the methods settled: week of each demand (horizon: none) and order within the weeks."""

    works: Works
    windows: Sequence[DueWindow]
    problem: Problem
    week: Ints
    order: Order


def zone_of(works: Works, week: int) -> Zone:
    """Zone of a week, counted from the start of the plan."""
    plan = works.settings.plan
    if week < plan.firm_weeks:
        return Zone.FIRM
    return Zone.PLANNED if week < plan.planned_weeks else Zone.OUTLINE


def chance_past(days_past: int, sd_days: float) -> float:
    """Chance that the true limit falls before the day.

    Parameters
    ----------
    days_past : day less limit [days]; negative when the limit is still ahead.
    sd_days : standard deviation of the limit as forecast today [days].
    """
    if sd_days <= 0:
        return 1.0 if days_past > 0 else 0.0
    return 0.5 * (1 + erf(days_past / (sd_days * sqrt(2))))


def calls_of(settled: Settled) -> tuple[Call, ...]:
    """Every call, by week and order of arrival."""
    problem, order, week = settled.problem, settled.order, settled.week
    days = [day_of(problem, place) for place in range(len(problem.days))]
    zones = [zone_of(settled.works, number) for number in range(problem.horizon)]
    demands, booked = problem.demands, booked_calls(settled.works)
    placed = np.flatnonzero(week < problem.horizon)
    placed = placed[np.lexsort((order.place[placed], week[placed]))]
    columns = (demands.window, week, order.day, order.place, demands.no_day, demands.booked)
    found = []
    for window_at, week_at, day_at, place, no_day, booked_at in zip(
        *(column[placed].tolist() for column in columns), strict=True
    ):
        window, day = settled.windows[window_at], days[day_at]
        told = booked[window.vehicle_id] if booked_at >= 0 else None
        zone = zones[week_at] if told is None else Zone.FIRM
        note = _note(window, day, no_day and told is None, told)
        call = call_of(window, day, When(week_at, zone, place), note)
        found.append(call if told is None else replace(call, called_for=told.told))
    return tuple(found)


class When(NamedTuple):
    """Where a call stands in the programme.

    Parameters
    ----------
    week : counted from the start of the plan.
    order : place among the calls of the week; 0: none was given yet.
    """

    week: int
    zone: Zone
    order: int = 0


def call_of(window: DueWindow, day: date, when: When, note: str = "") -> Call:
    """The call of a visit on a day.

    Parameters
    ----------
    window : one whose dates are all known (see ``is_dated``).
    """
    opens, due, limit, latest = window.opens, window.due, window.limit, window.latest
    assert opens and due and limit and latest
    past = (day - limit).days
    return Call(
        vehicle_id=window.vehicle_id,
        type_id=window.type_id,
        depot_id=window.depot_id,
        visit=window.visit,
        week=when.week,
        day=day,
        order=when.order,
        zone=when.zone,
        opens=opens,
        due=due,
        limit=limit,
        latest=latest,
        due_by=window.due_by or "",
        life_given_days=max(0, (due - day).days),
        spare_days=-past,
        chance_past_limit=chance_past(past, window.limit_sd_days),
        note=note,
    )


def booked_of(works: Works, beside: Sequence[Booked]) -> tuple[BookedCall, ...]:
    """Those called in that have no call of the plan, in order of the day they come."""
    monday = works.calendar.weeks(works.settings.plan.start, 1)[0].monday
    found = [
        BookedCall(
            one.vehicle_id,
            one.type_id,
            one.depot_id,
            one.told,
            one.day,
            (one.day - monday).days // 7 if one.day >= works.settings.plan.start else -1,
        )
        for one in beside
        if one.day is not None
    ]
    return tuple(sorted(found, key=lambda one: (one.day, one.vehicle_id)))


def _note(window: DueWindow, day: date, no_day: bool, told: Booked | None) -> str:
    assert window.opens and window.limit and window.latest
    notes = [NO_DAY] if no_day else []
    if told is not None:
        notes.append(told.note)
        if day < window.opens:
            notes.append(TOO_EARLY)
    if day > window.limit:
        notes.append(STANDS)
    elif day > window.latest:
        notes.append(IN_GUARD)
    return "; ".join(notes)


def unplaced_of(settled: Settled) -> tuple[Unplaced, ...]:
    """Vehicles without a call: those with no window, and those no week could take."""
    problem = settled.problem
    end = problem.weeks[-1].sunday
    left_out = set(problem.demands.window[settled.week >= problem.horizon].tolist())
    booked = booked_calls(settled.works)
    found = []
    for place, window in enumerate(settled.windows):
        told = booked.get(window.vehicle_id) if window.visit == 1 else None
        if told is not None and is_dated(window):
            if told.day is not None and told.day <= end:
                continue
            reason = f"called in for {told.told}, after the last day of the plan, {end}"
            remedy = "Lengthen plan.horizon_weeks, or call it in for an earlier day."
        elif place in left_out:
            reason, remedy = _no_room(window, end.isoformat())
        elif has_no_day_left(window, day_of(problem, -1), problem.weeks[-1].sunday):
            reason = (
                "its window opens after the last working day of the plan and closes before its end"
            )
            remedy = "Let it come earlier, or lengthen plan.horizon_weeks."
        elif window.standing is Standing.UNKNOWN and not is_dated(window):
            reason = window.note or "cannot be told when it is due"
            if told is not None:
                reason = f"called in for {told.told}: it holds its room in the plan; {reason}"
            remedy = "Give its odometer reading or its last overhaul; until then treat it as due."
        else:
            continue
        found.append(
            Unplaced(
                vehicle_id=window.vehicle_id,
                type_id=window.type_id,
                depot_id=window.depot_id,
                due=window.due,
                limit=window.limit,
                reason=reason,
                remedy=remedy,
            )
        )
    return tuple(found)


def has_no_day_left(window: DueWindow, last_working_day: date, end: date) -> bool:
    """True when all of a window lies between the last working day and the end of the plan."""
    if window.standing not in HAVE_WINDOW or not window.opens or not window.latest:
        return False
    return last_working_day < window.opens <= end and window.latest <= end


def _no_room(window: DueWindow, end: str) -> tuple[str, str]:
    if window.visit > 1:
        return (
            f"visit {window.visit}: no week is left for it up to {end} after the visit before",
            "Plan again when the visit before is settled, or ease a limit as named.",
        )
    if window.limit is not None and window.limit.isoformat() > end:
        return (
            f"no room for it up to {end}; its limit {window.limit} lies after that",
            "Leave it to the next programme, or lengthen plan.horizon_weeks.",
        )
    return (
        f"no room for it up to {end}, and its limit {window.limit} falls before that",
        "It must stand from its limit on; ease the pace or a limit as named.",
    )


def weeks_of_programme(settled: Settled) -> tuple[ProgrammeWeek, ...]:
    """The weeks with their counts."""
    works, problem, week = settled.works, settled.problem, settled.week
    placed = week < problem.horizon
    table = np.zeros((problem.horizon, len(works.vehicle_types)), dtype=np.int64)
    np.add.at(table, (week[placed], problem.demands.type_[placed]), 1)
    inside = inside_on(problem, settled.order.day[placed], problem.demands.type_[placed])
    found = []
    for one, able, counts, ends in zip(
        problem.weeks, problem.able.tolist(), table.tolist(), _last_days(problem), strict=True
    ):
        by_type = {
            type_.type_id: count for type_, count in zip(works.vehicle_types, counts, strict=True)
        }
        found.append(
            ProgrammeWeek(
                index=one.index,
                label=one.label,
                monday=one.monday,
                working_days=len(one.working_days),
                able=able,
                called=sum(counts),
                called_by_type=by_type,
                inside_end=int(inside[ends]) if ends >= 0 else _at_start(problem),
                zone=zone_of(works, one.index),
            )
        )
    return tuple(found)


def _at_start(problem: Problem) -> int:
    return sum(stay.begins == 0 for stay in problem.stays)


def _last_days(problem: Problem) -> list[int]:
    """Place of the last working day up to the end of each week; -1 when none was yet."""
    counts = [len(week.working_days) for week in problem.weeks]
    ends: list[int] = (np.cumsum(counts) - 1).tolist()
    return ends


def inside_on(problem: Problem, day: Ints, type_: Ints) -> Ints:
    """Vehicles inside on each working day of the plan, those inside at the start included."""
    stays = [(stay.begins, stay.inside_until + 1) for stay in problem.stays]
    return _present(problem, day, day + problem.inside_days[type_], stays)


def _present(problem: Problem, first: Ints, back: Ints, stays: Sequence[tuple[int, int]]) -> Ints:
    size = len(problem.days)
    change = np.zeros(size + 1, dtype=np.int64)
    begun, ended = np.array(stays, dtype=np.int64).reshape(-1, 2).T
    for firsts, backs in ((first, back), (begun, ended)):
        np.add.at(change, np.minimum(firsts, size), 1)
        np.add.at(change, np.minimum(backs, size), -1)
    present: Ints = change[:-1].cumsum()
    return present


def depot_weeks_of(settled: Settled) -> tuple[DepotWeek, ...]:
    """Vehicles of each depot away in each week, counted in whole weeks, against its limit."""
    problem, demands, week = settled.problem, settled.problem.demands, settled.week
    placed = week < problem.horizon
    depot, type_, called = demands.depot[placed], demands.type_[placed], week[placed]
    until = problem.away_to[depot, type_, called]
    change = np.zeros((len(problem.depot_limits), problem.horizon + 1), dtype=np.int64)
    np.add.at(change, (depot, called), 1)
    np.add.at(change, (depot, np.minimum(until + 1, problem.horizon)), -1)
    away = change[:, :-1].cumsum(axis=1) + problem.away_before
    return tuple(
        DepotWeek(
            depot_id=one.depot_id,
            week=number,
            away=count,
            limit=one.away_limit,
        )
        for one, counts in zip(settled.works.depots, away.tolist(), strict=True)
        for number, count in enumerate(counts)
    )


def depot_days_over(settled: Settled) -> tuple[int, int]:
    """Working days, and depots, on which more are away day by day than the depot's limit."""
    problem, demands = settled.problem, settled.problem.demands
    placed = np.flatnonzero(settled.week < problem.horizon)
    days = depots = 0
    for depot in np.flatnonzero(problem.depot_limits < NO_LIMIT).tolist():
        mine = placed[demands.depot[placed] == depot]
        day = settled.order.day[mine]
        stays = [(s.begins, s.away_until + 1) for s in problem.stays if s.depot == depot]
        back = day + problem.away_days[depot, demands.type_[mine]]
        over = _present(problem, day, back, stays) > problem.depot_limits[depot]
        days += int(over.sum())
        depots += bool(over.any())
    return days, depots
