"""Whole vehicles in whole weeks: the linear model solved, then held to whole numbers beside it."""

from dataclasses import dataclass, replace

import numpy as np

from pacewright.callin.absence import Ints
from pacewright.callin.depot_columns import DAYS_A_WEEK, DepotColumns, depot_columns
from pacewright.callin.dispatch import dispatched
from pacewright.callin.even import even_model
from pacewright.callin.least_late import least_late
from pacewright.callin.linear import (
    Answer,
    NoFitError,
    TooLongError,
    least,
    least_whole,
    lifted,
    on_face,
)
from pacewright.callin.linear_model import TOLERANCE, LinearModel, with_row
from pacewright.callin.problem import NO_LIMIT, Demands, Floats, Problem
from pacewright.callin.queues import Queues, queues_of, weeks_of

BOX_SECONDS = 20.0
FREE_SECONDS = 30.0
BRANCH_COLUMNS = 5_000
"""Up to so many columns a gap left by rounding is closed by branch and bound."""
BRANCH_SECONDS = 10.0


@dataclass(frozen=True)
class WholePlan:
    """The week of each demand, and how good that is.

    Parameters
    ----------
    week : week of each demand; the number of weeks when it is not called.
    late_weeks, late_bound : vehicle-weeks past the latest week, and the proven least.
    life_days, life_bound : vehicle-days of life given away, and the proven least among plans
        no later than this one.
    """

    week: Ints
    late_weeks: int
    late_bound: int
    life_days: int
    life_bound: int

    @property
    def proven(self) -> bool:
        """True when no plan is better in either aim."""
        return self.late_weeks == self.late_bound and self.life_days == self.life_bound


def whole_plan(problem: Problem, queues: Queues) -> WholePlan:
    """The best plan by weeks: first nobody late, then least life given away, then even weeks."""
    if not len(queues):
        return WholePlan(np.zeros(0, dtype=np.int64), 0, 0, 0, 0)
    try:
        return _plan(problem, queues, depot_columns(problem, queues, queues.closed), None)
    except TooLongError:
        return _from_dispatch(problem)
    except NoFitError:
        pass
    try:
        columns, late, exact = least_late(problem, queues)
        plan = _plan(problem, queues, columns, late)
    except TooLongError:
        return _from_dispatch(problem)
    return plan if exact else _bounded_without_depots(problem, plan)


def _from_dispatch(problem: Problem) -> WholePlan:
    """A plan no later than dispatch, bounded by the problem without depot limits.

    The window of each vehicle dispatch calls late is held open until then; within these windows
    the least life given away is found as usual.
    """
    demands, horizon = problem.demands, problem.horizon
    week = dispatched(problem)
    called = week < horizon
    held = replace(demands, latest=np.maximum(demands.latest, np.minimum(week, horizon - 1)))
    part = replace(problem, demands=held.taken(called))
    queues = queues_of(part)
    try:
        plan = _plan(part, queues, depot_columns(part, queues, queues.closed), None)
        week[called] = plan.week
    except (NoFitError, TooLongError):
        pass  # Dispatch alone stands: it keeps every limit.
    late_weeks, life_days = measures(demands, week, horizon)
    return _bounded_without_depots(problem, WholePlan(week, late_weeks, 0, life_days, 0))


def _bounded_without_depots(problem: Problem, plan: WholePlan) -> WholePlan:
    """The plan, bounded by the least lateness and life given away if no depot had a limit."""
    without = replace(problem, depot_limits=np.full_like(problem.depot_limits, NO_LIMIT))
    queues = queues_of(without)
    columns = depot_columns(without, queues, np.zeros_like(queues.closed))
    late_bound = life_bound = 0
    try:
        late = least(columns.model, columns.late, guide=columns.life)
        late_bound = max(0, lifted(late.bound))
        life = least(on_face(columns.model, late), columns.life, start=late)
        if plan.late_weeks == late_bound:
            life_bound = _life_bound(columns, life.bound)
    except TooLongError:
        pass  # Nought bounds both aims from below, if poorly.
    return replace(plan, late_bound=late_bound, life_bound=life_bound)


def _plan(
    problem: Problem, queues: Queues, columns: DepotColumns, late: Answer | None
) -> WholePlan:
    """Least life given away, and even weeks, among the plans as little late as ``late``."""
    model = columns.model if late is None else on_face(columns.model, late)
    life = least(model, columns.life, start=late)
    called = _beside(columns, _even(problem, queues, columns, on_face(model, life), life))
    late_weeks, life_days = _queue_measures(queues, called)
    least_late, late_bound = (late.value, max(0, lifted(late.bound))) if late else (0.0, 0)
    bound = life.bound
    if late_weeks > least_late + TOLERANCE:
        # The life bound holds for the least lateness in fractions only: prove it for this plan's.
        bound = least(with_row(columns.model, columns.late, late_weeks), columns.life).bound
    life_bound = _life_bound(columns, bound)
    reached = (late_weeks, life_days)
    if reached != (late_bound, life_bound) and len(columns.life) <= BRANCH_COLUMNS:
        called, late_bound, life_bound = _branched(columns)
        late_weeks, life_days = _queue_measures(queues, called)
    week = weeks_of(queues, called, problem.horizon)
    return WholePlan(week, late_weeks, late_bound, life_days, life_bound)


def _branched(columns: DepotColumns) -> tuple[Ints, int, int]:
    """The best whole numbers by branch and bound, aim by aim, and the bounds it proves."""
    numbers = columns.called.ravel()
    late = least_whole(columns.model, columns.late, numbers, BRANCH_SECONDS)
    held = with_row(columns.model, columns.late, round(late.value))
    life = least_whole(held, columns.life, numbers, BRANCH_SECONDS)
    called = life.x[columns.called].astype(np.int64)
    return called, max(0, lifted(late.bound)), _life_bound(columns, life.bound)


def _life_bound(columns: DepotColumns, bound: float) -> int:
    return max(0, DAYS_A_WEEK * lifted((bound + columns.life_offset) / DAYS_A_WEEK))


def _even(
    problem: Problem, queues: Queues, columns: DepotColumns, face: LinearModel, best: Answer
) -> Floats:
    """Among the points best in both aims, the one with the most even weeks."""
    model, uneven = even_model(problem, queues, columns, face, best.x)
    try:
        return least(model, uneven).x[: len(best.x)]
    except (NoFitError, TooLongError):
        # The plan stands without it: the face may be thinner than the solver's tolerance.
        return best.x


def _beside(columns: DepotColumns, x: Floats) -> Ints:
    """The best whole numbers within one of ``x`` below and above; else the best found at all."""
    numbers = columns.called.ravel()
    weight = 4.0 * DAYS_A_WEEK * columns.called.shape[1]
    cost = columns.life + weight * columns.late
    for slack, seconds in ((0, BOX_SECONDS), (1, BOX_SECONDS), (None, FREE_SECONDS)):
        model = columns.model if slack is None else columns.model.boxed(numbers, x, slack)
        try:
            answer = least_whole(model, cost, numbers, seconds)
        except NoFitError:
            continue
        return answer.x[columns.called].astype(np.int64)
    raise NoFitError("no whole numbers found")


def measures(demands: Demands, week: Ints, horizon: int) -> tuple[int, int]:
    """Vehicle-weeks late and vehicle-days of life given away, by whole weeks.

    Parameters
    ----------
    week : week of each demand; ``horizon`` when it is not called, and late until then.
    """
    late = np.maximum(week - demands.latest, 0).sum()
    life = np.maximum(demands.due - week, 0).sum()
    return int(late), int(DAYS_A_WEEK * life)


def _queue_measures(queues: Queues, called: Ints) -> tuple[int, int]:
    late = np.maximum(queues.closed - called, 0).sum()
    life = np.maximum(called - queues.due, 0).sum()
    return int(late), int(DAYS_A_WEEK * life)
