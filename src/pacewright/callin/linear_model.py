"""Rows and columns of a linear model: written, joined, and held to whole numbers."""

from dataclasses import dataclass, field, replace

import numpy as np

from pacewright.callin.absence import Ints
from pacewright.callin.problem import Floats

TOLERANCE = 1e-6
"""How far a figure may be off a whole number or a bound and still count as on it."""


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
