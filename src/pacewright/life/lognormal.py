"""Turn times: a lognormal law fitted to ended and running ones, shrunk to what was believed."""

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from pacewright.life.beta_law import Interval
from pacewright.life.censored import Lives

Array = NDArray[np.float64]
_ROUNDS = 500
_LEAST_LOG_SD = 1e-3


@dataclass(frozen=True, slots=True)
class LogBelief:
    """What is believed of the logarithm of a time, and on how many times it rests.

    Parameters
    ----------
    centre : mean of the logarithm.
    log_sd : its standard deviation.
    weight : how many times it rests on.
    """

    centre: float
    log_sd: float
    weight: float

    @property
    def mean(self) -> float:
        """Mean time."""
        return math.exp(self.centre + self.log_sd**2 / 2)

    @property
    def sd(self) -> float:
        """Standard deviation of the time."""
        return self.mean * math.sqrt(math.expm1(self.log_sd**2))

    def mean_interval(self, level: float = 0.9) -> Interval:
        """Range that holds the true mean time with about ``level``.

        Equations
        ---------
        The variance of the estimate of centre + v/2, v the log variance, is v/n + v^2/(2(n - 1))
        (D. R. Cox, in Land 1972, from memory), n the times it rests on.
        """
        v, n = self.log_sd**2, max(self.weight, 2.0)
        error = math.sqrt(v / n + v**2 / (2 * (n - 1)))
        reach = math.exp(NormalDist().inv_cdf((1 + level) / 2) * error)
        return Interval(self.mean / reach, self.mean * reach)

    def sd_interval(self, level: float = 0.9) -> Interval:
        """Range that holds the true standard deviation of the time with about ``level``.

        Equations
        ---------
        ln sd = centre + v/2 + ln(e^v - 1)/2, whose slope by v is 1/2 + e^v/(2(e^v - 1)); v has the
        variance 2v^2/(n - 1), centre v/n (delta method).
        """
        v = self.log_sd**2
        slope = 0.5 + math.exp(v) / (2 * math.expm1(v))
        n = max(self.weight, 2.0)
        error = math.sqrt(v / n + slope**2 * 2 * v**2 / (n - 1))
        reach = math.exp(NormalDist().inv_cdf((1 + level) / 2) * error)
        return Interval(self.sd / reach, self.sd * reach)


def belief_of(mean: float, sd: float, weight: float) -> LogBelief:
    """The belief whose time has this mean and standard deviation.

    Equations
    ---------
    v = ln(1 + (sd/mean)^2), centre = ln mean - v/2.
    """
    v = math.log1p((sd / mean) ** 2)
    return LogBelief(math.log(mean) - v / 2, max(math.sqrt(v), _LEAST_LOG_SD), weight)


def updated(before: LogBelief | None, times: Lives) -> LogBelief:
    """What is believed after more times, of which some still run.

    Parameters
    ----------
    before : what was believed; None: nothing, so that this is the law of greatest likelihood.
    times : ended and running.

    Equations
    ---------
    Normal law of the logarithms with a normal-inverse-gamma belief of k cases, centre m, variance
    s (Gelman et al., Bayesian Data Analysis, chapter 3, from memory). For ended times alone:
    centre (k m + n y)/(k + n), variance (k s + sum (x - y)^2 + k n/(k + n) (y - m)^2)/(k + n). A
    running time counts by its expected logarithm and its square given how long it runs already
    (EM: Dempster, Laird and Rubin 1977); the weight grows by the ended times only.

    Raises
    ------
    ValueError : no time has ended and nothing was believed.
    """
    logs = np.log(times.lengths)
    done, running = logs[times.ended], logs[~times.ended]
    if before is None and done.size < 2:
        raise ValueError(f"{done.size} times ended; a law needs two, or a belief to start from")
    if not logs.size and before is not None:
        return before
    prior = before or LogBelief(float(done.mean()), max(float(done.std()), _LEAST_LOG_SD), 0.0)
    centre, spread = prior.centre, prior.log_sd
    first, second = float(done.sum()), float((done**2).sum())
    for _ in range(_ROUNDS):
        more_first, more_second = _expected(running, centre, spread)
        total = prior.weight + logs.size
        new_centre = (prior.weight * prior.centre + first + more_first) / total
        about = prior.weight * (prior.log_sd**2 + (prior.centre - new_centre) ** 2)
        about += second + more_second - 2 * new_centre * (first + more_first)
        about += logs.size * new_centre**2
        new_spread = max(math.sqrt(max(about / total, 0.0)), _LEAST_LOG_SD)
        moved = abs(new_centre - centre) + abs(new_spread - spread)
        centre, spread = new_centre, new_spread
        if moved < 1e-12:
            break
    return LogBelief(centre, spread, prior.weight + done.size)


def _expected(running: Array, centre: float, spread: float) -> tuple[float, float]:
    """Sums of the expected logarithm, and of its square, of times that still run."""
    if not running.size:
        return 0.0, 0.0
    z = (running - centre) / spread
    h = _mills(z)
    first = centre + spread * h
    second = centre**2 + 2 * centre * spread * h + spread**2 * (1 + z * h)
    return float(first.sum()), float(second.sum())


def _mills(z: Array) -> Array:
    """Density over survival of the standard normal law; far out by its asymptotic series."""
    tail = np.array([0.5 * math.erfc(one / math.sqrt(2)) for one in np.minimum(z, 30.0)])
    density = np.exp(-(np.minimum(z, 30.0) ** 2) / 2) / math.sqrt(2 * math.pi)
    far = z + 1 / np.maximum(z, 1.0)
    return np.where(z > 30, far, density / tail)
