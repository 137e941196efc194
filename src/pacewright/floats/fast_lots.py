"""Lots that fill fast beside the spread of the turn: what they add to the count, in short."""

import numpy as np
from numpy.typing import NDArray

from pacewright.floats.count_law import Complex, Window
from pacewright.floats.moments import Moments
from pacewright.floats.problem import Stream
from pacewright.floats.turn_time import MOMENT_DAYS

Array = NDArray[np.float64]

SMALL_SHARE = 0.003
"""Most variance that lots may add, as a share of that of the turns, to be taken in short."""
MANY_VEHICLES = 1_000
"""Vehicles within reach of a need above which a few moments stand for all."""


def lot_spread(stream: Stream, rows: Moments) -> Array:
    """Variance that lots add to D beyond that of units that wait each by itself, row by row.

    With F_k the chance that the turn of a unit of vehicle k is over, and g_k = 1 + F_k (1/z - 1),
    the chain of ``lots`` is, in the frame where state i of the open lot is weighed by g^i, a
    cyclic shift: even over the lot it stays even, but for the small turns of the frame
    (g_k+1 / g_k)^i between vehicles. To second order in these (own derivation) lots add
    (Q - 1)/2 units and the variance

        2 sum_j x_j (sum_k d_k^2 / 2 + Re sum_{k<l} d_k d_l r_k+1 ... r_l),  d_k = F_k+1 - F_k,

    over the modes j = 1 ... Q - 1 of the lot, with x_j = 1 / (4 sin^2(pi j / Q)) and
    r_k = (1 - a + a exp(2 pi i j / Q))^units, a the share of units that join.
    """
    count, vehicles = rows.units.shape
    if vehicles > MANY_VEHICLES and count > 3:
        # Where vehicles come so fast one moment is like another: the most of a few.
        few = rows.part(np.array([0, count // 2, count - 1]))
        return np.full(count, lot_spread(stream, few).max())
    size = stream.lot_size
    order = np.argsort(-rows.ago_days, axis=1, kind="stable")
    ago = np.take_along_axis(rows.ago_days, order, axis=1) + MOMENT_DAYS
    units = np.take_along_axis(rows.units, order, axis=1)
    over = np.where(ago >= 0, 1 - stream.turn.survival(ago), 0.0)
    steps = np.diff(over, axis=1)
    modes = np.arange(1, size)
    weight = 1 / (4 * np.sin(np.pi * modes / size) ** 2)
    joins = stream.removal_share * (1 - stream.scrap_share)
    by_units = (1 - joins + joins * np.exp(2j * np.pi * modes / size)) ** np.arange(
        int(units.max()) + 1
    )[:, None]
    total = weight.sum() * (steps**2).sum(axis=1) / 2
    moving = np.flatnonzero((np.abs(steps) > 1e-9).any(axis=0))
    lag = np.zeros((units.shape[0], size - 1), dtype=complex)
    by_vehicle, units_of = np.ascontiguousarray(steps.T), np.ascontiguousarray(units.T)
    for vehicle in range(int(moving.min(initial=0)), int(moving.max(initial=-1)) + 1):
        lag *= by_units[units_of[vehicle]]
        total += by_vehicle[vehicle] * (lag.real @ weight)
        lag += by_vehicle[vehicle, :, None]
    return np.asarray(2 * total)


def fast_lots(stream: Stream, spread: Array, where: Window) -> Complex:
    """Transform of what lots add in short: (Q - 1)/2 units and the variance ``spread``."""
    angles = 2 * np.pi * where.steps / where.size
    half = np.exp(-0.5j * (stream.lot_size - 1) * angles)
    return np.asarray(half * np.exp(-np.outer(spread, 1 - np.cos(angles))))
