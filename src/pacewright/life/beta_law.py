"""The beta law: what is believed of a share, and its quantiles without a statistics library."""

import math
from dataclasses import dataclass
from typing import NamedTuple

_TINY = 1e-300
_STEPS = 100_000
_HALVINGS = 200


class Interval(NamedTuple):
    """A range that holds the true figure with a stated chance."""

    low: float
    high: float

    def holds(self, figure: float) -> bool:
        """True when the figure lies in it."""
        return self.low <= figure <= self.high


@dataclass(frozen=True, slots=True)
class BetaLaw:
    """A share of which ``needed`` cases speak for and ``not_needed`` against.

    Parameters
    ----------
    needed, not_needed : a and b; above 0, fractions of a case allowed.

    Equations
    ---------
    Mean a/(a+b), variance ab/((a+b)^2 (a+b+1)). Gelman et al., Bayesian Data Analysis, chapter 2,
    from memory.

    Example
    -------
    >>> BetaLaw(9, 21).mean
    0.3
    """

    needed: float
    not_needed: float

    @property
    def weight(self) -> float:
        """How many cases it rests on."""
        return self.needed + self.not_needed

    @property
    def mean(self) -> float:
        """The share expected."""
        return self.needed / self.weight

    @property
    def sd(self) -> float:
        """Its standard deviation."""
        return math.sqrt(self.needed * self.not_needed / (self.weight + 1)) / self.weight

    def after(self, needed: float, looked_at: float) -> "BetaLaw":
        """What is believed after ``looked_at`` more cases, of which ``needed`` speak for it."""
        return BetaLaw(self.needed + needed, self.not_needed + looked_at - needed)

    def chance_below(self, share: float) -> float:
        """Chance that the true share lies below ``share``."""
        return regularised_beta(share, self.needed, self.not_needed)

    def quantile(self, chance: float) -> float:
        """Share below which the true one lies with ``chance``.

        Newton's steps from the mean, kept within the bracket that is known so far by halving it;
        within 1e-13 of the chance, or as near as the numbers stand.
        """
        low, high, share = 0.0, 1.0, self.mean
        for _ in range(_HALVINGS):
            off = self.chance_below(share) - chance
            if off < 0:
                low = share
            else:
                high = share
            if abs(off) < 1e-13:
                break
            nearer = share - off / max(self._density(share), _TINY)
            share = nearer if low < nearer < high else (low + high) / 2
            if share in (low, high):
                break
        return share

    def _density(self, share: float) -> float:
        a, b = self.needed, self.not_needed
        return math.exp(_log_front(share, a, b)) / (share * (1 - share))

    def interval(self, level: float = 0.9) -> Interval:
        """The central range that holds the true share with chance ``level``."""
        tail = (1 - level) / 2
        return Interval(self.quantile(tail), self.quantile(1 - tail))


def beta_of(mean: float, sd: float) -> BetaLaw:
    """The beta law of a mean and a standard deviation.

    Raises
    ------
    ValueError : no beta law has them; the variance is below mean * (1 - mean).

    Equations
    ---------
    a + b = m(1 - m)/s^2 - 1.
    """
    weight = mean * (1 - mean) / sd**2 - 1 if sd > 0 else 0.0
    if weight <= 0:
        raise ValueError(f"no share has mean {mean} and standard deviation {sd}")
    return BetaLaw(mean * weight, (1 - mean) * weight)


def regularised_beta(x: float, a: float, b: float) -> float:
    """The incomplete beta function ratio I_x(a, b).

    Parameters
    ----------
    x : from 0 to 1.
    a, b : above 0.

    Equations
    ---------
    I_x(a, b) = x^a (1-x)^b / (a B(a, b)) times the continued fraction 8.17.22 of the NIST Digital
    Library of Mathematical Functions (from memory), by the modified method of Lentz; for x beyond
    (a+1)/(a+b+2) by I_x(a, b) = 1 - I_{1-x}(b, a), where it converges fast.
    """
    if x <= 0:
        return 0.0
    if x >= 1:
        return 1.0
    if x > (a + 1) / (a + b + 2):
        return 1 - regularised_beta(1 - x, b, a)
    return math.exp(_log_front(x, a, b)) * _fraction(x, a, b) / a


def _log_front(x: float, a: float, b: float) -> float:
    """Ln of x^a (1 - x)^b / B(a, b)."""
    constant = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)
    return a * math.log(x) + b * math.log1p(-x) + constant


def _fraction(x: float, a: float, b: float) -> float:
    c, d = 1.0, 1 / _away_from_0(1 - (a + b) * x / (a + 1))
    found = d
    for m in range(1, _STEPS):
        end = a + 2 * m
        even = m * (b - m) * x / ((end - 1) * end)
        odd = -(a + m) * (a + b + m) * x / (end * (end + 1))
        d = 1 / _away_from_0(1 + even * d)
        c = _away_from_0(1 + even / c)
        found *= c * d
        d = 1 / _away_from_0(1 + odd * d)
        c = _away_from_0(1 + odd / c)
        found *= c * d
        if abs(c * d - 1) < 1e-15:
            break
    return found


def _away_from_0(number: float) -> float:
    return number if number > _TINY or number < -_TINY else _TINY
