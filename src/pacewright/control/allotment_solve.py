"""The best allotment, by a mixed-integer model solved by HiGHS, with its proven bound."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from pacewright.callin.linear import Answer, NoFitError, least_whole
from pacewright.callin.linear_model import ModelWriter
from pacewright.control.allotment_problem import (
    NONE_IN_SIGHT_DAYS,
    STANDING_WEIGHT,
    AllotmentProblem,
    Supply,
)

SECONDS = 20.0
"""Longest search; a gap that is left then is told."""

_OWN = 1e-4
"""Cost of an assembly that goes to another vehicle than the one it came with: decides ties only."""


@dataclass(frozen=True)
class Allotted:
    """An assignment and how good it is.

    Parameters
    ----------
    given : slot -> supply; -1: none.
    cost, bound : weighted days, and the proven least.
    """

    given: tuple[int, ...]
    cost: float
    bound: float

    @property
    def gap(self) -> float:
        """Cost less bound, over the cost."""
        return max(0.0, self.cost - self.bound) / max(1.0, abs(self.cost))


@dataclass(frozen=True)
class _Pile:
    """Supplies that are alike: any of them will do."""

    members: tuple[int, ...]
    like: Supply


def allot(problem: AllotmentProblem) -> Allotted:
    """The assignment of least cost.

    What is alike (same sort, day, vehicles, no mate) is one pile with so many in it; the members
    of a pile are handed out in their order, the earliest slot first.
    """
    in_time = _in_time(problem)
    left = _without(problem, in_time)
    found, bound = [-1] * len(left.slots), left.cost((-1,) * len(left.slots))
    if left.slots and left.supplies:
        model = _Model(left)
        try:
            answer = model.solved()
        except NoFitError:
            # Nothing was found in time: nothing is proposed, and nothing is said to be proven.
            bound = 0.0
        else:
            found = list(model.handed_out(answer))
            # The ties' own small costs are no part of what is told.
            bound = max(0.0, answer.bound - _OWN * model.ties)
    given = tuple(_together(problem, in_time, found))
    cost = problem.cost(given)
    return Allotted(given, cost, min(cost, bound))


def _in_time(problem: AllotmentProblem) -> dict[int, int]:
    """Slot -> supply for every sort of which there is enough, in time for all that need one.

    Such a sort keeps nobody waiting, whatever the others do: it is no part of the question. The
    earliest slot gets the earliest supply, which is in time for all if anything is (exchange
    argument). Sorts with matched, restricted or own supplies are left to the model.
    """
    slots, supplies = defaultdict(list), defaultdict(list)
    for i, slot in enumerate(problem.slots):
        slots[slot.sort].append(i)
    for j, one in enumerate(problem.supplies):
        supplies[one.sort].append(j)
    given: dict[int, int] = {}
    for sort, mine in slots.items():
        have = supplies[sort]
        if not all(_is_plain(problem.supplies[j]) for j in have) or len(have) < len(mine):
            continue
        mine.sort(key=lambda i: (problem.slots[i].needed_day, i))
        have.sort(key=lambda j: (problem.supplies[j].ready_day, j))
        pairs = list(zip(mine, have, strict=False))
        if all(problem.delay(problem.slots[i], problem.supplies[j]) == 0 for i, j in pairs):
            given.update(pairs)
    return given


def _is_plain(one: Supply) -> bool:
    return one.vehicles is None and one.mate < 0 and one.own_vehicle < 0


def _without(problem: AllotmentProblem, given: dict[int, int]) -> AllotmentProblem:
    """The problem without the slots that are settled; supplies keep their numbers."""
    kept = tuple(slot for i, slot in enumerate(problem.slots) if i not in given)
    return replace(problem, slots=kept)


def _together(problem: AllotmentProblem, given: dict[int, int], found: list[int]) -> Iterator[int]:
    rest = iter(found)
    for i in range(len(problem.slots)):
        yield given[i] if i in given else next(rest)


class _Model:
    """Columns: slot x pile (0 or 1), slot gets nothing, days stood and days late by vehicle."""

    def __init__(self, problem: AllotmentProblem) -> None:
        self.problem = problem
        self.writer = ModelWriter()
        by_sort = defaultdict(list)
        for p, pile in enumerate(self.piles):
            by_sort[pile.like.sort].append((p, pile.like))
        pairs = [
            (i, p)
            for i, slot in enumerate(problem.slots)
            for p, like in by_sort[slot.sort]
            if like.may_go_to(slot)
        ]
        self.pairs = np.array(pairs, np.int64).reshape(-1, 2)
        vehicles = len(problem.slack_days)
        slots = len(problem.slots)
        self.gets = self.writer.add_columns(np.zeros(len(pairs)), np.ones(len(pairs)))
        self.nothing = self.writer.add_columns(np.zeros(slots), np.ones(slots))
        most = np.full(vehicles, self._most)
        self.stands = self.writer.add_columns(np.zeros(vehicles), most)
        self.late = self.writer.add_columns(np.zeros(vehicles), most)

    @cached_property
    def piles(self) -> list[_Pile]:
        found: dict[tuple[object, ...], list[int]] = defaultdict(list)
        for j, one in enumerate(self.problem.supplies):
            alone = j if one.mate >= 0 else -1
            found[one.sort, one.ready_day, one.vehicles, alone, one.own_vehicle].append(j)
        return [_Pile(tuple(some), self.problem.supplies[some[0]]) for some in found.values()]

    @property
    def ties(self) -> int:
        """Slots that may cost a tie."""
        return len({i for i, p in self.pairs.tolist() if self._tie(i, p) > 0})

    @property
    def _most(self) -> float:
        slots, supplies = self.problem.slots, self.problem.supplies
        last = max(one.ready_day for one in supplies) - min(one.needed_day for one in slots)
        return max(NONE_IN_SIGHT_DAYS, last)

    def solved(self) -> Answer:
        """The least cost."""
        self._one_each()
        self._standing()
        self._mates()
        model = self.writer.model()
        cost = np.zeros(self.writer.columns)
        weight = np.array(self.problem.weight)
        cost[self.stands] = STANDING_WEIGHT * weight
        cost[self.late] = weight
        cost[self.gets] = [self._tie(i, p) for i, p in self.pairs.tolist()]
        whole = np.concatenate([self.gets, self.nothing])
        # Without a point to start from: HiGHS 1.16 may give such a point back as its answer.
        return least_whole(model, cost, whole, SECONDS)

    def _tie(self, i: int, p: int) -> float:
        own = self.piles[p].like.own_vehicle
        return _OWN * (own >= 0 and own != self.problem.slots[i].vehicle)

    def _one_each(self) -> None:
        """Every slot gets one thing or nothing; a pile gives no more than it has."""
        slots = len(self.problem.slots)
        rows = self.writer.add_rows(np.ones(slots), np.ones(slots))
        self.writer.put(rows[self.pairs[:, 0]], self.gets, 1.0)
        self.writer.put(rows, self.nothing, 1.0)
        sizes = np.array([len(pile.members) for pile in self.piles], float)
        rows = self.writer.add_rows(np.full(len(sizes), -np.inf), sizes)
        self.writer.put(rows[self.pairs[:, 1]], self.gets, 1.0)

    def _standing(self) -> None:
        """A vehicle stands as long as the worst of its slots; beyond its slack it is late."""
        slots = self.problem.slots
        vehicle = np.array([one.vehicle for one in slots])
        rows = self.writer.add_rows(np.zeros(len(slots)), np.full(len(slots), np.inf))
        self.writer.put(rows, self.stands[vehicle], 1.0)
        self.writer.put(rows, self.nothing, -NONE_IN_SIGHT_DAYS)
        for column, (i, p) in zip(self.gets.tolist(), self.pairs.tolist(), strict=True):
            days = self.problem.delay(slots[i], self.piles[p].like)
            if days > 0:
                self.writer.put(rows[i : i + 1], np.array([column]), -days)
        slack = np.array(self.problem.slack_days)
        rows = self.writer.add_rows(-slack, np.full(len(slack), np.inf))
        self.writer.put(rows, self.late, 1.0)
        self.writer.put(rows, self.stands, -1.0)

    def _mates(self) -> None:
        """Matched supplies go to the same vehicle or to none."""
        pile_of = {j: p for p, pile in enumerate(self.piles) for j in pile.members}
        vehicle = np.array([one.vehicle for one in self.problem.slots])[self.pairs[:, 0]]
        for j, one in enumerate(self.problem.supplies):
            if one.mate <= j:
                continue
            mine = self.pairs[:, 1] == pile_of[j]
            other = self.pairs[:, 1] == pile_of[one.mate]
            for v in np.unique(vehicle[mine | other]):
                row = self.writer.add_rows(np.zeros(1), np.zeros(1))
                for chosen, sign in ((mine, 1.0), (other, -1.0)):
                    columns = self.gets[chosen & (vehicle == v)]
                    self.writer.put(np.full(len(columns), row[0]), columns, sign)

    def handed_out(self, answer: Answer) -> tuple[int, ...]:
        """Members of the piles in their order, the earliest slot first."""
        given = [-1] * len(self.problem.slots)
        left = [list(pile.members) for pile in self.piles]
        chosen = [
            (int(i), int(p))
            for (i, p), x in zip(self.pairs, answer.x[self.gets], strict=True)
            if x > 0.5
        ]
        slots = self.problem.slots
        for i, p in sorted(chosen, key=lambda one: (slots[one[0]].needed_day, one)):
            given[i] = left[p].pop(0)
        return tuple(given)
