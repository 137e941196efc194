"""The comparison: what changes of a works come to, each held against the works as it is.

All differences are changed less base, over the same replications with the same chances.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from pacewright.plans.forecast import Cause


class Verdict(StrEnum):
    """Whether a difference is more than chance."""

    REAL = "real"
    """its interval lies clear of nothing, all others of its kind looked at as well"""
    NOT_SHOWN = "not shown"
    """it may be chance; more replications may show it"""
    SAME = "same"
    """equal in every replication"""


class Good(StrEnum):
    """What a real difference means to the works."""

    BETTER = "better"
    WORSE = "worse"
    NEITHER = ""
    """neither good nor bad by itself, or not shown"""


@dataclass(frozen=True, slots=True)
class Difference:
    """One figure on both sides.

    Parameters
    ----------
    key, name, unit : as in a forecast.
    base, changed : means over the replications that know the figure on both sides.
    difference, half_width : mean of the paired differences, and of its interval.
    verdict, good : what it is worth.
    replications : pairs it rests on.
    times_fewer : variance of the difference with chances drawn apart over that with shared ones:
        so many times fewer replications do. Infinite when every pair differs by the same; not a
        number when nothing varies.
    """

    key: str
    name: str
    unit: str
    base: float
    changed: float
    difference: float
    half_width: float
    verdict: Verdict
    good: Good
    replications: int
    times_fewer: float


@dataclass(frozen=True, slots=True)
class HoldUpDifference:
    """One cause at one place on both sides, working days vehicles stand in a year of 52 weeks."""

    cause: Cause
    place_id: str
    name: str
    shop_id: str
    base_days: float
    changed_days: float
    difference_days: float
    half_width: float
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class ChangeOutcome:
    """What one change comes to.

    Parameters
    ----------
    name : of the change.
    differs : what differs in the works, one line each.
    figures : the works as a whole, in the order of a forecast.
    holdups : hold-ups that differ, the largest difference first.
    notes : what had to be assumed in its runs and not in those of the base.
    """

    name: str
    differs: tuple[str, ...]
    figures: tuple[Difference, ...]
    holdups: tuple[HoldUpDifference, ...]
    notes: tuple[str, ...] = ()

    def figure(self, key: str) -> Difference:
        """The figure with this key.

        Raises
        ------
        KeyError : there is no such figure.
        """
        for one in self.figures:
            if one.key == key:
                return one
        raise KeyError(key)


@dataclass(frozen=True, slots=True)
class Comparison:
    """Changes held against the works as it is.

    Parameters
    ----------
    works_name, inputs_hash, version : of the base.
    replications : pairs run for every change.
    seed : of all chance, on all sides.
    confidence : with which all intervals of a kind hold at once.
    figures_looked_at, holdups_looked_at : intervals over which that confidence is shared.
    first, last : days measured; start : as in a forecast; warm_up_weeks : left out before.
    changes : in the order given.
    notes : what had to be assumed.
    interrupted : True when it was stopped before all changes were run.
    seconds : wall-clock time.
    stopped_by : what ended the runs: ``replications``, ``precision``, ``limit``, ``interrupted``.
    precision, of : wanted half width of the difference over the base's mean, of the figure ``of``;
        None where none was asked.
    pace_a_week : even calls on all sides; None: each side's programme.
    """

    works_name: str
    inputs_hash: str
    version: str
    replications: int
    seed: int
    confidence: float
    figures_looked_at: int
    holdups_looked_at: int
    first: date
    last: date
    start: str
    warm_up_weeks: int
    changes: tuple[ChangeOutcome, ...]
    notes: tuple[str, ...] = ()
    interrupted: bool = False
    seconds: float = 0.0
    stopped_by: str = "replications"
    precision: float | None = None
    of: str = ""
    pace_a_week: float | None = None
