"""Floats set together: the least money for a wanted vehicle readiness, proven or with its gap."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pacewright.floats.least_cost import Choice, least_charge

Array = NDArray[np.float64]


@dataclass(frozen=True)
class JointQuestion:
    """Which float for each kind.

    Parameters
    ----------
    ready : for each kind, the chance by [type, float] that a vehicle of the type does not wait;
        1 throughout for a type that does not carry the kind.
    costs : money of one unit of each kind, above 0.
    shares : share of each type in the call-in; together 1.
    target : wanted vehicle readiness: sum over types of share x product over kinds.
    least : floats below which a kind is not set (units held already, or 0).
    """

    ready: tuple[Array, ...]
    costs: tuple[float, ...]
    shares: tuple[float, ...]
    target: float
    least: tuple[int, ...]

    def readiness(self, floats: Sequence[int]) -> float:
        """Vehicle readiness with these floats: kinds are independent when call-in is paced."""
        return float(self.readiness_of([floats])[0])

    def readiness_of(self, settings: Sequence[Sequence[int]]) -> Array:
        """Vehicle readiness of many settings at once."""
        floats = np.asarray(settings, dtype=np.int64).reshape(len(settings), len(self.ready))
        product = np.ones((len(self.shares), len(settings)))
        for row, units in zip(self.ready, floats.T, strict=True):
            product *= row[:, np.minimum(units, row.shape[1] - 1)]
        return np.asarray(np.asarray(self.shares) @ product)

    def cost(self, floats: Sequence[int]) -> float:
        """Money of these floats beyond ``least``."""
        beyond = [units - low for units, low in zip(floats, self.least, strict=True)]
        return float(np.dot(beyond, self.costs))


@dataclass(frozen=True, slots=True)
class JointSetting:
    """The floats chosen, their money, its proven lower bound, and whether it is the least."""

    floats: tuple[int, ...]
    cost: float
    bound: float
    readiness: float
    proven: bool


def greedy_path(question: JointQuestion) -> list[tuple[int, ...]]:
    """Marginal analysis: each time the step whose gain in ln(readiness) is most for its money.

    A step is one unit, or several where fewer gain less for each (units that go off in lots or
    are wanted in pairs). With several types the mean of their ln(readiness) counts, which near 1
    is the readiness itself. The path runs from ``least``, or the first floats of any use, until
    no step adds anything measurable. Its points are efficient (Fox 1966; from memory); better
    ones may lie between.
    """
    shares = np.asarray(question.shares)
    floats, steps = [], []
    for kind, row in enumerate(question.ready):
        # Floats that leave a kind practically never ready gain nothing measurable: begin beyond.
        start = max(question.least[kind], int(np.argmax((row > 1e-6).all(axis=0))))
        floats.append(start)
        worth = shares @ np.log(np.maximum(row, 1e-300))
        for units, gain in _steps(worth, start):
            steps.append((gain / question.costs[kind], kind, units))
    path = [tuple(floats)]
    # Within a kind later steps gain less, so that the order by gain keeps the order of units.
    for _, kind, units in sorted(steps, key=lambda step: -step[0]):
        floats[kind] = units
        path.append(tuple(floats))
    return path


def _steps(worth: Array, start: int) -> list[tuple[int, float]]:
    """(float reached, mean gain a unit) along the upper hull of ``worth`` from ``start`` on."""
    steps: list[tuple[int, float]] = []
    at = start
    while at + 1 < worth.size:
        mean_gains = (worth[at + 1 :] - worth[at]) / np.arange(1.0, worth.size - at)
        best = int(np.argmax(mean_gains))
        if mean_gains[best] <= 1e-12:
            break
        at += best + 1
        steps.append((at, float(mean_gains[best])))
    return steps


def set_together(question: JointQuestion) -> JointSetting:
    """The floats of least money that reach the target.

    Marginal analysis gives a first setting; a search around the price bound then proves it the
    least, or finds the cheaper one between the greedy points.

    Raises
    ------
    ValueError : no float in the tables reaches the target.

    Equations: minimise sum c S subject to sum_t w_t prod_k R_kt(S_k) >= A. As each type's product
    is at least (A - (1 - w_t)) / w_t, exp is bounded by its chord there, which gives a sum over
    kinds that every setting must reach; the exact rule is tested on all that remains.
    """
    if not question.ready:
        return JointSetting((), 0.0, 0.0, 1.0, True)
    first = _first_setting(question)
    lows = [_lowest(question, kind) for kind in range(len(question.ready))]
    slopes = [_chord(share, question.target) for share in question.shares]
    choices, starts = [], []
    for kind, row in enumerate(question.ready):
        top = max(first[kind], row.shape[1] - 1)
        levels = np.arange(min(lows[kind], first[kind]), top + 1)
        logs = np.log(np.maximum(row[:, np.minimum(levels, row.shape[1] - 1)], 1e-300))
        charges = (levels - question.least[kind]) * question.costs[kind]
        worth = np.array(question.shares) * slopes @ logs
        choices.append(Choice(charges, logs, worth))
        starts.append(int(levels[0]))
    shares = np.asarray(question.shares)
    found = least_charge(
        choices,
        need=question.target - 1 - 1e-10,
        meets=lambda sums: np.exp(sums) @ shares >= question.target - 1e-10,
        known=tuple(units - start for units, start in zip(first, starts, strict=True)),
    )
    floats = tuple(level + start for level, start in zip(found.levels, starts, strict=True))
    return JointSetting(
        floats=floats,
        cost=question.cost(floats),
        bound=found.bound,
        readiness=question.readiness(floats),
        proven=found.proven,
    )


def best_for_money(
    losses: Sequence[Array], costs: Sequence[float], money: float
) -> tuple[int, ...]:
    """Floats of least summed loss that cost no more than ``money``.

    Parameters
    ----------
    losses : for each kind, what float 0, 1, 2 ... leaves (mean units short, or -ln readiness).
    """
    choices = [
        Choice(
            loss, -cost * np.arange(float(loss.size))[None, :], -cost * np.arange(float(loss.size))
        )
        for loss, cost in zip(losses, costs, strict=True)
    ]
    found = least_charge(
        choices,
        need=-money,
        meets=lambda sums: sums[:, 0] >= -money - 1e-9,
        known=_greedy_within(losses, costs, money),
    )
    return found.levels


def _greedy_within(
    losses: Sequence[Array], costs: Sequence[float], money: float
) -> tuple[int, ...]:
    floats, left = [0] * len(losses), money
    while True:
        best, gain = -1, 0.0
        for kind, loss in enumerate(losses):
            if floats[kind] + 1 < loss.size and costs[kind] <= left:
                more = float(loss[floats[kind]] - loss[floats[kind] + 1]) / costs[kind]
                if more > gain:
                    best, gain = kind, more
        if best < 0:
            return tuple(floats)
        floats[best] += 1
        left -= costs[best]


def _first_setting(question: JointQuestion) -> tuple[int, ...]:
    path = greedy_path(question)
    enough = np.flatnonzero(question.readiness_of(path) >= question.target)
    if not enough.size:
        raise ValueError(f"no float reaches a vehicle readiness of {question.target}")
    floats = list(path[enough[0]])
    # Take back, dearest first, what later steps made needless.
    for kind in sorted(range(len(floats)), key=lambda k: -question.costs[k]):
        while floats[kind] > question.least[kind]:
            floats[kind] -= 1
            if question.readiness(floats) < question.target:
                floats[kind] += 1
                break
    return tuple(floats)


def _lowest(question: JointQuestion, kind: int) -> int:
    # A vehicle cannot be readier than its least ready kind, whatever the others.
    row = question.ready[kind]
    enough = np.flatnonzero(np.asarray(question.shares) @ row >= question.target - 1e-10)
    low = int(enough[0]) if enough.size else row.shape[1] - 1
    return max(low, question.least[kind])


def _chord(share: float, target: float) -> float:
    low = (target - (1 - share)) / share
    if low <= 0:
        return 0.0
    return (1 - low) / -math.log(low) if low < 1 else 1.0
