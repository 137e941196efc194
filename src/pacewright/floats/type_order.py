"""The even order of types within the call-in: each type as near its share as whole vehicles go."""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray


def even_order(shares: tuple[float, ...], vehicles: int) -> NDArray[np.int64]:
    """Types of successive vehicles so that each type keeps as near to its share as can be.

    Parameters
    ----------
    shares : share of each type; together 1.
    vehicles : length of the order wanted.

    Returns
    -------
    Index of the type, vehicle by vehicle: always the type that lags its share most (the first
    of equals), so that no type runs a whole vehicle ahead.
    """
    # A longer order begins as a shorter one: reckon few lengths, and keep them.
    return _order(shares, 1 << max(8, vehicles - 1).bit_length())[:vehicles]


@lru_cache(maxsize=64)
def _order(shares: tuple[float, ...], vehicles: int) -> NDArray[np.int64]:
    if len(shares) == 1:
        return np.zeros(vehicles, dtype=np.int64)
    lag = [0.0] * len(shares)
    order = np.empty(vehicles, dtype=np.int64)
    places = range(len(shares))
    for turn in range(vehicles):
        for place in places:
            lag[place] += shares[place]
        chosen = max(places, key=lag.__getitem__)
        lag[chosen] -= 1
        order[turn] = chosen
    order.flags.writeable = False
    return order
