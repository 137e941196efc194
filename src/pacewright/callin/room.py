"""The room that the vehicles called in leave to all others."""

from dataclasses import replace

import numpy as np

from pacewright.callin.absence import Ints
from pacewright.callin.problem import Problem


def booked_week(problem: Problem) -> Ints:
    """Week of each demand that is called in; the number of weeks where it is not."""
    booked = problem.demands.booked
    week = np.full(len(booked), problem.horizon, dtype=np.int64)
    told = booked >= 0
    week[told] = problem.day_week[booked[told]]
    return week


def beside_booked(problem: Problem) -> Problem:
    """The problem of those not called in: what the others take of every limit is taken already.

    Where the booked calls alone break a limit nobody else is called in against it; they stay as
    they are, for a planner agreed them.
    """
    demands = problem.demands
    told = demands.booked >= 0
    if not told.any():
        return problem
    week, depot, type_ = booked_week(problem)[told], demands.depot[told], demands.type_[told]
    by_type = np.zeros((len(problem.type_limits), problem.horizon), dtype=np.int64)
    np.add.at(by_type, (type_, week), 1)
    away = _spans(depot, week, problem.away_to[depot, type_, week], problem.away_before.shape)
    none = np.zeros_like(week)
    inside = _spans(none, week, problem.inside_to[type_, week], (1, problem.horizon))
    return replace(
        problem,
        able=np.maximum(problem.able - by_type.sum(axis=0), 0),
        type_before=problem.type_before + by_type,
        away_before=problem.away_before + away,
        inside_before=problem.inside_before + inside[0],
        demands=demands.taken(~told),
    )


def _spans(row: Ints, first: Ints, last: Ints, shape: tuple[int, ...]) -> Ints:
    """[row, week] how many spans, from first to last week, cover the week."""
    change = np.zeros((shape[0], shape[1] + 1), dtype=np.int64)
    np.add.at(change, (row, first), 1)
    np.add.at(change, (row, np.minimum(last + 1, shape[1])), -1)
    covered: Ints = change[:, :-1].cumsum(axis=1)
    return covered
