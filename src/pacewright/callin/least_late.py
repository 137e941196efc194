"""The least lateness: where lateness pays it is allowed and counted, elsewhere it is ruled out."""

import numpy as np

from pacewright.callin.depot_columns import DepotColumns, depot_columns
from pacewright.callin.dispatch import dispatched
from pacewright.callin.linear import Answer, TooLongError, least
from pacewright.callin.problem import Bools, Problem
from pacewright.callin.queues import Queues, counted_up_to

LET_GO_PRICE = 0.5
"""Below 1, the cost of a vehicle-week late: lower lets go of more at once, in fewer rounds."""
LET_GO_WEEKS = 6
"""And the weeks so far on either side with it."""
LET_GO_ROUNDS = 4
MOST_COLUMNS = 150_000
"""With more columns the least lateness is not solved for: it takes minutes (measured)."""


def least_late(problem: Problem, queues: Queues) -> tuple[DepotColumns, Answer, bool]:
    """The model with lateness allowed only where it pays, which is exact for both aims.

    At first dispatch tells how many must be called up to each week. Where holding one vehicle to
    that costs much lateness elsewhere it is let go, until it costs less than one vehicle-week
    everywhere: then no plan that is least late calls anybody later there (complementary
    slackness: the price of the row that counts lateness stays below its cost of one).

    Returns
    -------
    The model, its least lateness, and whether that is the least of all: not when the last round
    took too long, and the one before has to serve.
    """
    found: tuple[DepotColumns, Answer] | None = None
    week = dispatched(problem)
    done = counted_up_to(queues.queue, week, queues.closed.shape)
    must = np.minimum(queues.closed, done)
    for rounds_left in range(LET_GO_ROUNDS, -1, -1):
        columns = depot_columns(problem, queues, must)
        try:
            answer = _least_late(columns)
        except TooLongError:
            if found:
                break
            raise
        found = columns, answer
        price = np.maximum(answer.reduced[columns.called], 0.0)
        counted = columns.late_rows >= 0
        price[counted] += answer.duals[columns.late_rows[counted]]
        pays = (must > 0) & (price >= LET_GO_PRICE)
        if not pays.any():
            return columns, answer, True
        must = np.where(_with_weeks_near(pays), 0, must)
        if rounds_left == 1 or (must > 0).sum() < (queues.closed > 0).sum() / 2:
            must = np.zeros_like(must)
    assert found
    return *found, False


def _least_late(columns: DepotColumns) -> Answer:
    if len(columns.late) > MOST_COLUMNS:
        raise TooLongError
    return least(columns.model, columns.late, guide=columns.life)


def _with_weeks_near(marked: Bools) -> Bools:
    """The weeks marked, queue by queue, and the weeks near them."""
    total = np.pad(marked.cumsum(axis=1), ((0, 0), (LET_GO_WEEKS + 1, LET_GO_WEEKS)), mode="edge")
    total[:, : LET_GO_WEEKS + 1] = 0
    near: Bools = total[:, 2 * LET_GO_WEEKS + 1 :] > total[:, : -2 * LET_GO_WEEKS - 1]
    return near
