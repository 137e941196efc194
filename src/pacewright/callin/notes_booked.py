"""What the planner must know of the vehicles called in: who keeps a day, and what that breaks."""

from collections.abc import Iterator

import numpy as np

from pacewright.callin.absence import Ints
from pacewright.callin.booked import booked_calls
from pacewright.callin.paper import Settled
from pacewright.callin.problem import Bools, Problem, pace_by_week
from pacewright.callin.room import beside_booked
from pacewright.works import Works

SHOWN = 8
"""Names said before the rest are only counted."""


def notes_of_booked(settled: Settled, level: float | None) -> list[str]:
    """Who is called in and keeps the day; whose day has passed; what that does to the limits."""
    booked = tuple(booked_calls(settled.works).values())
    if not booked:
        return []
    found = []
    if ahead := [f"{one.vehicle_id} ({one.told})" for one in booked if not one.overdue]:
        found.append(
            f"Called in and to come: {_some(ahead)}. Each keeps the day its depot was told, and "
            "the others are planned around it. A planner moves them, nobody else."
        )
    plan = settled.works.settings.plan
    if passed := [f"{one.vehicle_id} ({one.told})" for one in booked if one.overdue]:
        found.append(
            f"Called in, their day has passed and they are not here: {_some(passed)}. They are "
            "planned for the first working day of the plan. Ask their depots; then book a new day, "
            "or call them off."
        )
    if before := [one.vehicle_id for one in booked if one.day and one.day < plan.start]:
        found.append(
            f"Of them come before the plan starts on {plan.start}: {_some(before)}. They stand in "
            "no week of it, and count as inside and away from its first day on."
        )
    return [*found, *_leaving(settled.works), *_over_by_booked(settled, level)]


def _leaving(works: Works) -> Iterator[str]:
    """Who is called in for a day on which it has left the fleet."""
    booked = booked_calls(works)
    leaving = [
        f"{one.vehicle_id} (called for {booked[one.vehicle_id].told}, leaves on {one.withdraw_on})"
        for one in works.vehicles
        if one.vehicle_id in booked
        and one.withdraw_on is not None
        and (booked[one.vehicle_id].day or one.withdraw_on) > one.withdraw_on
    ]
    if leaving:
        yield (
            f"vehicles.csv: called in for a day after withdraw_on: {_some(leaving)}. They hold "
            "room in the plan all the same, for their depots were told. Call them off, or correct "
            "withdraw_on."
        )


def _some(names: list[str]) -> str:
    more = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
    return f"{', '.join(names[:SHOWN])}{more}"


def _over_by_booked(settled: Settled, level: float | None) -> Iterator[str]:
    """Every limit that the calls break by themselves, with its weeks."""
    problem, works = settled.problem, settled.works
    with_booked = beside_booked(problem)
    calls = (with_booked.type_before - problem.type_before).sum(axis=0)
    # A week may run ahead by the part of a vehicle that the running total cuts off.
    pace = np.ceil(np.array(pace_by_week(works, problem.weeks, level)) - 1e-9).astype(np.int64)
    if over := _weeks_over(problem, calls, np.maximum(problem.able, pace)):
        yield (
            f"More are called in than the pace allows in {over}. Move some to another week, or "
            "let the works take them."
        )
    for place, one in enumerate(works.vehicle_types):
        count, before = with_booked.type_before[place], problem.type_before[place]
        if over := _weeks_over(problem, count, problem.type_limits[place], count > before):
            yield (
                f"More of type {one.type_id} are called in than its week_limit allows in {over}. "
                "No other of the type comes then. Move some to another week, or let the works "
                "take them."
            )
    for place, depot in enumerate(works.depots):
        count, before = with_booked.away_before[place], problem.away_before[place]
        if over := _weeks_over(problem, count, problem.depot_limits[place], count > before):
            yield (
                f"Those called in and inside of depot {depot.depot_id} are more than its "
                f"away_limit allows in {over}. No other of its vehicles comes then. Move some to "
                "another week, or ask the depot to spare more."
            )
    count, before = with_booked.inside_before, problem.inside_before
    if over := _weeks_over(problem, count, np.int64(problem.inside_limit), count > before):
        yield (
            f"With those called in more are inside than inside_limit allows in {over}. Nobody "
            "else comes then. Move some to another week, or make room."
        )


def _weeks_over(
    problem: Problem, count: Ints, limit: Ints | np.int64, told: Bools | bool = True
) -> str:
    """Weeks in which those called in bring the count over its limit, in words; else empty."""
    limits = np.broadcast_to(limit, count.shape)
    return _some(
        [
            f"{problem.weeks[week].label} ({count[week]}, allowed {limits[week]})"
            for week in np.flatnonzero((count > limits) & told).tolist()
        ]
    )
