"""Figures with their intervals, from one value or one ratio a replication."""

from dataclasses import dataclass
from functools import lru_cache
from math import cos, inf, log, pi, sin, sqrt, tan

import numpy as np

from pacewright.plans.forecast import Estimate
from pacewright.simulate.table import Floats


@lru_cache(maxsize=1024)
def student_t(confidence: float, freedom: int) -> float:
    """The value that Student's t stays within, to both sides, with the given confidence.

    Parameters
    ----------
    confidence : 0 < c < 1, e.g. 0.95.
    freedom : degrees of freedom, 1 or more.

    Equations
    ---------
    P(|T| < t) by the finite series for whole degrees of freedom in the angle atan(t / sqrt(df))
    (Abramowitz and Stegun 1964, 26.7.3 and 26.7.4), inverted by halving the angle's interval.

    >>> round(student_t(0.95, 9), 4)
    2.2622
    """
    low, high = 0.0, pi / 2
    while high - low > 1e-15 * high:
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if _within(middle, freedom) < confidence else (low, middle)
    return sqrt(freedom) * tan(low)


def _within(angle: float, freedom: int) -> float:
    odd = freedom % 2
    term = cos(angle) if odd else 1.0
    total = 0.0
    for step in range(1 + odd, freedom, 2):
        total += term
        term *= cos(angle) ** 2 * step / (step + 1)
    if odd:
        return 2 / pi * (angle + sin(angle) * total)
    return sin(angle) * total


@dataclass(frozen=True, slots=True)
class Interval:
    """Means and half widths of several figures at once.

    Parameters
    ----------
    mean, half_width : one value a figure; not a number where nothing was observed.
    replications : replications that say something about the figure.
    """

    mean: Floats
    half_width: Floats
    replications: int

    def __getitem__(self, place: int) -> tuple[float, float]:
        return float(self.mean[place]), float(self.half_width[place])


def ratio(top: Floats, bottom: Floats, confidence: float) -> Interval:
    """Sums over sums: a mean a vehicle, a share of the demands, a mean over time.

    Parameters
    ----------
    top : one row a replication, one column a figure.
    bottom : the like; or one column for all figures.
    confidence : of the intervals.

    Equations
    ---------
    r = sum a_i / sum b_i. Half width t(n - 1) s / (mean b sqrt n), s the standard deviation of
    a_i - r b_i over the replications (the classical ratio estimator, Cochran 1977, ch. 6). With
    b_i = 1 this is the interval of a mean. Replications with b_i = 0 know nothing of the figure
    but cost nothing either: a_i = b_i = 0 adds no deviation.
    """
    count = len(top)
    bottom = np.broadcast_to(bottom, top.shape)
    total = bottom.sum(axis=0)
    seen = total > 0
    safe = np.where(seen, total, 1.0)
    value = top.sum(axis=0) / safe
    half = np.full(value.shape, inf)
    if count > 1:
        rest = top - value * bottom
        spread = np.sqrt((rest**2).sum(axis=0) / (count - 1))
        half = student_t(confidence, count - 1) * spread * sqrt(count) / safe
    nothing = np.full(value.shape, np.nan)
    return Interval(np.where(seen, value, nothing), np.where(seen, half, nothing), count)


def share(top: Floats, bottom: Floats, confidence: float) -> Interval:
    """A share of counts; where all or none were seen the interval is not made to look exact.

    Equations
    ---------
    As ``ratio``. Where the share comes out 0 or 1 of N cases the half width is the one-sided
    bound -ln(1 - c) / N, three in N at 95 % (the "rule of three", Hanley and Lippman-Hand 1983);
    it takes the cases as independent.
    """
    found = ratio(top, bottom, confidence)
    cases = np.broadcast_to(bottom, top.shape).sum(axis=0)
    sure = (cases > 0) & ((found.mean <= 0) | (found.mean >= 1))
    least = -log(1 - confidence) / np.where(cases > 0, cases, 1.0)
    return Interval(found.mean, np.where(sure, least, found.half_width), found.replications)


def mean_of(values: Floats, confidence: float) -> Interval:
    """Means of one value a replication (rows) and figure (columns); blanks are left out."""
    seen = ~np.isnan(values)
    counts = seen.sum(axis=0)
    filled = np.where(seen, values, 0.0)
    safe = np.maximum(counts, 1)
    mean = filled.sum(axis=0) / safe
    squares = np.where(seen, (values - mean) ** 2, 0.0).sum(axis=0)
    half = np.array(
        [
            student_t(confidence, int(n) - 1) * sqrt(q / (n - 1) / n) if n > 1 else inf
            for n, q in zip(counts, squares, strict=True)
        ]
    )
    nothing = np.full(mean.shape, np.nan)
    return Interval(
        np.where(counts > 0, mean, nothing),
        np.where(counts > 0, half, nothing),
        int(counts.max(initial=0)),
    )


@dataclass(frozen=True, slots=True)
class Named:
    """What a figure is: key, name, unit, and between which values it must lie."""

    key: str
    name: str
    unit: str
    least: float = 0.0
    most: float = inf


def estimate(named: Named, value: tuple[float, float], replications: int) -> Estimate:
    """A figure of the paper from its mean and half width."""
    mean, half = value
    return Estimate(
        key=named.key,
        name=named.name,
        unit=named.unit,
        mean=mean,
        half_width=half,
        low=max(named.least, mean - half),
        high=min(named.most, mean + half),
        replications=replications,
    )
