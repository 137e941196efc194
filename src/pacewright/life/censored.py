"""Lives of parts of which some have not ended yet, and what they tell without a law."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Lives:
    """Lives seen, each ended or still going on (censored) when last seen.

    Parameters
    ----------
    lengths : how long each has lasted so far, in one unit; above 0.
    ended : True where it had ended then.
    """

    lengths: Array
    ended: NDArray[np.bool_]

    @classmethod
    def of(cls, lengths: Iterable[float], ended: Iterable[bool]) -> "Lives":
        """From plain values.

        Raises
        ------
        ValueError : a length is not above 0, or there are not as many marks as lengths.
        """
        long = np.asarray(list(lengths), dtype=float)
        marks = np.asarray(list(ended), dtype=bool)
        if long.shape != marks.shape or (long.size and not long.min() > 0):
            raise ValueError("every life has a length above 0 and a mark whether it ended")
        return cls(long, marks)

    @property
    def seen_to_end(self) -> int:
        """Lives that ended."""
        return int(self.ended.sum())

    @property
    def going_on(self) -> int:
        """Lives that go on as far as is known."""
        return int(self.ended.size - self.ended.sum())


@dataclass(frozen=True)
class Survival:
    """The product-limit curve and the summed hazard, at each length at which a life ended.

    Parameters
    ----------
    lengths : at which lives ended, rising.
    at_risk : lives that had lasted so long.
    ends : lives that ended there.
    share : share that lasts longer; it falls at ``lengths`` and is level between.
    share_sd : its standard deviation.
    hazard : summed hazard up to and with each length.
    longest : the longest life seen, ended or not.
    """

    lengths: Array
    at_risk: Array
    ends: Array
    share: Array
    share_sd: Array
    hazard: Array
    longest: float

    def at(self, length: float) -> float:
        """Share that lasts longer than ``length``."""
        place = int(np.searchsorted(self.lengths, length, side="right"))
        return float(self.share[place - 1]) if place else 1.0

    def quantile(self, share: float) -> float:
        """Length by which ``share`` of the lives has ended; infinite when it is not seen."""
        reached = np.nonzero(self.share <= 1 - share + 1e-12)[0]
        return float(self.lengths[reached[0]]) if reached.size else inf

    def mean_up_to(self, length: float | None = None) -> float:
        """Mean life counted up to ``length`` at the most; None: up to the longest seen.

        It is the mean itself when the longest life has ended, else it falls short of it.
        """
        end = self.longest if length is None else length
        inner = self.lengths[self.lengths < end]
        edges = np.concatenate(([0.0], inner, [end]))
        levels = np.concatenate(([1.0], self.share[: inner.size]))
        return float(np.sum(np.diff(edges) * levels))


def product_limit(lives: Lives) -> Survival:
    """What the lives tell of how long parts last, whatever law they follow.

    Parameters
    ----------
    lives : a life that goes on counts as lasting through every end of the same length.

    Equations
    ---------
    With d of n at risk ending at each length: share = prod(1 - d/n) (Kaplan and Meier 1958), its
    variance share^2 sum d/(n(n-d)) (Greenwood), hazard = sum d/n (Nelson 1969, Aalen 1978); from
    memory.
    """
    order = np.argsort(lives.lengths, kind="stable")
    lengths, ended = lives.lengths[order], lives.ended[order]
    at, ends = np.unique(lengths[ended], return_counts=True)
    at_risk = (lengths.size - np.searchsorted(lengths, at, side="left")).astype(float)
    ends_real = ends.astype(float)
    share = np.cumprod(1 - ends_real / at_risk)
    left = at_risk - ends_real
    terms = np.divide(ends_real, at_risk * left, out=np.zeros_like(at_risk), where=left > 0)
    return Survival(
        lengths=at,
        at_risk=at_risk,
        ends=ends_real,
        share=share,
        share_sd=share * np.sqrt(np.cumsum(terms)),
        hazard=np.cumsum(ends_real / at_risk),
        longest=float(lengths[-1]) if lengths.size else 0.0,
    )


@dataclass(frozen=True, slots=True)
class Recurrence:
    """Mean number of repairs of one machine by an age."""

    age: float
    repairs: float


def mean_repairs(
    repairs: Sequence[Sequence[float]], watched_until: Sequence[float]
) -> tuple[Recurrence, ...]:
    """Mean cumulative number of repairs by age, for machines that are repaired and go on.

    Parameters
    ----------
    repairs : ages of the repairs of each machine.
    watched_until : age of each up to which it was watched.

    Equations
    ---------
    M(t) = sum over repair ages <= t of repairs there / machines still watched there (Nelson 1988,
    from memory); a machine watched until an age counts there.
    """
    ages = sorted({age for one in repairs for age in one})
    found, total = [], 0.0
    for age in ages:
        here = sum(list(one).count(age) for one in repairs)
        watched = sum(1 for until in watched_until if until >= age)
        total += here / watched
        found.append(Recurrence(age, total))
    return tuple(found)
