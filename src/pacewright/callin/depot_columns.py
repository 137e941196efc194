"""The programme as a linear model: for each queue and week, how many were called up to it.

Columns: ``called[q, t]`` vehicles of queue q called up to week t; ``early[q, t]`` how many of
them ahead of their due week; ``late[q, t]`` how many are past their latest week and not called.
The sum of ``early`` over the weeks is the life given away in vehicle-weeks, the sum of ``late``
the vehicle-weeks past the limit.
"""

from dataclasses import dataclass

import numpy as np

from pacewright.callin.absence import Ints
from pacewright.callin.linear_model import LinearModel, ModelWriter
from pacewright.callin.problem import NO_LIMIT, Bools, Floats, Problem
from pacewright.callin.queues import Queues

ALL, NONE = np.inf, -np.inf
DAYS_A_WEEK = 7


@dataclass(frozen=True)
class DepotColumns:
    """The model and where its columns and rows stand.

    Parameters
    ----------
    late, life, uneven : cost vectors of the three aims; ``life_offset`` belongs to ``life``.
    called : [queue, week] column numbers; ``late_rows`` [queue, week] row numbers, -1: none.
    must : [queue, week] how many are held to have been called.
    pace_rows, depot_rows, type_rows, inside_rows : row numbers ([place, week]; -1: no row).
    """

    model: LinearModel
    late: Floats
    life: Floats
    life_offset: float
    called: Ints
    late_rows: Ints
    must: Ints
    pace_rows: Ints
    depot_rows: Ints
    type_rows: Ints
    inside_rows: Ints


def depot_columns(problem: Problem, queues: Queues, must: Ints) -> DepotColumns:
    """Build the model.

    Parameters
    ----------
    must : [queue, week] how many must be called up to the week, at most ``queues.closed``. With
        ``queues.closed`` nobody may come late; what lies between may, and is counted.
    """
    writer = ModelWriter()
    called = writer.add_columns(must, queues.opened)
    _in_order(writer, called, must, queues.opened)
    pace_rows = _pace(writer, problem, called)
    type_rows = _type_limits(writer, problem, queues, called)
    depot_rows, inside_rows = _absences(writer, problem, queues, called)
    late, late_rows = _late(writer, queues, called, must)
    early, plain, offset = _early(writer, queues, called, must)
    model = writer.model()
    life = np.zeros(writer.columns)
    life[early] = DAYS_A_WEEK
    life[called[plain]] = DAYS_A_WEEK
    late_cost = np.zeros(writer.columns)
    late_cost[late] = 1
    return DepotColumns(
        model=model,
        late=late_cost,
        life=life,
        life_offset=offset,
        called=called,
        late_rows=late_rows,
        must=must,
        pace_rows=pace_rows,
        depot_rows=depot_rows,
        type_rows=type_rows,
        inside_rows=inside_rows,
    )


def _in_order(writer: ModelWriter, called: Ints, lower: Ints, upper: Ints) -> None:
    """Nobody called is uncalled again; a row only where the bounds alone do not say so."""
    needed = lower[:, 1:] < upper[:, :-1]
    after, before = called[:, 1:][needed], called[:, :-1][needed]
    rows = writer.add_rows(np.zeros(len(after)), np.full(len(after), ALL))
    writer.put(rows, after, 1.0)
    writer.put(rows, before, -1.0)


def _pace(writer: ModelWriter, problem: Problem, called: Ints) -> Ints:
    rows = writer.add_rows(np.full(problem.horizon, NONE), problem.able)
    _calls_in_week(writer, np.broadcast_to(rows, called.shape), called)
    return rows


def _calls_in_week(writer: ModelWriter, rows: Ints, called: Ints) -> None:
    """Add the calls of each week to the rows: called up to it less called up to the one before."""
    writer.put(rows, called, 1.0)
    writer.put(rows[:, 1:], called[:, :-1], -1.0)


def _type_limits(writer: ModelWriter, problem: Problem, queues: Queues, called: Ints) -> Ints:
    found = np.full((len(problem.type_limits), problem.horizon), -1, dtype=np.int64)
    for number in np.flatnonzero(problem.type_limits < NO_LIMIT).tolist():
        mine = queues.type_ == number
        limit = np.maximum(problem.type_limits[number] - problem.type_before[number], 0)
        found[number] = writer.add_rows(np.full(problem.horizon, NONE), limit)
        _calls_in_week(writer, np.broadcast_to(found[number], called[mine].shape), called[mine])
    return found


def _absences(
    writer: ModelWriter, problem: Problem, queues: Queues, called: Ints
) -> tuple[Ints, Ints]:
    """Away from a depot, or inside: called up to a week less those back before it."""
    horizon = problem.horizon
    depot_rows = np.full((len(problem.depot_limits), horizon), -1, dtype=np.int64)
    for number in np.flatnonzero(problem.depot_limits < NO_LIMIT).tolist():
        room = np.maximum(problem.depot_limits[number] - problem.away_before[number], 0)
        depot_rows[number] = writer.add_rows(np.full(horizon, NONE), room)
    inside_rows = np.full(horizon, -1, dtype=np.int64)
    if problem.inside_limit < NO_LIMIT:
        room = np.maximum(problem.inside_limit - problem.inside_before, 0)
        inside_rows = writer.add_rows(np.full(horizon, NONE), room)
    for number in range(len(queues)):
        depot, type_ = int(queues.depot[number]), int(queues.type_[number])
        if depot >= 0:
            _absent(writer, depot_rows[depot], problem.away_to[depot, type_], called[number])
        if problem.inside_limit < NO_LIMIT:
            _absent(writer, inside_rows, problem.inside_to[type_], called[number])
    return depot_rows, inside_rows


def _absent(writer: ModelWriter, rows: Ints, last_week: Ints, called: Ints) -> None:
    back = np.searchsorted(last_week, np.arange(len(rows))) - 1
    writer.put(rows, called, 1.0)
    writer.put(rows[back >= 0], called[back[back >= 0]], -1.0)


def _late(writer: ModelWriter, queues: Queues, called: Ints, must: Ints) -> tuple[Ints, Ints]:
    where = queues.closed > must
    closed = queues.closed[where]
    late = writer.add_columns(np.zeros(len(closed)), closed - must[where])
    rows = np.full(called.shape, -1, dtype=np.int64)
    rows[where] = writer.add_rows(closed, np.full(len(closed), ALL))
    writer.put(rows[where], called[where], 1.0)
    writer.put(rows[where], late, 1.0)
    return late, rows


def _early(
    writer: ModelWriter, queues: Queues, called: Ints, lower: Ints
) -> tuple[Ints, Bools, float]:
    """Columns that count early calls; plain weeks, where the calls themselves count, have none."""
    ahead = queues.opened > queues.due
    plain: Bools = ahead & (lower >= queues.due)
    where = ahead & ~plain
    most = (queues.opened - queues.due)[where]
    early = writer.add_columns(np.zeros(len(most)), most)
    rows = writer.add_rows(-queues.due[where], np.full(len(most), ALL))
    writer.put(rows, early, 1.0)
    writer.put(rows, called[where], -1.0)
    return early, plain, -float(DAYS_A_WEEK * queues.due[plain].sum())
