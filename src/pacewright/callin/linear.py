"""A linear model solved for several aims in order, with bounds proven anew from the duals."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from math import ceil
from typing import Any

import highspy
import numpy as np

from pacewright.callin.absence import Ints
from pacewright.callin.problem import Floats

TOLERANCE = 1e-6
PIVOT_COLUMNS = 7e9
"""Pivots allowed times columns: 10 to 20 seconds of one core (measured)."""


class NoFitError(Exception):
    """The rows cannot all hold."""


class TooLongError(Exception):
    """The work allowed for one solution was not enough."""


@dataclass(frozen=True)
class LinearModel:
    """Rows ``row_lower <= A x <= row_upper`` over columns with finite bounds; A as triples."""

    col_lower: Floats
    col_upper: Floats
    row_lower: Floats
    row_upper: Floats
    rows: Ints
    cols: Ints
    values: Floats

    def boxed(self, numbers: Ints, x: Floats, slack: int) -> "LinearModel":
        """The model with these columns held to whole numbers around ``x``, ``slack`` to spare."""
        lower, upper = self.col_lower.copy(), self.col_upper.copy()
        point = x[numbers]
        lower[numbers] = np.maximum(lower[numbers], np.floor(point + TOLERANCE) - slack)
        upper[numbers] = np.minimum(upper[numbers], np.ceil(point - TOLERANCE) + slack)
        return replace(self, col_lower=lower, col_upper=upper)


@dataclass(frozen=True)
class Answer:
    """A point, its value, and a lower bound on every point's value."""

    x: Floats
    value: float
    bound: float
    reduced: Floats
    duals: Floats


@dataclass
class ModelWriter:
    """Gathers columns and rows in blocks."""

    col_lower: list[Floats] = field(default_factory=list)
    col_upper: list[Floats] = field(default_factory=list)
    row_lower: list[Floats] = field(default_factory=list)
    row_upper: list[Floats] = field(default_factory=list)
    triples: list[tuple[Ints, Ints, Floats]] = field(default_factory=list)
    columns: int = 0
    rows: int = 0

    def add_columns(self, lower: Floats | Ints, upper: Floats | Ints) -> Ints:
        """New columns, shaped as ``lower``; returns their numbers in the same shape."""
        numbers = self.columns + np.arange(lower.size).reshape(lower.shape)
        self.columns += lower.size
        self.col_lower.append(lower.ravel().astype(float))
        self.col_upper.append(upper.ravel().astype(float))
        return numbers

    def add_rows(self, lower: Floats | Ints, upper: Floats | Ints) -> Ints:
        """New rows, shaped as ``lower``; returns their numbers in the same shape."""
        numbers = self.rows + np.arange(lower.size).reshape(lower.shape)
        self.rows += lower.size
        self.row_lower.append(lower.ravel().astype(float))
        self.row_upper.append(upper.ravel().astype(float))
        return numbers

    def put(self, rows: Ints, cols: Ints, value: float) -> None:
        """Add ``value`` at each (row, column); ``rows`` and ``cols`` are of one shape."""
        self.triples.append((rows.ravel(), cols.ravel(), np.full(rows.size, value)))

    def model(self) -> LinearModel:
        """The model gathered."""
        rows, cols, values = zip(*self.triples, strict=True) if self.triples else ((), (), ())
        none = np.zeros(0, dtype=np.int64)
        return LinearModel(
            col_lower=np.concatenate([np.zeros(0), *self.col_lower]),
            col_upper=np.concatenate([np.zeros(0), *self.col_upper]),
            row_lower=np.concatenate([np.zeros(0), *self.row_lower]),
            row_upper=np.concatenate([np.zeros(0), *self.row_upper]),
            rows=np.concatenate([none, *rows]),
            cols=np.concatenate([none, *cols]),
            values=np.concatenate([np.zeros(0), *values]),
        )


def least(model: LinearModel, cost: Floats) -> Answer:
    """The least of ``cost`` over the model.

    The work is limited by pivots, fewer for a larger model, and not by the clock, so that the
    answer does not depend on the machine.

    Raises
    ------
    NoFitError : no point satisfies the rows.
    TooLongError : the pivots allowed were not enough.
    """
    solver = _solver(model, cost, None)
    solver.setOptionValue("simplex_iteration_limit", int(PIVOT_COLUMNS / max(1, len(cost))))
    solver.run()
    if solver.getModelStatus() == highspy.HighsModelStatus.kIterationLimit:
        raise TooLongError
    _refuse_no_fit(solver)
    solution = solver.getSolution()
    x = np.array(solution.col_value)
    duals = np.array(solution.row_dual)
    bound, reduced = proven_bound(model, cost, duals)
    return Answer(x, float(cost @ x), bound, reduced, duals)


def least_whole(
    model: LinearModel, cost: Floats, whole: Ints, seconds: float, start: Floats | None = None
) -> Answer:
    """The least of ``cost`` with the columns ``whole`` in whole numbers.

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
    if start is not None:
        point = highspy.HighsSolution()
        point.col_value = start.tolist()
        solver.setSolution(point)
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


def joined(model: LinearModel, added: LinearModel) -> LinearModel:
    """The model with more columns and rows; ``added`` numbers the columns and rows of both."""
    return LinearModel(
        col_lower=np.concatenate([model.col_lower, added.col_lower]),
        col_upper=np.concatenate([model.col_upper, added.col_upper]),
        row_lower=np.concatenate([model.row_lower, added.row_lower]),
        row_upper=np.concatenate([model.row_upper, added.row_upper]),
        rows=np.concatenate([model.rows, added.rows]),
        cols=np.concatenate([model.cols, added.cols]),
        values=np.concatenate([model.values, added.values]),
    )


def with_row(model: LinearModel, weights: Floats, most: float) -> LinearModel:
    """The model with one more row: the weighted sum of the columns is at most ``most``."""
    cols = np.flatnonzero(weights)
    row = LinearModel(
        col_lower=np.zeros(0),
        col_upper=np.zeros(0),
        row_lower=np.array([-np.inf]),
        row_upper=np.array([float(most)]),
        rows=np.full(len(cols), len(model.row_lower)),
        cols=cols,
        values=weights[cols],
    )
    return joined(model, row)


def in_order(model: LinearModel, aims: Sequence[Floats]) -> list[Answer]:
    """Solve for the first aim, then for the next among the points best for all before it."""
    answers: list[Answer] = []
    for aim in aims:
        answers.append(least(model, aim))
        model = on_face(model, answers[-1])
    return answers


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


def _refuse_no_fit(solver: Any) -> None:
    status = solver.getModelStatus()
    allowed = (highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kTimeLimit)
    if status not in allowed:
        raise NoFitError(str(status))
