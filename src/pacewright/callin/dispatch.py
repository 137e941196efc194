"""Dispatch: a plan by one pass through the weeks, for input too large and tight to be solved."""

from dataclasses import dataclass
from heapq import heappop, heappush

import numpy as np

from pacewright.callin.absence import Ints
from pacewright.callin.problem import NO_LIMIT, Problem


def dispatched(problem: Problem) -> Ints:
    """Week of each demand; ``Problem.horizon`` when not called.

    Week by week the open vehicle whose window closes first is called, as long as pace, depot,
    type and inside have room. Without depot, type and inside limits this is the least lateness
    possible (unit work, earliest due first; from memory); with them it is a good plan, not the
    best. It calls as soon as it can: how late each may come without harm is settled afterwards.
    """
    demands, horizon = problem.demands, problem.horizon
    room = _Room(problem)
    week = np.full(len(demands), horizon, dtype=np.int64)
    order = np.argsort(demands.opens, kind="stable").tolist()
    opens, latest = demands.opens.tolist(), demands.latest.tolist()
    depot, type_ = demands.depot.tolist(), demands.type_.tolist()
    waiting: list[tuple[int, int]] = []
    place = 0
    for number, able in enumerate(problem.able.tolist()):
        while place < len(order) and opens[order[place]] <= number:
            heappush(waiting, (latest[order[place]], order[place]))
            place += 1
        blocked = []
        left = able
        while waiting and left:
            head = heappop(waiting)
            demand = head[1]
            if room.take(number, depot[demand], type_[demand]):
                week[demand], left = number, left - 1
            else:
                blocked.append(head)
        for head in blocked:
            heappush(waiting, head)
    return week


@dataclass
class _Room:
    """Room left under the depot, type and inside limits, for weeks taken in their order."""

    problem: Problem

    def __post_init__(self) -> None:
        problem = self.problem
        self.away = problem.depot_limits[:, None] - problem.away_before
        self.inside = problem.inside_limit - problem.inside_before
        self.of_type = problem.type_limits[:, None] - problem.type_before
        self.limited = (problem.depot_limits < NO_LIMIT).tolist()

    def take(self, week: int, depot: int, type_: int) -> bool:
        """Take the room one call needs; False, and nothing taken, when some is lacking.

        Vehicles called in may come while it is away, so there must be room in every week of it.
        """
        inside = self.inside[week : self.problem.inside_to[type_, week] + 1]
        if self.of_type[type_, week] < 1 or inside.min() < 1:
            return False
        if self.limited[depot]:
            away = self.away[depot, week : self.problem.away_to[depot, type_, week] + 1]
            if away.min() < 1:
                return False
            away -= 1
        self.of_type[type_, week] -= 1
        inside -= 1
        return True
