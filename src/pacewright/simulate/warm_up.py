"""How much of the start of a run does not count when the steady state is asked for.

A run from empty says too little at first: nothing waits yet. How long "at first" is, is told by
the runs themselves, by a rule that knows nothing of what the figures should be.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pacewright.simulate.sample import Settling
from pacewright.simulate.table import Floats

BATCH = 5
"""Values averaged before the rule is applied: MSER-5, five working days, one week."""

MOST_SHARE = 0.5
"""The rule looks no further than half the series: what is left must be able to judge it."""


@dataclass(frozen=True, slots=True)
class WarmUp:
    """Where the start ends.

    Parameters
    ----------
    values : values of the series left out.
    settled : False when the best cut is the last one looked at: the series still moves there, so
        it is too short for a steady state, or there is none.
    """

    values: int
    settled: bool


def mser5(series: Floats) -> WarmUp:
    """The truncation that leaves the mean of the rest most sure.

    Parameters
    ----------
    series : the mean over replications of one value a working day, 20 or more.

    Equations
    ---------
    Batches of five z_1 ... z_m; cut d* = argmin over 0 <= d <= m / 2 of
    sum_{i > d} (z_i - mean of the rest)^2 / (m - d)^2 (White 1997; batches of five: White, Cobb
    and Spratt 2000). Of equal cuts the first.
    """
    count = len(series) // BATCH
    z = np.asarray(series[: count * BATCH], float).reshape(count, BATCH).mean(axis=1)
    most = int(count * MOST_SHARE)
    scale = max(1.0, float(np.abs(z).max(initial=0.0)))
    z = z / scale
    after = np.arange(count, 0, -1)[: most + 1]
    rest = np.cumsum(z[::-1])[::-1][: most + 1]
    squares = np.cumsum(z[::-1] ** 2)[::-1][: most + 1]
    # Rounding may leave less than nothing of a series that does not move.
    doubt = np.maximum(squares - rest**2 / after, 0.0) / after**2
    cut = int(np.argmax(doubt <= doubt.min() + 1e-18))
    return WarmUp(cut * BATCH, cut < most or most == 0)


LEAST = 4 * BATCH
"""Values a series must have for the rule to say anything."""


def settled_after(pilots: Sequence[Settling]) -> WarmUp:
    """How many working days a works takes to fill and settle.

    Parameters
    ----------
    pilots : several runs from empty under the same conditions.

    Returns
    -------
    The longer of what two series ask for: vehicles there by day, and turn time by day of arrival
    up to the first day whose vehicles are not all out by the end.
    """
    there = np.mean([one.there for one in pilots], axis=0)
    arrived = np.sum([one.arrived for one in pilots], axis=0)
    out = np.sum([one.out for one in pilots], axis=0)
    turn = np.sum([one.turn_minutes for one in pilots], axis=0)
    short = np.flatnonzero(out < arrived)
    known = int(short[0]) if len(short) else len(out)
    days = np.flatnonzero(arrived[:known])
    found = [mser5(there)]
    if len(days) >= LEAST:
        by_turn = mser5(turn[days] / arrived[days])
        found.append(WarmUp(int(days[by_turn.values]) if by_turn.values else 0, by_turn.settled))
    return WarmUp(max(one.values for one in found), all(one.settled for one in found))
