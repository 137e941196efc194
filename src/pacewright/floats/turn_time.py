"""The law of the turn time: how long a unit is away from removal to serviceable."""

import math
from dataclasses import dataclass
from statistics import NormalDist
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from pacewright.floats.error_function import erfc

Array = NDArray[np.float64]

# Numerical dust of day arithmetic: a unit due back at the very moment of need is there.
MOMENT_DAYS = 1e-9


class TurnLaw(Protocol):
    """Anything that knows its survival can be the law of a turn time."""

    def survival(self, days: Array) -> Array:
        """Chance that the turn takes longer than ``days``, element by element."""


@dataclass(frozen=True, slots=True)
class ConstantTurn:
    """Every unit takes exactly ``turn_days`` [working days]."""

    turn_days: float

    def survival(self, days: Array) -> Array:
        """Chance that the turn takes longer than ``days``."""
        return np.where(np.asarray(days) < self.turn_days, 1.0, 0.0)


@dataclass(frozen=True, slots=True)
class LognormalTurn:
    """Turn times with mean ``mean_days`` and standard deviation ``sd_days``, skewed to the late.

    Equations: with v = ln(1 + (sd/mean)^2), P(T > t) = erfc((ln t - ln mean + v/2)/sqrt(2v))/2.
    """

    mean_days: float
    sd_days: float

    def survival(self, days: Array) -> Array:
        """Chance that the turn takes longer than ``days``."""
        log_variance = math.log1p((self.sd_days / self.mean_days) ** 2)
        centre = math.log(self.mean_days) - log_variance / 2
        grid = np.asarray(days, dtype=float)
        ahead = grid > 0
        safe = np.where(ahead, grid, 1.0)
        score = (np.log(safe) - centre) / math.sqrt(2 * log_variance)
        return np.where(ahead, 0.5 * erfc(score), 1.0)

    def longest(self, chance: float) -> float:
        """Days that a turn outlasts with ``chance``."""
        log_variance = math.log1p((self.sd_days / self.mean_days) ** 2)
        score = NormalDist().inv_cdf(chance)
        return self.mean_days * math.exp(-log_variance / 2 - score * math.sqrt(log_variance))

    def beyond(self, days: Array) -> Array:
        """E(T - d)+ = mean P(T' > d) - d P(T > d), T' the law weighted by its own length."""
        log_variance = math.log1p((self.sd_days / self.mean_days) ** 2)
        weighted = LognormalTurn(
            self.mean_days * math.exp(log_variance), self.sd_days * math.exp(log_variance)
        )
        ahead = np.maximum(days, 0.0)
        whole = self.mean_days * weighted.survival(ahead) - ahead * self.survival(ahead)
        return np.asarray(whole + np.maximum(0.0, -days))


@dataclass(frozen=True, slots=True)
class WaitingTurn:
    """A turn with waits before it: the survival averaged over equally likely ``wait_days``."""

    turn: TurnLaw
    wait_days: tuple[float, ...]

    def survival(self, days: Array) -> Array:
        """Chance that wait and turn together take longer than ``days``."""
        grid = np.asarray(days, dtype=float)
        parts = [self.turn.survival(grid - wait + MOMENT_DAYS) for wait in self.wait_days]
        found: Array = np.mean(parts, axis=0)
        return found


def turn_law(mean_days: float, sd_days: float) -> TurnLaw:
    """The law for a mean and a standard deviation [working days]: constant when sd is 0."""
    if sd_days <= 0:
        return ConstantTurn(mean_days)
    return LognormalTurn(mean_days, sd_days)


def longest_days(law: TurnLaw, chance: float = 1e-9) -> float:
    """Days that a turn outlasts with no more than ``chance`` (else by bisection)."""
    if isinstance(law, ConstantTurn):
        return law.turn_days
    if isinstance(law, LognormalTurn):
        return law.longest(chance)
    if isinstance(law, WaitingTurn):
        return longest_days(law.turn, chance) + max(law.wait_days)
    high = 1.0
    while float(law.survival(np.array([high]))[0]) > chance:
        high *= 2
        if high > 1e7:
            raise ValueError("the survival of the turn time does not fall to 0")
    low = 0.0
    while high - low > 1e-6 * high:
        middle = (low + high) / 2
        if float(law.survival(np.array([middle]))[0]) > chance:
            low = middle
        else:
            high = middle
    return high


def mean_beyond(law: TurnLaw, days: Array) -> Array:
    """Mean of what the turn exceeds ``days`` by: E(T - d)+ = integral of survival from d on.

    Parameters
    ----------
    days : moments d [working days]; below 0 the missing stretch counts whole.
    """
    wanted = np.atleast_1d(np.asarray(days, dtype=float))
    if isinstance(law, ConstantTurn):
        return np.maximum(0.0, law.turn_days - wanted)
    if isinstance(law, LognormalTurn):
        return law.beyond(wanted)
    if isinstance(law, WaitingTurn):
        parts = [mean_beyond(law.turn, wanted - wait) for wait in law.wait_days]
        return np.asarray(np.mean(parts, axis=0))
    end = longest_days(law, 1e-13)
    # Gauss-Legendre panels: smooth laws are integrated to about ten digits.
    nodes, weights = np.polynomial.legendre.leggauss(12)
    edges = np.linspace(0.0, end, 241)
    half = np.diff(edges) / 2
    points = edges[:-1, None] + half[:, None] * (nodes + 1)
    panels = half * (law.survival(points.ravel()).reshape(points.shape) @ weights)
    beyond = np.append(np.cumsum(panels[::-1])[::-1], 0.0)
    inside = np.clip(wanted, 0.0, end)
    place = np.minimum((inside / end * 240).astype(int), 239)
    rest = (edges[place + 1] - inside) / 2
    points = inside[:, None] + rest[:, None] * (nodes + 1)
    tail = rest * (law.survival(points.ravel()).reshape(points.shape) @ weights)
    found: Array = tail + beyond[place + 1] + np.maximum(0.0, -wanted)
    return found


def mean_and_sd(law: TurnLaw) -> tuple[float, float]:
    """Mean and standard deviation of a law [working days], by integrating its survival."""
    if isinstance(law, ConstantTurn):
        return law.turn_days, 0.0
    if isinstance(law, LognormalTurn):
        return law.mean_days, law.sd_days
    if isinstance(law, WaitingTurn):
        mean, sd = mean_and_sd(law.turn)
        waits = np.array(law.wait_days)
        return mean + float(waits.mean()), math.sqrt(sd**2 + float(waits.var()))
    end = longest_days(law, 1e-12)
    edges = np.linspace(0.0, end, 20_001)
    middle = (edges[1:] + edges[:-1]) / 2
    alive = law.survival(middle)
    step = end / 20_000
    mean = float(alive.sum() * step)
    square = float(2 * (middle * alive).sum() * step)
    return mean, math.sqrt(max(0.0, square - mean * mean))
