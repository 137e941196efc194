"""What the planner must know of the programme beside its tables."""

from collections.abc import Iterator

import numpy as np

from pacewright.callin.absence import Ints
from pacewright.callin.booked import booked_calls
from pacewright.callin.least_pace import worst_interval
from pacewright.callin.paper import Settled, depot_days_over
from pacewright.callin.problem import Bools, Problem
from pacewright.callin.room import beside_booked
from pacewright.callin.run_pace import with_time_for_overdue
from pacewright.callin.whole_weeks import WholePlan
from pacewright.plans.programme import LeastPace

SHOWN = 8
"""Names said before the rest are only counted."""


def notes_of(
    settled: Settled, plan: WholePlan, least: LeastPace, level: float | None
) -> tuple[str, ...]:
    """Sentences: lateness, the pace run at, overdue, guesses, and how even the weeks are."""
    return (
        *_booked(settled),
        *_late(settled, plan),
        *_pace(settled, level),
        *_arrears(settled, least),
        *_overdue(settled, least),
        *_inside(settled),
        *_evenness(settled),
        *_depot_days(settled),
    )


def _booked(settled: Settled) -> list[str]:
    """Who is called in and keeps the day; whose day has passed; what that does to the limits."""
    booked = tuple(booked_calls(settled.works).values())
    if not booked:
        return []
    found = [
        f"Called in and not come: {_some([f'{one.vehicle_id} ({one.told})' for one in booked])}. "
        "Each keeps the day its depot was told, and the others are planned around it. A planner "
        "moves them, nobody else."
    ]
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
    return [*found, *_over_by_booked(settled)]


def _some(names: list[str]) -> str:
    more = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
    return f"{', '.join(names[:SHOWN])}{more}"


def _over_by_booked(settled: Settled) -> Iterator[str]:
    """Every limit that the calls break by themselves, with its weeks."""
    problem, works = settled.problem, settled.works
    with_booked = beside_booked(problem)
    calls = (with_booked.type_before - problem.type_before).sum(axis=0)
    if over := _weeks_over(problem, calls, problem.able):
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


def _late(settled: Settled, plan: WholePlan) -> list[str]:
    demands, week = settled.problem.demands, settled.week
    late = week > demands.latest
    if not late.any() and demands.overdue.any():
        return [
            "Those past their latest day at the start all come in the first week; nobody else "
            "comes later than permitted."
        ]
    if not late.any():
        return ["Nobody comes later than permitted."]
    unable = int((late & demands.overdue).sum())
    return [
        f"{int(late.sum())} vehicles come later than permitted ({unable} of them were past their "
        f"latest day at the start): {plan.late_weeks} vehicle-weeks in all, and no "
        f"plan has fewer than {plan.late_bound}. Each must stand from its limit "
        "until it is called in."
    ]


def _pace(settled: Settled, level: float | None) -> list[str]:
    if not level:
        return []
    return [
        f"No pace is given: the programme runs at {level:.1f} vehicles a week of full working "
        "days, the least in steps of 0.1 at which whole vehicles fit every week."
    ]


def _arrears(settled: Settled, least: LeastPace) -> list[str]:
    """The least pace once what must come in the firm zone has come, if that forces it."""
    problem = settled.problem
    demands = problem.demands
    firm = settled.works.settings.plan.firm_weeks
    if firm >= problem.horizon or least.last >= problem.weeks[firm].monday:
        return []
    counted = ~(demands.overdue | demands.no_day | demands.cut) & (demands.latest >= firm)
    start, end, vehicles = worst_interval(
        demands.first_day[counted], demands.last_day[counted], len(problem.days)
    )
    later = vehicles / (end - start + 1) * settled.works.week_days
    return [
        f"The least pace of {least.vehicles_a_week:.1f} a week is forced by {least.vehicles} "
        f"vehicles that must come from {least.first} to {least.last}; those that close after the "
        f"firm zone ask for {later:.1f} a week."
    ]


def _overdue(settled: Settled, least: LeastPace) -> list[str]:
    problem, works = settled.problem, settled.works
    demands, plan = problem.demands, works.settings.plan
    overdue = int((demands.overdue & (demands.booked < 0)).sum())
    found = []
    if overdue:
        eased = with_time_for_overdue(demands, plan.firm_weeks, problem.weeks)
        counted = ~(demands.no_day | demands.cut)
        first, end, count = worst_interval(
            demands.first_day[counted], eased.last_day[counted], len(problem.days)
        )
        pace = max(least.vehicles_a_day, count / (end - first + 1)) * works.week_days
        found.append(
            f"{overdue} vehicles were past their latest day at the start and come as soon as there "
            f"is room. They are not in the least pace; to call all in within the firm zone of "
            f"{plan.firm_weeks} weeks the least pace is {pace:.1f} a week instead of "
            f"{least.vehicles_a_week:.1f}."
        )
    no_day = int((demands.no_day & ~demands.overdue & (demands.booked < 0)).sum())
    if no_day:
        found.append(
            f"{no_day} vehicles have a window without a working day and are called after it; "
            "let them come earlier, or work a day inside it."
        )
    return found


def _inside(settled: Settled) -> list[str]:
    guessed = sum(stay.guessed for stay in settled.problem.stays)
    if not guessed:
        return []
    return [
        f"{guessed} vehicles inside should be out already; each is taken to need one more full "
        "working week. Give the day they are promised for in the column promised, or in the record."
    ]


def _evenness(settled: Settled) -> list[str]:
    problem, week = settled.problem, settled.week
    calls = np.bincount(week[week < problem.horizon], minlength=problem.horizon)
    full = np.array([len(w.working_days) for w in problem.weeks]) == settled.works.week_days
    if not full.any() or not calls.any():
        return []
    numbers = calls[full]
    return [
        f"Full weeks call {numbers.min()} to {numbers.max()} vehicles, {numbers.mean():.1f} on "
        f"average (standard deviation {numbers.std():.1f}). Within a week no type runs more than "
        f"{settled.order.strayed_most:.1f} vehicles ahead of or behind its even share."
    ]


def _depot_days(settled: Settled) -> list[str]:
    days, depots = depot_days_over(settled)
    if not days:
        return []
    before = beside_booked(settled.problem).away_before
    broken = (before > settled.problem.depot_limits[:, None]).any()
    but = ", but for what is inside or called in already" * bool(broken)
    return [
        f"Depot limits are kept by whole weeks{but}. Counted day by day, a vehicle not yet back "
        f"when the next leaves, the limit is passed on {days} depot-days in all, at {depots} of "
        "the depots."
    ]
