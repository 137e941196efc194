"""Laws of duration as tables of quantiles, each with the mean it is meant to have."""

from math import log, sqrt
from statistics import NormalDist

import numpy as np

from pacewright.simulate.table import QUANTILES, Floats

_CELLS = QUANTILES - 1
_GRID = 8193
_NORMAL = NormalDist()
_Z = np.array([_NORMAL.inv_cdf(i / _CELLS) for i in range(1, _CELLS)])


def constant(value: float) -> Floats:
    """The law of what is always the same."""
    return np.full(QUANTILES, float(value))


def three_estimates(least: float, usual: float, most: float) -> Floats:
    """The law of a time known by its least, usual and most.

    Parameters
    ----------
    least, usual, most : a <= m <= b, in any unit; the result has the same.

    Equations
    ---------
    Beta law on [a, b] with mean (a + 4 m + b) / 6: shapes 1 + 4 (m - a) / (b - a) and
    1 + 4 (b - m) / (b - a) (Malcolm, Roseboom, Clark and Fazar 1959, and its common beta form).
    """
    if most - least <= 1e-9 * most:
        return constant(usual)
    x = np.linspace(0.0, 1.0, _GRID)
    low, high = 4 * (usual - least) / (most - least), 4 * (most - usual) / (most - least)
    density = x**low * (1 - x) ** high
    area = np.concatenate([[0.0], np.cumsum((density[1:] + density[:-1]) / 2)])
    u = np.linspace(0.0, 1.0, QUANTILES)
    return least + (most - least) * np.interp(u, area / area[-1], x)


def lognormal(mean: float, sd: float) -> Floats:
    """The lognormal law with the given mean and standard deviation.

    Equations
    ---------
    s^2 = ln(1 + sd^2 / mean^2), q(u) = exp(ln mean - s^2 / 2 + s z(u)). The outermost points are
    set so that the first and last cell have their true mean: mean * 1024 * Phi(z - s) below z.
    """
    if sd <= 0 or mean <= 0:
        return constant(mean)
    s = sqrt(log(1 + (sd / mean) ** 2))
    inner = np.exp(log(mean) - s * s / 2 + s * _Z)
    first = mean * _CELLS * _NORMAL.cdf(float(_Z[0]) - s)
    last = mean * _CELLS * _NORMAL.cdf(s - float(_Z[-1]))
    ends = max(0.0, 2 * first - inner[0]), max(inner[-1], 2 * last - inner[-1])
    return np.concatenate([[ends[0]], inner, [ends[1]]])


def exponential() -> Floats:
    """The exponential law of mean 1.

    Equations
    ---------
    q(u) = -ln(1 - u); the last point gives the last cell its true mean, 1 + ln 1024. Straight
    lines between the points lie above the curve: all is scaled by the little that this adds.
    """
    inner = -np.log1p(-np.arange(_CELLS) / _CELLS)
    points = np.concatenate([inner, [2 * (1 + log(_CELLS)) - inner[-1]]])
    return points / table_mean(points)


def table_mean(points: Floats) -> float:
    """The mean of the law a table stands for: straight lines between its points."""
    return float((points[1:] + points[:-1]).sum() / 2 / _CELLS)


def whole_days_scale(mean_days: float) -> float:
    """The mean of an exponential law whose whole days, plus 1, have a given mean.

    Equations
    ---------
    1 + floor(X) is geometric with mean 1 / (1 - exp(-1 / scale)).

    >>> round(1 / (1 - exp(-1 / whole_days_scale(3.0))), 9)
    3.0
    """
    return 0.0 if mean_days <= 1 else -1 / log(1 - 1 / mean_days)


def likelier(share: float, scatter: bool) -> float:
    """A chance as it is, or without scatter its likelier side, 0 or 1."""
    return share if scatter else float(share >= 0.5)
