"""Whole vehicles in whole weeks: the linear model solved, then held to whole numbers beside it."""

from dataclasses import dataclass, replace

import numpy as np

from pacewright.callin.absence import Ints
from pacewright.callin.depot_columns import DAYS_A_WEEK, DepotColumns, depot_columns
from pacewright.callin.dispatch import dispatched
from pacewright.callin.even import even_model
from pacewright.callin.linear import (
    TOLERANCE,
    Answer,
    NoFitError,
    TooLongError,
    in_order,
    least,
    least_whole,
    lifted,
    with_row,
)
from pacewright.callin.problem import NO_LIMIT, Demands, Floats, Problem
from pacewright.callin.queues import Queues, queues_of, weeks_of

BOX_SECONDS = 20.0
FREE_SECONDS = 30.0
BRANCH_COLUMNS = 5_000
"""Up to so many columns a gap left by rounding is closed by branch and bound."""
BRANCH_SECONDS = 10.0
MOST_COLUMNS = 150_000
"""With more columns the least lateness is not solved for: it takes minutes (measured)."""


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
    for may_be_late in (False, True):
        columns = depot_columns(problem, queues, may_be_late)
        if may_be_late and len(columns.late) > MOST_COLUMNS:
            break
        try:
            return _plan(problem, queues, columns)
        except NoFitError:
            continue
        except TooLongError:
            break
    return _from_dispatch(problem)


def _from_dispatch(problem: Problem) -> WholePlan:
    """A plan no later than dispatch, bounded by the problem without depot limits.

    The window of each vehicle dispatch calls late is held open until then; within these windows
    the least life given away is found as usual.
    """
    demands, horizon = problem.demands, problem.horizon
    late_bound, life_floor = _bounds_without_depots(problem)
    week = dispatched(problem)
    called = week < horizon
    held = replace(demands, latest=np.maximum(demands.latest, np.minimum(week, horizon - 1)))
    part = replace(problem, demands=held.taken(called))
    queues = queues_of(part)
    try:
        plan = _plan(part, queues, depot_columns(part, queues, may_be_late=False))
        week[called] = plan.week
    except (NoFitError, TooLongError):
        pass  # Dispatch alone stands: it keeps every limit.
    late_weeks, life_days = measures(demands, week, horizon)
    life_bound = life_floor if late_weeks == late_bound else 0
    return WholePlan(week, late_weeks, late_bound, life_days, life_bound)


def _bounds_without_depots(problem: Problem) -> tuple[int, int]:
    """Least lateness, and least life given away at that lateness, if no depot had a limit."""
    without = replace(problem, depot_limits=np.full_like(problem.depot_limits, NO_LIMIT))
    queues = queues_of(without)
    columns = depot_columns(without, queues, may_be_late=True)
    try:
        late, life = in_order(columns.model, [columns.late, columns.life])
    except TooLongError:
        return 0, 0
    return max(0, lifted(late.bound)), _life_bound(columns, life.bound)


def _plan(problem: Problem, queues: Queues, columns: DepotColumns) -> WholePlan:
    aims = [columns.late, columns.life] if columns.late.any() else [columns.life]
    answers = in_order(columns.model, aims)
    x = _even(problem, queues, columns, answers)
    called = _beside(columns, x)
    late_weeks, life_days = _queue_measures(queues, called)
    least_late = answers[0].value if len(answers) > 1 else 0.0
    late_bound = max(0, lifted(answers[0].bound)) if len(answers) > 1 else 0
    bound = answers[-1].bound
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


def _even(problem: Problem, queues: Queues, columns: DepotColumns, answers: list[Answer]) -> Floats:
    """Among the points best in both aims, the one with the most even weeks."""
    best = answers[-1].x
    model, uneven = even_model(problem, queues, columns, answers)
    try:
        return least(model, uneven).x[: len(best)]
    except (NoFitError, TooLongError):
        # The plan stands without it: the face may be thinner than the solver's tolerance.
        return best


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
