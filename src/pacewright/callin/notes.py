"""What the planner must know of the programme beside its tables."""

import numpy as np

from pacewright.callin.least_pace import worst_interval
from pacewright.callin.notes_booked import notes_of_booked
from pacewright.callin.paper import Settled, depot_days_over
from pacewright.callin.room import beside_booked
from pacewright.callin.run_pace import with_time_for_overdue
from pacewright.callin.whole_weeks import WholePlan
from pacewright.plans.programme import LeastPace


def notes_of(
    settled: Settled, plan: WholePlan, least: LeastPace, level: float | None
) -> tuple[str, ...]:
    """Sentences: lateness, the pace run at, overdue, guesses, and how even the weeks are."""
    return (
        *notes_of_booked(settled, level),
        *_late(settled, plan),
        *_pace(settled, level),
        *_arrears(settled, least),
        *_overdue(settled, least),
        *_inside(settled),
        *_evenness(settled),
        *_depot_days(settled),
    )


def _many(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}"


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
        f"{_many(int(late.sum()), 'vehicle comes', 'vehicles come')} later than permitted "
        f"({unable} past the latest day at the start already): "
        f"{_many(plan.late_weeks, 'vehicle-week', 'vehicle-weeks')} in all, and no plan has fewer "
        f"than {plan.late_bound}. Each must stand from its limit until it is called in."
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
            f"{_many(overdue, 'vehicle was', 'vehicles were')} past the latest day at the start "
            "and to come as soon as there is room. They are not in the least pace; to call all "
            f"in within the firm zone of {plan.firm_weeks} weeks the least pace is {pace:.1f} a "
            f"week instead of {least.vehicles_a_week:.1f}."
        )
    no_day = int((demands.no_day & ~demands.overdue & (demands.booked < 0)).sum())
    if no_day:
        found.append(
            f"A window without a working day: {_many(no_day, 'vehicle', 'vehicles')}, called after "
            "it; let them come earlier, or work a day inside it."
        )
    return found


def _inside(settled: Settled) -> list[str]:
    guessed = sum(stay.guessed for stay in settled.problem.stays)
    if not guessed:
        return []
    return [
        f"Inside and should be out already: {_many(guessed, 'vehicle', 'vehicles')}. Each is taken "
        "to need one more full working week. Give the day they are promised for in the column "
        "promised, or in the record."
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
