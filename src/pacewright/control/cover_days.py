"""The float of one unit kind on the days ahead: what is expected in store, and its range."""

from dataclasses import dataclass

import numpy as np

from pacewright.control.ahead import Ahead
from pacewright.control.cover import chances_back, net_demand
from pacewright.control.demand import Demand
from pacewright.control.pool import Pool
from pacewright.floats.count_law import from_transform, window, yes_or_no_sum

RANGE = (0.05, 0.95)
"""Chances between which the range of a day lies."""


@dataclass(frozen=True, slots=True)
class CoverDay:
    """One day ahead.

    Parameters
    ----------
    day : on the clock.
    expected, low, high : serviceable units in store at its end; below 0 so many are wanted and not
        there. The range holds nine cases of ten.
    chance_out : chance that more are wanted by then than are there.
    """

    day: float
    expected: float
    low: int
    high: int
    chance_out: float


def cover_days(seen: Ahead, pool: Pool, asked: Demand, days: int = 40) -> tuple[CoverDay, ...]:
    """The float of a kind, day by day.

    Parameters
    ----------
    seen : for its moment.
    pool : of the kind.
    asked : demand at the pace; without any the float only grows.
    days : working days ahead.

    Equations
    ---------
    As ``cover.covers``: stock = S + n - (N + D), S serviceable, n not in store, N of them not back
    (a sum of yes-or-no counts), D Poisson with the mean of what is wanted less what comes off from
    now on and is back. The range holds the exact law of N + D between its chances of 5 % and 95 %.
    """
    ahead = np.arange(1.0, days + 1)
    missing = 1 - chances_back(pool, seen.now_day, ahead)
    many = missing.shape[1]
    net = np.maximum(net_demand(pool, asked.a_day.get(pool.kind.unit_kind_id, 0.0), ahead), 0.0)
    means = missing.sum(axis=1) + net
    variance = float((missing * (1 - missing)).sum(axis=1).max(initial=0.0) + net.max())
    where = window(means, variance)
    chances = missing if many else np.zeros((len(net), 1))
    transform = yes_or_no_sum(chances, where) * np.exp(np.outer(net, where.turns - 1))
    stock = pool.serviceable + many
    top = stock + int(means.max() + 8 * variance**0.5) + 10
    within = from_transform(transform, where).ready(top)
    return tuple(
        CoverDay(
            day=seen.now_day + float(ahead[row]),
            expected=stock - float(means[row]),
            low=stock - int(np.argmax(within[row] >= RANGE[1] - 1e-12)),
            high=stock - int(np.argmax(within[row] >= RANGE[0] - 1e-12)),
            chance_out=float(min(1.0, max(0.0, 1 - within[row, stock]))),
        )
        for row in range(days)
    )
