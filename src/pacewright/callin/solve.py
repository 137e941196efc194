"""The call-in programme: which vehicle comes in which week and on which day."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from time import perf_counter

import numpy as np

from pacewright.base.progress import Progress, silent
from pacewright.callin.absence import Ints, stays_of_booked
from pacewright.callin.booked import beside_the_weeks
from pacewright.callin.least_pace import least_pace
from pacewright.callin.notes import notes_of
from pacewright.callin.order import goals_of, order_within_weeks
from pacewright.callin.paper import (
    Settled,
    booked_of,
    calls_of,
    depot_weeks_of,
    unplaced_of,
    weeks_of_programme,
)
from pacewright.callin.problem import (
    Bools,
    Demands,
    Problem,
    demands_of,
    plan_weeks,
    problem_of,
)
from pacewright.callin.queues import queues_of
from pacewright.callin.relief import late_beyond_help, least_easings
from pacewright.callin.relief_words import notes_of_easings, reliefs_of
from pacewright.callin.room import beside_booked, booked_week
from pacewright.callin.run_pace import run_level
from pacewright.callin.whole_weeks import WholePlan, measures, whole_plan
from pacewright.fleet.windows import DueWindow
from pacewright.plans.card import ResultCard
from pacewright.plans.programme import Programme
from pacewright.works import Works

METHOD = (
    "calls up to each week by depot and type, linear programme, then whole numbers beside it; "
    "within the week, goal chasing"
)
UNIT = "vehicle-days of life given away, by whole weeks before the week of due"


def programme(works: Works, windows: Sequence[DueWindow], progress: Progress = silent) -> Programme:
    """Settle who comes in when.

    Parameters
    ----------
    works : the works; settings, depots, types and vehicles inside are read.
    windows : due windows of its vehicles.
    progress : told how far it is.

    Returns
    -------
    The programme that first calls nobody late (least vehicle-weeks past the latest week), then
    gives away least life, then has even weeks; late and unplaced vehicles are named, with the
    least relief that would fit them.

    Raises
    ------
    NoProgrammeError : no working day or no room for one call-in inside the horizon.
    """
    began = perf_counter()
    progress("call-in: windows", 0.0)
    weeks = plan_weeks(works)
    demands = demands_of(works, weeks, windows)
    placed = {windows[place].vehicle_id for place in demands.window[demands.booked >= 0].tolist()}
    beside = beside_the_weeks(works, placed, weeks[-1].sunday)
    level = None if works.settings.plan.pace else run_level(works, weeks, demands)
    problem = problem_of(works, weeks, demands, level, stays_of_booked(works, beside))
    progress("call-in: weeks", 0.1)
    week, plan = _weeks_in_visit_order(problem, windows)
    progress("call-in: order within the weeks", 0.7)
    order = order_within_weeks(problem, week, goals_of(works))
    settled = Settled(works, windows, problem, week, order)
    progress("call-in: reliefs", 0.85)
    eased, late = late_beyond_help(works, beside_booked(problem), week[demands.booked < 0])
    easings = least_easings(eased) if late else ()
    counted = ~(demands.overdue | demands.no_day | demands.cut)
    least = least_pace(problem.days, demands.first_day, demands.last_day, counted, works.week_days)
    progress("call-in: written out", 0.95)
    return Programme(
        card=_card(plan, perf_counter() - began),
        least_pace=least,
        pace_a_day=problem.pace_a_day,
        weeks=weeks_of_programme(settled),
        calls=calls_of(settled),
        unplaced=unplaced_of(settled),
        reliefs=reliefs_of(works, problem, easings, late),
        depot_weeks=depot_weeks_of(settled),
        notes=(*notes_of(settled, plan, least, level), *notes_of_easings(easings)),
        late_weeks=plan.late_weeks,
        late_weeks_bound=plan.late_bound,
        booked=booked_of(works, beside),
    )


def _card(plan: WholePlan, seconds: float) -> ResultCard:
    return ResultCard(
        method=METHOD,
        status="optimal" if plan.proven else "feasible",
        objective=plan.life_days,
        bound=plan.life_bound,
        gap=(plan.life_days - plan.life_bound) / max(1, plan.life_days),
        unit=UNIT,
        seconds=seconds,
    )


def _weeks_in_visit_order(problem: Problem, windows: Sequence[DueWindow]) -> tuple[Ints, WholePlan]:
    """Week of each demand, no later visit before the earlier one is back; bounds without that.

    Those called in keep their weeks. Where a later visit comes too soon its window is opened later
    and the weeks are settled anew; the bounds stay those of the first pass, which allowed more.
    """
    demands = problem.demands
    visits = _visits(demands, windows)
    kept, opens = demands.booked < 0, demands.opens.copy()
    week, first = _settle(problem, kept, opens)
    first = _with_booked(problem, first)
    for last_round in (False, False, True):
        back = problem.away_to[
            demands.depot[visits[:, 0]],
            demands.type_[visits[:, 0]],
            np.minimum(week[visits[:, 0]], problem.horizon - 1),
        ]
        # Counted from any day of the week an absence ends at most a week later than from its first.
        free = np.where(week[visits[:, 0]] < problem.horizon, back + 2, problem.horizon)
        soon = week[visits[:, 1]] < free
        if not soon.any():
            break
        after, free = visits[soon, 1], free[soon]
        opens[after] = free
        kept[after] = (free < problem.horizon) & (not last_round)
        week, _ = _settle(problem, kept, opens)
    late_weeks, life_days = measures(demands, week, problem.horizon)
    life_bound = first.life_bound if late_weeks <= first.late_weeks else 0
    return week, replace(
        first, late_weeks=late_weeks, life_days=life_days, life_bound=min(life_bound, life_days)
    )


def _with_booked(problem: Problem, plan: WholePlan) -> WholePlan:
    """The plan and its bounds with what those called in add: no plan can alter it."""
    told = problem.demands.booked >= 0
    late, life = measures(problem.demands.taken(told), booked_week(problem)[told], problem.horizon)
    return replace(
        plan,
        late_weeks=plan.late_weeks + late,
        late_bound=plan.late_bound + late,
        life_days=plan.life_days + life,
        life_bound=plan.life_bound + life,
    )


def _visits(demands: Demands, windows: Sequence[DueWindow]) -> Ints:
    """Pairs of demands: a visit of a vehicle and its next one."""
    of_vehicle: dict[str, list[tuple[int, int]]] = {}
    for place, window_at in enumerate(demands.window.tolist()):
        window = windows[window_at]
        of_vehicle.setdefault(window.vehicle_id, []).append((window.visit, place))
    pairs = [
        (before[1], after[1])
        for visits in of_vehicle.values()
        for before, after in pairwise(sorted(visits))
    ]
    return np.array(pairs, dtype=np.int64).reshape(-1, 2)


def _settle(problem: Problem, kept: Bools, opens: Ints) -> tuple[Ints, WholePlan]:
    """Weeks of the demands kept, with these opening weeks; of the others only the booked come."""
    demands = replace(
        problem.demands, opens=opens, latest=np.maximum(problem.demands.latest, opens)
    )
    part = replace(beside_booked(problem), demands=demands.taken(kept))
    plan = whole_plan(part, queues_of(part))
    week = booked_week(problem)
    week[kept] = plan.week
    return week, plan
