"""Queues: vehicles of one depot and type whose windows open, fall due and close in one order."""

from dataclasses import dataclass

import numpy as np

from pacewright.callin.absence import Ints
from pacewright.callin.problem import NO_LIMIT, Problem


@dataclass(frozen=True)
class Queues:
    """The demands cut into queues.

    Inside a queue nobody need overtake: any set of weeks that suits the queue suits it in its
    own order, at the same least cost. So a queue is told by how many were called up to each week.

    Parameters
    ----------
    queue : queue of each demand.
    order : the demands, queue by queue, each in its own order; ``start`` where each begins.
    depot, type_ : of each queue; depot -1 for depots without a limit, taken together.
    opened, due, closed : [queue, week] how many have opened, fallen due, closed up to the week.
    """

    queue: Ints
    order: Ints
    start: Ints
    depot: Ints
    type_: Ints
    opened: Ints
    due: Ints
    closed: Ints

    def __len__(self) -> int:
        return len(self.depot)


def queues_of(problem: Problem) -> Queues:
    """Cut the demands of each depot and type into as few queues as a first-fit pass finds.

    Windows sorted by their last week join the first queue whose last member opens and falls due
    no later; this keeps opening, due and last week each in order within every queue.
    """
    demands, horizon = problem.demands, problem.horizon
    limited = problem.depot_limits[demands.depot] < NO_LIMIT
    depot = np.where(limited, demands.depot, -1)
    order = np.lexsort((demands.last_day, demands.due, demands.opens, demands.latest))
    order = order[np.lexsort((demands.type_[order], depot[order]))]
    queue = np.empty(len(demands), dtype=np.int64)
    heads: list[tuple[int, int]] = []
    tails: list[tuple[int, int, int]] = []
    group = None
    columns = (depot, demands.type_, demands.opens, demands.due)
    rows = zip(order.tolist(), *(column[order].tolist() for column in columns), strict=True)
    for demand, depot_of, type_of, opens, due in rows:
        if (depot_of, type_of) != group:
            group, tails = (depot_of, type_of), []
        place = next(
            (at for at, tail in enumerate(tails) if opens >= tail[1] and due >= tail[2]), len(tails)
        )
        if place == len(tails):
            tails.append((len(heads), opens, due))
            heads.append((depot_of, type_of))
        tails[place] = (tails[place][0], opens, due)
        queue[demand] = tails[place][0]
    ordered = order[np.argsort(queue[order], kind="stable")]

    def up_to(week: Ints) -> Ints:
        return counted_up_to(queue, week, (len(heads), horizon))

    return Queues(
        queue=queue,
        order=ordered,
        start=np.searchsorted(queue[ordered], np.arange(len(heads))),
        depot=np.array([head[0] for head in heads], dtype=np.int64),
        type_=np.array([head[1] for head in heads], dtype=np.int64),
        opened=up_to(demands.opens),
        due=up_to(demands.due),
        closed=up_to(demands.latest),
    )


def weeks_of(queues: Queues, called: Ints, horizon: int) -> Ints:
    """Week of each demand when each queue is called in its own order; ``horizon``: not called.

    Parameters
    ----------
    called : [queue, week] whole numbers called up to each week.
    """
    week = np.full(len(queues.queue), horizon, dtype=np.int64)
    for number, start in enumerate(queues.start.tolist()):
        total = int(called[number, -1])
        members = queues.order[start : start + total]
        week[members] = np.searchsorted(called[number], np.arange(1, total + 1))
    return week


def counted_up_to(queue: Ints, week: Ints, shape: tuple[int, int]) -> Ints:
    """[queue, week] how many entries have a week up to it; weeks past the last do not count."""
    counts = np.zeros((shape[0], shape[1] + 1), dtype=np.int64)
    np.add.at(counts, (queue, week), 1)
    total: Ints = counts[:, :-1].cumsum(axis=1)
    return total
