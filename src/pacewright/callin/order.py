"""Order within the week: days of equal numbers, types interleaved by goal chasing."""

from bisect import insort
from dataclasses import dataclass
from heapq import heappop, heappush

import numpy as np

from pacewright.callin.absence import Ints
from pacewright.callin.problem import NO_LIMIT, Floats, Problem
from pacewright.works import Works


@dataclass(frozen=True)
class Order:
    """Day (place in ``Problem.days``) and place in the week's order, from 1, of each demand.

    Parameters
    ----------
    day, place : -1 and 0 for a demand that is not called.
    strayed_most : the farthest the running count of a type in a week lies from an even share.
    """

    day: Ints
    place: Ints
    strayed_most: float


def goals_of(works: Works) -> Floats:
    """[type, goal] what one vehicle of each type brings: itself, and its man-hours in each shop.

    The goals of the shops are scaled so that an average type brings one to each.
    """
    shops = {shop.shop_id: place for place, shop in enumerate(works.shops)}
    hours = np.zeros((len(works.vehicle_types), len(shops)))
    for place, one in enumerate(works.vehicle_types):
        route = works.routes[one.type_id]
        for stage in route.stages:
            pieces = route.passes[stage.stage_id]
            hours[place, shops[stage.shop_id]] += stage.hours_usual * stage.crew * pieces
    mean = hours.mean(axis=0)
    return np.hstack([np.eye(len(hours)), hours / np.where(mean > 0, mean, 1.0)])


def order_within_weeks(problem: Problem, week: Ints, goals: Floats) -> Order:
    """Give every call its day and its place in the week.

    Places are filled one after another. The type taken is the one that keeps the running use of
    every goal nearest to even (goal chasing; Monden, Toyota Production System, 1983, from
    memory); inside a type, the vehicle whose window closes first. A vehicle that must come by a
    day is taken before that day is full; one that may not come yet waits for its day. Where the
    days allow it a depot waits for one vehicle to be back before it sends the next.

    Parameters
    ----------
    week : week of each demand; ``Problem.horizon`` when not called.
    goals : [type, goal] as ``goals_of`` gives them.
    """
    day = np.full(len(week), -1, dtype=np.int64)
    place = np.zeros(len(week), dtype=np.int64)
    members = np.argsort(week, kind="stable")
    bounds = np.searchsorted(week[members], np.arange(problem.horizon + 1))
    depots = _DepotDays(problem)
    strayed_most = 0.0
    for number in range(problem.horizon):
        called = members[bounds[number] : bounds[number + 1]]
        if not len(called):
            continue
        first, last = _permitted(problem, number, called)
        depots.wait(called, first, last)
        filling = _Filling(problem.demands.type_[called].tolist(), first, last, goals)
        start = int(problem.week_start[number])
        chosen, days = filling.fill(start, len(problem.weeks[number].working_days))
        day[called[chosen]] = days
        place[called[chosen]] = np.arange(1, len(called) + 1)
        strayed_most = max(strayed_most, filling.strayed_most)
        depots.send(called, day[called])
    return Order(day, place, strayed_most)


def _permitted(problem: Problem, week: int, called: Ints) -> tuple[list[int], list[int]]:
    """First and last day of each call inside its week; past the latest day, the first there is.

    One called in has its booked day alone.
    """
    demands = problem.demands
    start = problem.week_start[week]
    end = start + len(problem.weeks[week].working_days) - 1
    booked = demands.booked[called]
    told = booked >= 0
    first = np.where(told, booked, np.clip(demands.first_day[called], start, end))
    last = np.where(told, booked, np.clip(demands.last_day[called], first, end))
    return first.tolist(), last.tolist()


class _DepotDays:
    """Days on which the vehicles away from each limited depot are back."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        limits = problem.depot_limits.tolist()
        self.back: dict[int, list[int]] = {
            depot: [] for depot, limit in enumerate(limits) if limit < NO_LIMIT
        }
        for stay in problem.stays:
            if stay.depot in self.back:
                insort(self.back[stay.depot], stay.away_until + 1)

    def wait(self, called: Ints, first: list[int], last: list[int]) -> None:
        """Put off the first day of a call until its depot can spare it, if its days allow."""
        sent: dict[int, int] = {}
        depots = self.problem.demands.depot[called].tolist()
        for place in sorted(range(len(called)), key=last.__getitem__):
            depot = depots[place]
            if depot not in self.back:
                continue
            back, before = self.back[depot], sent.get(depot, 0)
            sent[depot] = before + 1
            full = len(back) + before - int(self.problem.depot_limits[depot])
            if 0 <= full < len(back) and first[place] < back[full] <= last[place]:
                first[place] = back[full]

    def send(self, called: Ints, day: Ints) -> None:
        """Note when the vehicles called are back."""
        demands, days_away = self.problem.demands, self.problem.away_days
        for demand, on in zip(called.tolist(), day.tolist(), strict=True):
            depot = int(demands.depot[demand])
            if depot in self.back:
                insort(self.back[depot], on + int(days_away[depot, demands.type_[demand]]))
                while self.back[depot][0] <= self.problem.week_start[self.problem.day_week[on]]:
                    self.back[depot].pop(0)


class _Filling:
    """One week being filled: who waits, by type, and how far every goal has been used."""

    def __init__(self, types: list[int], first: list[int], last: list[int], goals: Floats) -> None:
        self.types, self.first, self.last = types, first, last
        kinds = sorted(set(types))
        self.open: dict[int, list[tuple[int, int]]] = {kind: [] for kind in kinds}
        self.share = {kind: types.count(kind) / len(types) for kind in kinds}
        self.taken = dict.fromkeys(kinds, 0)
        self.goals = goals
        self.mean: Floats = np.array([self.share[kind] for kind in kinds]) @ goals[kinds]
        self.ahead: Floats = np.zeros(goals.shape[1])
        self.strayed_most = 0.0

    def fill(self, start: int, days: int) -> tuple[Ints, Ints]:
        """The calls in their order, and their days, over ``days`` days from ``start`` on."""
        not_open = sorted(range(len(self.types)), key=lambda place: -self.first[place])
        closing = np.bincount(np.array(self.last) - start, minlength=days)
        chosen: list[int] = []
        on: list[int] = []
        for day in range(start, start + days):
            while not_open and self.first[not_open[-1]] <= day:
                place = not_open.pop()
                heappush(self.open[self.types[place]], (self.last[place], place))
            taken = self._fill_day(day, self._quota(day - start, closing, len(chosen)))
            for place in taken:
                closing[self.last[place] - start] -= 1
            chosen += taken
            on += [day] * len(taken)
        return np.array(chosen), np.array(on)

    def _quota(self, day: int, closing: Ints, done: int) -> int:
        """Even share of what is left, or more when windows that close ahead ask for more."""
        left = len(closing) - day
        share = int((len(self.types) - done) / left + 0.5)
        ahead = closing[day:].cumsum() / np.arange(1, left + 1)
        return max(share, int(np.ceil(ahead[:-1].max() - 1e-9)) if left > 1 else share)

    def _fill_day(self, day: int, quota: int) -> list[int]:
        taken: list[int] = []
        while len(taken) < quota and any(self.open.values()):
            urgent = sum(1 for waiting in self.open.values() for last, _ in waiting if last <= day)
            must = urgent >= quota - len(taken)
            kind = self._next_kind(day if must and urgent else None)
            _, place = heappop(self.open[kind])
            taken.append(place)
            self._take(kind)
        return taken

    def _next_kind(self, must_by: int | None) -> int:
        kinds = [
            kind
            for kind, waiting in self.open.items()
            if waiting and (must_by is None or waiting[0][0] <= must_by)
        ]
        if len(kinds) == 1:
            return kinds[0]
        wanted = self.ahead + self.mean
        return min(kinds, key=lambda kind: float(((wanted - self.goals[kind]) ** 2).sum()))

    def _take(self, kind: int) -> None:
        self.taken[kind] += 1
        self.ahead += self.mean - self.goals[kind]
        done = sum(self.taken.values())
        for other, share in self.share.items():
            self.strayed_most = max(self.strayed_most, abs(done * share - self.taken[other]))
