"""A linear model solved for several aims in order, with bounds proven anew from the duals."""

from dataclasses import dataclass, replace
from math import ceil
from typing import Any

import highspy
import numpy as np

from pacewright.callin.absence import Ints
from pacewright.callin.linear_model import TOLERANCE, LinearModel
from pacewright.callin.problem import Floats

GUIDE_SHARE = 0.01
PRIMAL_SIMPLEX = 4
"""HiGHS's number for it: a changed cost leaves the last point within the rows."""
PIVOT_COLUMNS = 4e9
"""Pivots allowed times columns: 5 to 10 seconds of one core (measured)."""


class NoFitError(Exception):
    """The rows cannot all hold."""


class TooLongError(Exception):
    """The work allowed for one solution was not enough."""


@dataclass(frozen=True)
class Answer:
    """A point, its value, a lower bound on every point's value, and the solver's basis."""

    x: Floats
    value: float
    bound: float
    reduced: Floats
    duals: Floats
    basis: Any = None


def least(
    model: LinearModel, cost: Floats, guide: Floats | None = None, start: Answer | None = None
) -> Answer:
    """The least of ``cost`` over the model.

    The work is limited by pivots, fewer for a larger model, and not by the clock, so that the
    answer does not depend on the machine.

    Parameters
    ----------
    guide : a second cost, added in a small share and taken out again at the end. A cost that is
        nought almost everywhere lets the solver wander; guided it is several times faster
        (measured).
    start : an answer for another cost that lies within this model, to go on from.

    Raises
    ------
    NoFitError : no point satisfies the rows.
    TooLongError : the pivots allowed were not enough.
    """
    first = cost if guide is None else cost + GUIDE_SHARE * guide
    solver = _solver(model, first, None)
    solver.setOptionValue("simplex_iteration_limit", int(PIVOT_COLUMNS / max(1, len(cost))))
    if start is not None:
        solver.setBasis(start.basis)
        solver.setOptionValue("simplex_strategy", PRIMAL_SIMPLEX)
    _run(solver)
    if guide is not None:
        solver.changeColsCost(len(cost), np.arange(len(cost), dtype=np.int32), cost)
        solver.setOptionValue("simplex_strategy", PRIMAL_SIMPLEX)
        _run(solver)
    solution = solver.getSolution()
    x = np.array(solution.col_value)
    duals = np.array(solution.row_dual)
    bound, reduced = proven_bound(model, cost, duals)
    return Answer(x, float(cost @ x), bound, reduced, duals, solver.getBasis())


def least_whole(model: LinearModel, cost: Floats, whole: Ints, seconds: float) -> Answer:
    """The least of ``cost`` with the columns ``whole`` in whole numbers.

    No point to start from is handed over: HiGHS 1.16 then gave that very point back and called it
    the best (seen on allotments).

    Raises
    ------
    NoFitError : no point satisfies the rows, or none was found in ``seconds``.
    """
    kinds = np.zeros(len(cost), dtype=np.int64)
    kinds[whole] = 1
    solver = _solver(model, cost, kinds)
    solver.setOptionValue("time_limit", seconds)
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.setOptionValue("mip_abs_gap", 1e-4)
    solver.run()
    _refuse_no_fit(solver)
    info = solver.getInfo()
    x = np.array(solver.getSolution().col_value)
    if len(x) != len(cost) or info.primal_solution_status != 2:
        raise NoFitError
    x[whole] = np.round(x[whole])
    none = np.zeros(0)
    return Answer(x, float(cost @ x), float(info.mip_dual_bound), none, none)


def on_face(model: LinearModel, answer: Answer) -> LinearModel:
    """The model held to the points that are as good as ``answer``.

    A column with a reduced cost stays at its bound and a row with a dual stays tight: by
    complementary slackness (from memory) exactly the optimal points satisfy this.
    """
    lower, upper = model.col_lower.copy(), model.col_upper.copy()
    upper = np.where(answer.reduced > TOLERANCE, lower, upper)
    lower = np.where(answer.reduced < -TOLERANCE, model.col_upper, lower)
    row_lower, row_upper = model.row_lower.copy(), model.row_upper.copy()
    row_upper = np.where(answer.duals > TOLERANCE, row_lower, row_upper)
    row_lower = np.where(answer.duals < -TOLERANCE, model.row_upper, row_lower)
    return replace(
        model, col_lower=lower, col_upper=upper, row_lower=row_lower, row_upper=row_upper
    )


def proven_bound(model: LinearModel, cost: Floats, duals: Floats) -> tuple[float, Floats]:
    """A lower bound on ``cost`` over the model, from any duals; and the reduced costs.

    Equations
    ---------
    For any y: min c x >= y b(y) + sum of min over the column bounds of (c - A'y) x, with b(y) the
    row bound that y presses on (weak duality, from memory). Trusting only this sum, the bound
    does not rest on the solver's own word.
    """
    duals = np.where((duals > 0) & np.isinf(model.row_lower), 0.0, duals)
    duals = np.where((duals < 0) & np.isinf(model.row_upper), 0.0, duals)
    reduced = cost - np.bincount(
        model.cols, weights=model.values * duals[model.rows], minlength=len(cost)
    )
    pressed = np.where(duals > 0, model.row_lower, model.row_upper)
    by_rows = float(np.where(duals == 0, 0.0, duals * np.where(duals == 0, 0.0, pressed)).sum())
    at = np.where(reduced > 0, model.col_lower, model.col_upper)
    return by_rows + float((reduced * at).sum()), reduced


def lifted(bound: float) -> int:
    """The least whole number not below a bound, allowing for rounding in its sum."""
    return ceil(bound - TOLERANCE * (1 + abs(bound)))


def _solver(model: LinearModel, cost: Floats, kinds: Ints | None) -> Any:
    order = np.lexsort((model.rows, model.cols))
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(cost), len(model.row_lower)
    lp.col_cost_, lp.col_lower_, lp.col_upper_ = cost, model.col_lower, model.col_upper
    lp.row_lower_, lp.row_upper_ = model.row_lower, model.row_upper
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_ = np.searchsorted(model.cols[order], np.arange(len(cost) + 1))
    lp.a_matrix_.index_ = model.rows[order]
    lp.a_matrix_.value_ = model.values[order]
    if kinds is not None:
        types = (highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger)
        lp.integrality_ = [types[kind] for kind in kinds.tolist()]
    # The public class prints its banner to standard output before it can be silenced.
    solver = highspy._core._Highs()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.passModel(lp)
    return solver


def _run(solver: Any) -> None:
    solver.run()
    if solver.getModelStatus() == highspy.HighsModelStatus.kIterationLimit:
        raise TooLongError
    _refuse_no_fit(solver)


def _refuse_no_fit(solver: Any) -> None:
    status = solver.getModelStatus()
    allowed = (highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kTimeLimit)
    if status not in allowed:
        raise NoFitError(str(status))
