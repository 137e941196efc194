"""At what age it pays to change a part that wears out, and when it does not pay at all."""

import math
from dataclasses import dataclass

import numpy as np

from pacewright.life.renewals import LifeLaw
from pacewright.life.weibull import Weibull

_POINTS = 4001
_REACH = 8.0
_GOLDEN = (math.sqrt(5) - 1) / 2


@dataclass(frozen=True, slots=True)
class ChangeAge:
    """The age at which a part is best changed.

    Parameters
    ----------
    age : in the unit of the life; None: run it until it fails, no planned change is cheaper.
    cost_rate : money for one unit of life at that age.
    to_failure_rate : money for one unit of life when it is run until it fails.
    """

    age: float | None
    cost_rate: float
    to_failure_rate: float


def age_cost_rate(law: LifeLaw, age: float, planned_cost: float, failure_cost: float) -> float:
    """Cost for one unit of life when a part is changed at ``age`` or when it fails before.

    Equations
    ---------
    (planned R(T) + failure (1 - R(T))) / integral of R from 0 to T. Barlow and Hunter 1960, from
    memory. Simpson's rule on 4,001 points.
    """
    grid = np.linspace(0, age, _POINTS)
    lasting = law.lasts(grid)
    step = age / (_POINTS - 1)
    area = step / 3 * (lasting[0] + 4 * lasting[1:-1:2].sum() + 2 * lasting[2:-1:2].sum())
    area += step / 3 * lasting[-1]
    reached = float(lasting[-1])
    return (planned_cost * reached + failure_cost * (1 - reached)) / float(area)


def best_change_age(law: Weibull, planned_cost: float, failure_cost: float) -> ChangeAge:
    """The age of least cost, for a part that is as new after each change.

    Parameters
    ----------
    law : of its life.
    planned_cost, failure_cost : money of a change as planned, and of one after a failure with all
        that the failure brings; above 0.

    Returns
    -------
    The age; none when the part does not wear out (shape 1 or less) or a failure costs no more.

    Notes
    -----
    A safety part is changed as its rule says, whatever this advises.
    """
    to_failure = failure_cost / law.mean
    if law.shape <= 1 or failure_cost <= planned_cost:
        return ChangeAge(None, to_failure, to_failure)
    low, high = 1e-3 * law.scale, _REACH * law.scale
    for _ in range(200):
        left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
        rates = [age_cost_rate(law, age, planned_cost, failure_cost) for age in (left, right)]
        if rates[0] <= rates[1]:
            high = right
        else:
            low = left
        if high - low < 1e-7 * law.scale:
            break
    age = (low + high) / 2
    rate = age_cost_rate(law, age, planned_cost, failure_cost)
    return (
        ChangeAge(age, rate, to_failure)
        if rate < to_failure
        else ChangeAge(None, to_failure, to_failure)
    )


def minimal_repair_age(law: Weibull, planned_cost: float, repair_cost: float) -> ChangeAge:
    """The age of least cost for a part that is only patched when it fails, as old as before.

    Raises
    ------
    ValueError : the part does not wear out (shape 1 or less): it is never worth renewing.

    Equations
    ---------
    T = scale (planned/(repair (shape - 1)))^(1/shape); rate (planned + repair (T/scale)^shape)/T.
    Barlow and Hunter 1960, from memory.
    """
    if law.shape <= 1:
        raise ValueError(f"shape {law.shape:g}: a part that does not wear out is not renewed")
    age = law.scale * (planned_cost / (repair_cost * (law.shape - 1))) ** (1 / law.shape)
    rate = (planned_cost + repair_cost * (age / law.scale) ** law.shape) / age
    return ChangeAge(age, rate, math.inf)
