"""What the record teaches: factors proposed beside those of the tables, for a person to decide."""

from dataclasses import dataclass
from datetime import date, datetime
from math import inf


@dataclass(frozen=True, slots=True)
class Proposal:
    """One cell of the tables, what the record shows of it, and what it might be.

    Parameters
    ----------
    table, row, column : the cell; the parts of the row's key with a blank between.
    old, old_sample : what stands there, and on how many it was counted; None: blank, not told.
    shown : what the record alone shows.
    sample : on how many that was counted (``of_what``); ``running``: how many are not over yet.
    first, last : first and last day on which they were counted.
    proposed : shown, shrunk to the old value by its weight.
    low, high : range that holds the true figure with a chance of 90 %.
    real : True when the old value lies outside the range of 99 %.
    new_sample : on how many the proposed value rests, the known sample of the old one among them.
    effect : what it would change, in words; empty when that is not cheap to say.
    rejected_on : day on which it was rejected on evidence not much smaller; None: it was not.
    """

    table: str
    row: str
    column: str
    old: float | None
    old_sample: float | None
    shown: float
    sample: float
    of_what: str
    running: int
    first: date
    last: date
    proposed: float
    low: float
    high: float
    real: bool
    new_sample: int = 0
    effect: str = ""
    rejected_on: date | None = None

    @property
    def proposal_id(self) -> str:
        """Its name for accepting and rejecting: table, row and column with strokes between."""
        return f"{self.table}:{self.row.replace(' ', '+')}:{self.column}"

    @property
    def size(self) -> float:
        """What a change is measured by: the old value; of a share, its smaller side."""
        if self.old is None:
            return 0.0
        return min(self.old, 1 - self.old) if self.column.endswith("_share") else self.old

    @property
    def apart(self) -> float:
        """The change proposed over its ``size``; without limit when that is nought."""
        if self.old is None or self.size <= 0:
            return inf
        return abs(self.proposed - self.old) / self.size

    @property
    def asked(self) -> bool:
        """True when a decision is wanted: it differs for real and was not rejected before."""
        return self.real and self.rejected_on is None


@dataclass(frozen=True, slots=True)
class TurnTime:
    """How long units of a kind really were away, from removal to serviceable.

    Parameters
    ----------
    mean_days, sd_days : working days, what is still in repair reckoned in.
    sample : units made good.
    in_repair : units not made good yet.
    median_days : by which half were made good (product limit), no law assumed; None: not seen.
    """

    unit_kind_id: str
    mean_days: float
    sd_days: float
    sample: int
    in_repair: int
    median_days: float | None


@dataclass(frozen=True, slots=True)
class PartLife:
    """How long units of a kind stay on vehicles, as far as the record saw them fitted.

    Parameters
    ----------
    measure : ``days`` (calendar) or the distance unit of the works.
    removed, on_vehicle : lives that ended by removal, and that go on.
    median : by which half were removed (product limit); None: not seen.
    shape, scale : of the Weibull law of greatest likelihood; None: too few removals.
    shape_low, shape_high : 90 % range of the shape; above 1 parts wear out.
    """

    unit_kind_id: str
    measure: str
    removed: int
    on_vehicle: int
    median: float | None
    shape: float | None
    shape_low: float | None
    shape_high: float | None
    scale: float | None


@dataclass(frozen=True, slots=True)
class Learned:
    """Everything learned from one record.

    Parameters
    ----------
    events : how many were read; ``first``, ``last``: moments of the first and the last.
    released_a_week : vehicles released in a full week, mean and its 90 % range; None: too short.
    proposals : every cell of which the record tells; those asked of the planner first, and of
        these the ones furthest apart.
    turn_times, lives : by unit kind.
    notes : what could not be learned, and why.
    """

    works_name: str
    events: int
    first: datetime | None
    last: datetime | None
    released_a_week: tuple[float, float, float] | None
    proposals: tuple[Proposal, ...]
    turn_times: tuple[TurnTime, ...]
    lives: tuple[PartLife, ...]
    notes: tuple[str, ...]
