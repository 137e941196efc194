"""Weibull lives: fitted to ended and censored ones, and how sure the fit is."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from pacewright.life.beta_law import Interval
from pacewright.life.censored import Lives

Array = NDArray[np.float64]
_SHAPE_MOST = 1e4


class NoFitError(ValueError):
    """The lives cannot carry a law; says why."""


@dataclass(frozen=True, slots=True)
class Weibull:
    """Lives with P(T > t) = exp(-(t/scale)^shape).

    Parameters
    ----------
    scale : eta, the length by which 63.2 % have ended, in the unit of the lives.
    shape : beta; above 1 parts wear out, at 1 they fail by chance, below they fail early.
    log_scale_sd, log_shape_sd : standard errors of the logarithms of both.
    log_likelihood : of the lives it was fitted to; 0 when it was given.
    ended, going_on : lives it was fitted to.
    """

    scale: float
    shape: float
    log_scale_sd: float = 0.0
    log_shape_sd: float = 0.0
    log_likelihood: float = 0.0
    ended: int = 0
    going_on: int = 0

    @property
    def mean(self) -> float:
        """Mean life."""
        return self.scale * math.gamma(1 + 1 / self.shape)

    @property
    def sd(self) -> float:
        """Standard deviation of the life."""
        second = math.gamma(1 + 2 / self.shape)
        return self.scale * math.sqrt(second - math.gamma(1 + 1 / self.shape) ** 2)

    def lasts(self, length: Array | float) -> Array:
        """Share that lasts longer than each length."""
        return np.exp(-np.power(np.asarray(length, dtype=float) / self.scale, self.shape))

    def shape_interval(self, level: float = 0.9) -> Interval:
        """Range that holds the true shape with about ``level`` (normal on the log scale)."""
        reach = math.exp(NormalDist().inv_cdf((1 + level) / 2) * self.log_shape_sd)
        return Interval(self.shape / reach, self.shape * reach)

    def scale_interval(self, level: float = 0.9) -> Interval:
        """Range that holds the true scale with about ``level`` (normal on the log scale)."""
        reach = math.exp(NormalDist().inv_cdf((1 + level) / 2) * self.log_scale_sd)
        return Interval(self.scale / reach, self.scale * reach)


def weibull_fit(lives: Lives) -> Weibull:
    """The Weibull law of greatest likelihood.

    Parameters
    ----------
    lives : with at least two ended at different lengths.

    Raises
    ------
    NoFitError : fewer ended lives, or all ended at one length.

    Equations
    ---------
    The shape b solves sum(t^b ln t)/sum(t^b) - 1/b = mean of ln t over the ended, sums over all
    lives (the left side rises with b); scale^b = sum(t^b)/ended. Standard errors from the observed
    information of (ln scale, ln shape). Lawless, Statistical Models and Methods for Lifetime Data
    (1982), section 4.1, from memory.
    """
    failed = lives.seen_to_end
    distinct = np.unique(lives.lengths[lives.ended])
    if distinct.size < 2:
        raise NoFitError(
            f"{failed} of {lives.ended.size} lives ended, at {distinct.size} different lengths. A "
            "Weibull law needs two at least. Wait for more removals, or use the product limit."
        )
    # Lengths over the longest: powers stay below 1.
    unit = float(lives.lengths.max())
    logs = np.log(lives.lengths / unit)
    mean_log = float(logs[lives.ended].mean())
    shape = _rising_root(lambda b: _weighted(logs, b) - 1 / b - mean_log)
    total = float(np.exp(shape * logs).sum())
    log_scale = math.log(total / failed) / shape
    scale = unit * math.exp(log_scale)
    errors = _standard_errors(logs - log_scale, lives.ended, shape)
    likelihood = failed * (math.log(shape) - shape * math.log(scale)) - failed
    likelihood += (shape - 1) * float(np.log(lives.lengths[lives.ended]).sum())
    return Weibull(scale, shape, *errors, likelihood, failed, lives.going_on)


def _weighted(logs: Array, shape: float) -> float:
    weights = np.exp(shape * logs)
    return float((weights * logs).sum() / weights.sum())


def _rising_root(of: Callable[[float], float]) -> float:
    low, high = 1e-6, 1.0
    while of(high) < 0 and high < _SHAPE_MOST:
        low, high = high, high * 2
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if of(middle) < 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _standard_errors(logs: Array, ended: NDArray[np.bool_], shape: float) -> tuple[float, float]:
    # With z = b (ln t - ln scale), minus the second derivatives by (ln scale, ln b).
    z = shape * logs
    hazard = np.exp(z)
    failed = float(ended.sum())
    scale_scale = shape**2 * float(hazard.sum())
    both = -shape * float((hazard * (1 + z)).sum() - failed)
    shape_shape = float((hazard * (z + z**2)).sum() - z[ended].sum())
    spread = scale_scale * shape_shape - both**2
    return math.sqrt(shape_shape / spread), math.sqrt(scale_scale / spread)
