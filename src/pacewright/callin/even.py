"""Even weeks: of plans equally good, the one whose weeks differ least in load and mix of types."""

from dataclasses import replace

import numpy as np

from pacewright.callin.absence import Ints
from pacewright.callin.depot_columns import DepotColumns
from pacewright.callin.linear_model import LinearModel, joined
from pacewright.callin.problem import Floats, Problem
from pacewright.callin.queues import Queues

HALF_QUARTER_WEEKS = 6
"""The mean is taken over the weeks this far on either side: about a quarter of a year."""


def even_model(
    problem: Problem, queues: Queues, columns: DepotColumns, face: LinearModel, best: Floats
) -> tuple[LinearModel, Floats]:
    """The model held to the best points, with the unevenness of each week and type as cost.

    Unevenness is the sum, over weeks, of how far the calls of each type and of all types lie from
    whole-number targets. A target follows the moving mean of the best plan found so far, shared
    out to the weeks by their working room.

    Parameters
    ----------
    face : the model held to the points as good as ``best``.
    best : one of them.
    """
    called = best[columns.called]
    calls = np.diff(called, axis=1, prepend=0.0)
    kinds = np.unique(queues.type_)
    groups = [np.flatnonzero(queues.type_ == kind) for kind in kinds]
    if len(groups) > 1:
        groups.append(np.arange(len(queues)))
    targets = np.array([_target(problem, calls[group].sum(axis=0)) for group in groups])
    return _with_targets(problem, face, columns.called, groups, targets)


def _target(problem: Problem, calls: Floats) -> Ints:
    room = problem.able.astype(float)
    mean = _nearby(calls) * room / np.maximum(_nearby(room), 1e-9)
    total = np.round(np.concatenate([[0.0], mean.cumsum()]))
    target: Ints = np.diff(total).astype(np.int64)
    return target


def _nearby(figures: Floats) -> Floats:
    """Sum of each week and the weeks near it."""
    window = np.ones(2 * HALF_QUARTER_WEEKS + 1)
    end = HALF_QUARTER_WEEKS + len(figures)
    return np.convolve(figures, window)[HALF_QUARTER_WEEKS:end]


def _with_targets(
    problem: Problem, model: LinearModel, called: Ints, groups: list[Ints], targets: Ints
) -> tuple[LinearModel, Floats]:
    columns, horizon = len(model.col_lower), problem.horizon
    row = len(model.row_lower)
    size = len(groups) * horizon
    over = columns + np.arange(size)
    under = over + size
    blocks = [(row + np.arange(size), over, -1.0), (row + np.arange(size), under, 1.0)]
    for number, group in enumerate(groups):
        weeks = row + number * horizon + np.arange(horizon)
        rows = np.broadcast_to(weeks, (len(group), horizon))
        blocks.append((rows, called[group], 1.0))
        blocks.append((rows[:, 1:], called[group][:, :-1], -1.0))
    most = np.broadcast_to(problem.able, targets.shape).ravel() + targets.ravel()
    added = replace(
        model,
        col_lower=np.zeros(2 * size),
        col_upper=np.concatenate([most, most]).astype(float),
        row_lower=targets.ravel().astype(float),
        row_upper=targets.ravel().astype(float),
        rows=np.concatenate([rows.ravel() for rows, _, _ in blocks]),
        cols=np.concatenate([cols.ravel() for _, cols, _ in blocks]),
        values=np.concatenate([np.full(rows.size, value) for rows, _, value in blocks]),
    )
    cost = np.concatenate([np.zeros(columns), np.ones(2 * size)])
    return joined(model, added), cost
