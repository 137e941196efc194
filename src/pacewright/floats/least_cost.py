"""One level for each of many things at the least charge: bound by prices, then part settings."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

LABELS = 5_000
"""Part settings kept at once by the search; beyond it the best found stands with its gap."""
RIVALS = 64
"""Part settings each is held against when several measures count."""


@dataclass(frozen=True)
class Choice:
    """The levels one thing may take.

    Parameters
    ----------
    charges : charge of each level.
    gains : [measure, level] what it adds to each measure the rule is made of.
    worth : what it adds at most to the one sum by which the rule is bounded.
    """

    charges: Array
    gains: Array
    worth: Array


@dataclass(frozen=True, slots=True)
class LeastCharge:
    """The levels found; ``bound`` is a proven lower bound of the charge of any setting."""

    levels: tuple[int, ...]
    charge: float
    bound: float
    proven: bool


@dataclass(frozen=True)
class _Parts:
    # Part settings: charge so far, distance from the bound so far, measures, and levels.
    charges: Array
    excess: Array
    gains: Array
    levels: Ints


def price_bound(choices: Sequence[Choice], need: float) -> tuple[float, float]:
    """Lower bound of the charge when the worths must sum to ``need``, and the price behind it.

    Equations: max over price p >= 0 of sum_k min_s (charge - p worth) + p need (Lagrange dual,
    Everett 1963; from memory), by bisection on its slope.
    """

    def dual(price: float) -> tuple[float, float]:
        value, slope = price * need, need
        for one in choices:
            net = one.charges - price * one.worth
            level = int(np.argmin(net))
            value += float(net[level])
            slope -= float(one.worth[level])
        return value, slope

    low, high = 0.0, 1.0
    while dual(high)[1] > 0 and high < 1e15:
        low, high = high, high * 4
    best = max((dual(0.0)[0], 0.0), (dual(high)[0], high))
    for _ in range(80):
        middle = (low + high) / 2
        value, slope = dual(middle)
        best = max(best, (value, middle))
        low, high = (middle, high) if slope > 0 else (low, middle)
    return best


def least_charge(
    choices: Sequence[Choice],
    need: float,
    meets: Callable[[Array], NDArray[np.bool_]],
    known: tuple[int, ...],
) -> LeastCharge:
    """The setting of least charge whose measures meet the rule.

    Parameters
    ----------
    need : sum of worths without which no setting meets the rule.
    meets : rule on measures [setting, measure]; more of a measure never breaks it.
    known : a setting that meets it, to begin with.

    Every level whose distance from the price bound exceeds what the known setting leaves is
    struck off; what remains is run through completely, part settings that are dearer and worse
    than another being dropped. Narrow runs come first, as a better known setting strikes off
    more. Complete unless more than ``LABELS`` part settings remain.
    """
    best = sum(float(one.charges[s]) for one, s in zip(choices, known, strict=True))
    bound, price = price_bound(choices, need)
    levels, proven = known, bound
    for share in (1 / 64, 1 / 16, 1 / 4, 1.0):
        dust = 1e-9 * max(1.0, abs(best))
        left = max(0.0, best - bound)
        found = _run(choices, price, share * left + dust, meets)
        if found is None:
            return LeastCharge(levels, best, min(best, proven), False)
        # Nothing within reach of this run but what it found: the rest lies beyond it.
        proven = max(proven, bound + share * left)
        if found[0] and found[1] <= best + dust:
            levels, best = found
        if max(0.0, best - bound) <= share * left + dust:
            break
    return LeastCharge(levels, best, best, True)


def _run(
    choices: Sequence[Choice],
    price: float,
    slack: float,
    meets: Callable[[Array], NDArray[np.bool_]],
) -> tuple[tuple[int, ...], float] | None:
    """Best setting no further than ``slack`` from the bound; empty if none; None if too many."""
    order = sorted(
        range(len(choices)), key=lambda k: int((_distance(choices[k], price) <= slack).sum())
    )
    hope = _hope([choices[k] for k in order])
    parts = _Parts(np.zeros(1), np.zeros(1), np.zeros((1, hope.shape[1])), np.zeros((1, 0), int))
    for place, kind in enumerate(order):
        parts = _joined(parts, choices[kind], price, slack)
        parts = _kept(parts, meets(parts.gains + hope[place + 1]))
        parts = _undominated(parts)
        if parts.charges.size > LABELS:
            return None
    if parts.charges.size == 0:
        return (), 0.0
    # Of equally cheap settings the one that gives most.
    best = int(np.lexsort((-parts.gains.sum(axis=1), np.round(parts.charges, 9)))[0])
    levels = [0] * len(choices)
    for place, kind in enumerate(order):
        levels[kind] = int(parts.levels[best, place])
    return tuple(levels), float(parts.charges[best])


def _distance(choice: Choice, price: float) -> Array:
    net = choice.charges - price * choice.worth
    away: Array = net - net.min()
    return away


def _hope(choices: Sequence[Choice]) -> Array:
    # The most the things still to be set can add to each measure.
    best = np.array([one.gains.max(axis=1) for one in choices])
    rest = np.cumsum(best[::-1], axis=0)[::-1]
    return np.vstack([rest, np.zeros((1, best.shape[1]))])


def _joined(parts: _Parts, choice: Choice, price: float, slack: float) -> _Parts:
    away = _distance(choice, price)
    levels = np.flatnonzero(away <= slack)
    excess = parts.excess[:, None] + away[levels]
    row, column = np.nonzero(excess <= slack)
    chosen = levels[column]
    return _Parts(
        charges=parts.charges[row] + choice.charges[chosen],
        excess=excess[row, column],
        gains=parts.gains[row] + choice.gains[:, chosen].T,
        levels=np.hstack([parts.levels[row], chosen[:, None]]),
    )


def _kept(parts: _Parts, keep: NDArray[np.bool_]) -> _Parts:
    return _Parts(parts.charges[keep], parts.excess[keep], parts.gains[keep], parts.levels[keep])


def _undominated(parts: _Parts) -> _Parts:
    count, measures = parts.gains.shape
    if count < 2:
        return parts
    order = np.lexsort((-parts.gains[:, 0], np.round(parts.charges, 9)))
    sorted_parts = _kept(parts, order)  # type: ignore[arg-type]
    gains = sorted_parts.gains
    if measures == 1:
        ahead = np.maximum.accumulate(gains[:, 0])
        keep = np.ones(count, dtype=bool)
        keep[1:] = gains[1:, 0] > ahead[:-1]
        return _kept(sorted_parts, keep)
    # Against a spread of settings only: what is left over costs time, never the proof.
    keep = np.ones(count, dtype=bool)
    for place in np.unique(np.linspace(0, count - 1, min(count, RIVALS)).astype(int)):
        if keep[place]:
            later = (gains[place + 1 :] <= gains[place]).all(axis=1)
            keep[place + 1 :] &= ~later
    return _kept(sorted_parts, keep)
