"""Scrap and purchase: what is condemned is bought anew; order points and last-time buys."""

import math

import numpy as np
from numpy.typing import NDArray

from pacewright.floats.count_law import Complex, Window
from pacewright.floats.lots import even_part
from pacewright.floats.problem import Stream

Array = NDArray[np.float64]


def gathering_transform(stream: Stream, where: Window) -> Complex:
    """Transform of the condemned units that still wait until a purchase lot is full.

    Orders go out when ``purchase_lot`` units are condemned, so that the count waiting one lead
    time before the look is even over 0 ... Q - 1 and independent of what was condemned since:
    exact for a constant lead time (Hadley & Whitin 1963, the (r, Q) rule; from memory).
    """
    if stream.scrap_share <= 0 or stream.purchase_lot <= 1:
        return np.ones((1, 1), dtype=complex)
    return even_part(stream.purchase_lot, where)


def bought_a_day(stream: Stream) -> float:
    """Units condemned, and so bought, on a working day."""
    drawn = stream.units_a_takt / stream.takt_days + stream.site_a_day
    return drawn * stream.scrap_share


def poisson_weights(mean: float, most: int) -> Array:
    """P(N = n) for n = 0 ... ``most`` of a Poisson count."""
    counts = np.arange(most + 1)
    if mean <= 0:
        return np.asarray(counts == 0, dtype=float)
    log_factorial = np.array([math.lgamma(n + 1) for n in counts])
    return np.asarray(np.exp(counts * math.log(mean) - mean - log_factorial))


def stock_cost(position: int, mean_in_lead: float, holding: float, stockout: float) -> float:
    """Cost a time unit of a stock position: ``holding`` on hand, ``stockout`` on each one short."""
    most = position + math.ceil(mean_in_lead + 12 * math.sqrt(mean_in_lead) + 20)
    net = position - np.arange(most + 1)
    cost = holding * np.maximum(net, 0) + stockout * np.maximum(-net, 0)
    return float(cost @ poisson_weights(mean_in_lead, most))


def best_order(
    rate: float, lead: float, holding: float, stockout: float, fixed: float
) -> tuple[int, int, float]:
    """Order point and order size of least cost when units are condemned at random.

    Parameters
    ----------
    rate : units condemned a time unit; ``lead`` in the same time unit.
    holding, stockout : money a unit and time unit, on hand and short.
    fixed : money an order.

    Returns
    -------
    Order when the stock position falls to the first figure; buy the second; money a time unit.

    Equations: cost(r, Q) = (fixed rate + sum of the cost at positions r+1 ... r+Q) / Q; the best
    Q positions are taken cheapest first (Federgruen & Zheng 1992; from memory).
    """
    mean = rate * lead
    most = math.ceil(mean + 12 * math.sqrt(mean) + 20)
    costs = {y: stock_cost(y, mean, holding, stockout) for y in range(most)}
    low = high = min(costs, key=costs.__getitem__)
    total = fixed * rate + costs[low]
    while True:
        below = stock_cost(low - 1, mean, holding, stockout) if low > 0 else math.inf
        above = stock_cost(high + 1, mean, holding, stockout)
        size = high - low + 1
        if min(below, above) >= total / size:
            return low - 1, size, total / size
        total += min(below, above)
        if below < above:
            low -= 1
        else:
            high += 1


def last_time_buy(condemned_mean: float, confidence: float) -> tuple[int, float]:
    """Units to buy when the maker stops, so that they last with ``confidence``.

    Parameters
    ----------
    condemned_mean : units condemned over the years still to be covered, on average.

    Returns
    -------
    Units to buy, and the chance that they are enough (condemned at random: Poisson).
    """
    most = math.ceil(condemned_mean + 12 * math.sqrt(condemned_mean) + 20)
    enough = np.cumsum(poisson_weights(condemned_mean, most))
    units = int(np.argmax(enough >= confidence))
    return units, float(enough[units])
