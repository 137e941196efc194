"""Cells of the tables, and what the record counts for each."""

from dataclasses import dataclass
from datetime import date, datetime
from math import sqrt
from typing import NamedTuple


class Cell(NamedTuple):
    """A cell of a table: the parts of the row's key stand with a blank between."""

    table: str
    row: str
    column: str


@dataclass(slots=True)
class Counted:
    """How often something was needed among those looked at, and when.

    Parameters
    ----------
    looked_at, needed : cases.
    first, last : day of the first and the last case.
    """

    looked_at: int = 0
    needed: int = 0
    first: date = date.max
    last: date = date.min

    def add(self, needed: int, at: datetime, looked_at: int = 1) -> None:
        """Some more cases."""
        self.looked_at += looked_at
        self.needed += needed
        day = at.date()
        self.first = min(self.first, day)
        self.last = max(self.last, day)


@dataclass(slots=True)
class Ratio:
    """What was taken over what was due, case by case, with its error.

    Equations
    ---------
    r = sum y / sum x; variance of r = sum (y - r x)^2 / (n (n - 1)) / mean(x)^2 (Cochran, Sampling
    Techniques, 1977, section 6.3, from memory).
    """

    cases: int = 0
    taken: float = 0.0
    due: float = 0.0
    taken_squares: float = 0.0
    due_squares: float = 0.0
    products: float = 0.0
    first: date = date.max
    last: date = date.min

    def add(self, taken: float, due: float, day: date) -> None:
        """One more case."""
        self.cases += 1
        self.taken += taken
        self.due += due
        self.taken_squares += taken * taken
        self.due_squares += due * due
        self.products += taken * due
        self.first = min(self.first, day)
        self.last = max(self.last, day)

    def join(self, other: "Ratio") -> None:
        """The cases of another beside these."""
        for name in ("cases", "taken", "due", "taken_squares", "due_squares", "products"):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        self.first, self.last = min(self.first, other.first), max(self.last, other.last)

    @property
    def mean(self) -> float:
        """Taken over due."""
        return self.taken / self.due

    @property
    def sd(self) -> float:
        """Standard error of the mean; 0 for a single case."""
        if self.cases < 2:
            return 0.0
        r = self.mean
        rest = self.taken_squares - 2 * r * self.products + r * r * self.due_squares
        return sqrt(max(rest, 0.0) * self.cases / (self.cases - 1)) / self.due
