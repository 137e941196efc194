"""Whole vehicles in whole weeks: the linear model solved, then held to whole numbers beside it."""

from dataclasses import dataclass

import numpy as np

from pacewright.callin.absence import Ints
from pacewright.callin.depot_columns import DAYS_A_WEEK, DepotColumns, depot_columns
from pacewright.callin.even import even_model
from pacewright.callin.linear import (
    Answer,
    NoFitError,
    in_order,
    least,
    least_whole,
    lifted,
    with_row,
)
from pacewright.callin.problem import Demands, Floats, Problem
from pacewright.callin.queues import Queues

BOX_SECONDS = 20.0
FREE_SECONDS = 30.0


@dataclass(frozen=True)
class WholePlan:
    """How many of each queue are called up to each week, and how good that is.

    Parameters
    ----------
    called : [queue, week] whole numbers.
    late_weeks, late_bound : vehicle-weeks past the latest week, and the proven least.
    life_days, life_bound : vehicle-days of life given away, and the proven least among plans
        no later than this one.
    """

    called: Ints
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
        return WholePlan(np.zeros((0, problem.horizon), dtype=np.int64), 0, 0, 0, 0)
    try:
        return _plan(problem, queues, depot_columns(problem, queues, may_be_late=False))
    except NoFitError:
        return _plan(problem, queues, depot_columns(problem, queues, may_be_late=True))


def _plan(problem: Problem, queues: Queues, columns: DepotColumns) -> WholePlan:
    aims = [columns.late, columns.life] if columns.late.any() else [columns.life]
    answers = in_order(columns.model, aims)
    x = _even(problem, queues, columns, answers)
    called = _beside(columns, x)
    late_weeks, life_days = _queue_measures(queues, called)
    late_bound = max(0, lifted(answers[0].bound)) if len(answers) > 1 else 0
    bound = answers[-1].bound
    if late_weeks > late_bound:
        no_later = with_row(columns.model, columns.late, late_weeks)
        bound = least(no_later, columns.life).bound
    life_bound = DAYS_A_WEEK * lifted((bound + columns.life_offset) / DAYS_A_WEEK)
    return WholePlan(called, late_weeks, late_bound, life_days, max(0, life_bound))


def _even(problem: Problem, queues: Queues, columns: DepotColumns, answers: list[Answer]) -> Floats:
    """Among the points best in both aims, the one with the most even weeks."""
    best = answers[-1].x
    model, uneven = even_model(problem, queues, columns, answers)
    try:
        return least(model, uneven).x[: len(best)]
    except NoFitError:
        # The face is as thin as the solver's tolerance; without evenness the plan still stands.
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
