"""Parts changed at every overhaul, every second one, or only when they fail: what it costs.

Overhauls come at a fixed interval; a part that fails between them is changed at once, and the next
overhaul changes it again if it is its turn.
"""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
_STEPS = 2000


class LifeLaw(Protocol):
    """Anything that knows what share lasts longer than a length."""

    @property
    def mean(self) -> float:
        """Mean life."""

    def lasts(self, length: Array | float) -> Array:
        """Share that lasts longer than each length."""


def renewals(law: LifeLaw, length: float) -> float:
    """Mean number of failures by ``length`` of a part that is new at the start and after each.

    Equations
    ---------
    M(t) = F(t) + integral of F(t - x) dM(x), stepped with F at the middle of each step (Xie, On the
    solution of renewal-type integral equations, 1989, from memory): M_i (1 - F(h/2)) = F(t_i) +
    sum over j < i of F(t_i - t_(j-1/2)) (M_j - M_(j-1)) - F(h/2) M_(i-1).

    Example:
    -------
    >>> from pacewright.life.weibull import Weibull
    >>> round(renewals(Weibull(scale=100.0, shape=1.0), 50.0), 3)
    0.5
    """
    step = length / _STEPS
    at: Array = np.arange(_STEPS + 1, dtype=np.float64) * step
    failed = 1 - law.lasts(at)
    middle = 1 - law.lasts(np.add(at, step / 2))
    count = np.zeros(_STEPS + 1)
    risen = np.zeros(_STEPS + 1)
    for i in range(1, _STEPS + 1):
        before = float(middle[i - 1 : 0 : -1] @ risen[1:i])
        count[i] = (failed[i] + before - middle[0] * count[i - 1]) / (1 - middle[0])
        risen[i] = count[i] - count[i - 1]
    return float(count[-1])


@dataclass(frozen=True, slots=True)
class Turn:
    """What it costs to change a part at every n-th overhaul.

    Parameters
    ----------
    every : 1 every time, 2 every second time ...; 0: only when it fails.
    cost_rate : money for one unit of length run.
    failures : mean failures between two planned changes; between two failures when ``every`` is 0.
    """

    every: int
    cost_rate: float
    failures: float


def turns_to_change(
    law: LifeLaw, interval: float, planned_cost: float, failure_cost: float, most: int = 4
) -> tuple[Turn, ...]:
    """Changing at every, every second ... overhaul, or on failure only; the cheapest first.

    Parameters
    ----------
    law : of the part's life, in the unit of ``interval``.
    interval : length between overhauls.
    planned_cost, failure_cost : money of a change at an overhaul, and of one after a failure with
        all that the failure brings.
    most : turns tried.

    Equations
    ---------
    (planned + failure M(n L))/(n L), block replacement (Barlow and Proschan 1965, from memory); on
    failure only failure/mean.

    Notes
    -----
    Only for parts whose failure is a nuisance. A safety part is changed as its rule says.
    """
    found = [Turn(0, failure_cost / law.mean, 1.0)]
    for every in range(1, most + 1):
        length = every * interval
        failures = renewals(law, length)
        found.append(Turn(every, (planned_cost + failure_cost * failures) / length, failures))
    return tuple(sorted(found, key=lambda one: (one.cost_rate, one.every)))
