"""The call-in problem told a second time, vehicle by vehicle, for solvers that are not ours.

Uses the calendar and the tables only; nothing of the code that plans or judges.
"""

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import product
from math import ceil

from pacewright.fleet.windows import DueWindow
from pacewright.works import Works


@dataclass
class Visit:
    """One vehicle: its weeks, last week in time, week of due, depot and type."""

    name: str
    weeks: list[int]
    latest: int
    due: int
    depot: str
    type_id: str
    passed: bool
    fixed: bool = False

    def choices(self, horizon: int) -> list[int]:
        """Its weeks, and after them not to be called; who is called in has one week alone."""
        return self.weeks if self.fixed else [*self.weeks, horizon]


@dataclass
class Limit:
    """At most ``most`` of the (visit, week) pairs may be chosen; ``place`` eases as one."""

    kind: str
    place: str
    pairs: list[tuple[int, int]]
    most: int


@dataclass
class Oracle:
    """Visits and limits; choose a week for each, or none (counted late to the end)."""

    visits: list[Visit]
    limits: list[Limit]
    horizon: int

    def late(self, visit: int, week: int) -> int:
        """Weeks past the last permitted one."""
        return max(0, week - self.visits[visit].latest)

    def life(self, visit: int, week: int) -> int:
        """Days of life given away, by whole weeks."""
        return 7 * max(0, self.visits[visit].due - week)

    def best_by_trying_all(self) -> tuple[int, int]:
        """Least lateness, and least life given away at that, over every assignment."""
        best = (10**9, 10**9)
        choices = [visit.choices(self.horizon) for visit in self.visits]
        for weeks in product(*choices):
            value = (
                sum(self.late(v, w) for v, w in enumerate(weeks)),
                sum(self.life(v, w) for v, w in enumerate(weeks)),
            )
            if value < best:
                chosen = set(enumerate(weeks))
                if all(sum(p in chosen for p in one.pairs) <= one.most for one in self.limits):
                    best = value
        return best

    def best_by_cp_sat(self) -> tuple[int, int]:
        """The same by OR-Tools CP-SAT, one yes-or-no for each vehicle and week."""
        from ortools.sat.python import cp_model

        model = cp_model.CpModel()
        x = {
            (v, w): model.new_bool_var(f"{v}/{w}")
            for v, visit in enumerate(self.visits)
            for w in visit.choices(self.horizon)
        }
        for v, visit in enumerate(self.visits):
            model.add_exactly_one(x[v, w] for w in visit.choices(self.horizon))
        for limit in self.limits:
            model.add(sum(x[pair] for pair in limit.pairs) <= limit.most)
        late = sum(self.late(v, w) * bit for (v, w), bit in x.items())
        life = sum(self.life(v, w) * bit for (v, w), bit in x.items())
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.max_time_in_seconds = 20
        found = []
        for aim in (late, life):
            model.minimize(aim)
            assert solver.solve(model) == cp_model.OPTIMAL
            found.append(round(solver.objective_value))
            model.add(aim <= found[-1])
        return found[0], found[1]

    def least_easing(self, kinds: set[str], overdue_until: int) -> int | None:
        """Least sum of easings of these kinds at which everybody fits, by CP-SAT; None: never.

        Visits whose window had passed at the start may come up to week ``overdue_until``.
        """
        from ortools.sat.python import cp_model

        model = cp_model.CpModel()
        x = {}
        for v, visit in enumerate(self.visits):
            last = max(visit.latest, overdue_until) if visit.passed else visit.latest
            weeks = [week for week in visit.weeks if week <= last]
            for week in weeks:
                x[v, week] = model.new_bool_var(f"{v}/{week}")
            model.add_exactly_one(x[v, week] for week in weeks)
        ease = {
            (one.kind, one.place): model.new_int_var(0, 99, one.kind + one.place)
            for one in self.limits
            if one.kind in kinds
        }
        for one in self.limits:
            taken = sum(x[pair] for pair in one.pairs if pair in x)
            model.add(taken <= one.most + ease.get((one.kind, one.place), 0))
        model.minimize(sum(ease.values()))
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        status = solver.solve(model)
        if status == cp_model.INFEASIBLE:
            return None
        assert status == cp_model.OPTIMAL
        return round(solver.objective_value)


def oracle_of(works: Works, windows: Sequence[DueWindow]) -> Oracle:
    """Tell the problem from the works and the windows."""
    plan, calendar = works.settings.plan, works.calendar
    weeks = calendar.weeks(plan.start, plan.horizon_weeks)
    days = [(day, week.index) for week in weeks for day in week.working_days]
    monday = weeks[0].monday
    visits = []
    for window in windows:
        if window.opens is None or window.due is None or window.latest is None:
            continue
        told = _told_day(works, window.vehicle_id)
        if told is not None and not plan.start <= told <= weeks[-1].sunday:
            continue
        after = [w for day, w in days if day >= window.opens]
        inside = [w for day, w in days if window.opens <= day <= window.latest]
        if told is None and (not after or min(window.due, window.latest) > weeks[-1].sunday):
            continue
        latest = max(inside) if inside else [*after, days[-1][1]][0]
        due = min(latest, max(0, (window.due - monday).days // 7))
        visits.append(
            Visit(
                window.vehicle_id,
                sorted(set(after)) if told is None else [dict(days)[told]],
                latest,
                due,
                window.depot_id,
                window.type_id,
                window.latest < plan.start or not inside,
                told is not None,
            )
        )
    limits = [_beside_fixed(one, visits) for one in _limits(works, visits)]
    return Oracle(visits, limits, plan.horizon_weeks)


def _told_day(works: Works, vehicle_id: str) -> date | None:
    """Working day for which a vehicle is called in, the first of the plan when it has passed."""
    plan = works.settings.plan
    for one in works.vehicles:
        if one.vehicle_id == vehicle_id and one.called_for is not None:
            first = plan.start if one.called_for < plan.today else one.called_for
            return min(day for day in works.calendar.days if day >= first)
    return None


def _beside_fixed(limit: Limit, visits: list[Visit]) -> Limit:
    """The limit with what those called in take of it, whether there is room or not, taken off."""
    free = [pair for pair in limit.pairs if not visits[pair[0]].fixed]
    taken = len(limit.pairs) - len(free)
    return Limit(limit.kind, limit.place, free, max(0, limit.most - taken))


def _limits(works: Works, visits: list[Visit]) -> Iterator[Limit]:
    plan, calendar = works.settings.plan, works.calendar
    weeks = calendar.weeks(plan.start, plan.horizon_weeks)
    every = [(v, w) for v, visit in enumerate(visits) for w in visit.weeks]
    turn = {t.type_id: t.turn_days for t in works.vehicle_types}

    def last_week(week: int, length: float) -> int:
        first = bisect_left(calendar.days, max(weeks[week].monday, plan.start))
        return (calendar.days[first + max(1, ceil(length)) - 1] - weeks[0].monday).days // 7

    def still(v: int, w: int, week: int, length: float) -> bool:
        return w <= week <= last_week(w, length)

    def stays(depot: str | None, week: int, home: float) -> int:
        count = 0
        for one in works.vehicles:
            if one.state == "inside" and depot in (None, one.depot_id):
                came = bisect_left(calendar.days, one.gate_in)
                last = came + max(1, ceil(turn[one.type_id])) - 1
                if one.promised is not None:
                    last = max(n for n, day in enumerate(calendar.days) if day <= one.promised)
                start = bisect_left(calendar.days, plan.start)
                if last < start:
                    last = start + works.week_days - 1
                end = calendar.days[last + ceil(home)]
                count += end >= weeks[0].monday + timedelta(weeks=week)
            told = _told_day(works, one.vehicle_id)
            if told is not None and told < plan.start and depot in (None, one.depot_id):
                came = bisect_left(calendar.days, told)
                end = calendar.days[came + max(1, ceil(turn[one.type_id])) - 1 + ceil(home)]
                count += end >= weeks[0].monday + timedelta(weeks=week)
        return count

    total = 0.0
    for week in weeks:
        before = int(total + 1e-9)
        for day in week.working_days:
            rate = [s.vehicles_a_week for s in plan.pace if s.starts <= day][-1]
            total += rate / works.week_days
        able = int(total + 1e-9) - before
        yield Limit("pace", week.label, [p for p in every if p[1] == week.index], able)
        for kind in works.vehicle_types:
            if kind.week_limit:
                pairs = [(v, w) for v, w in every if w == week.index]
                mine = [(v, w) for v, w in pairs if visits[v].type_id == kind.type_id]
                yield Limit("type", kind.type_id, mine, kind.week_limit)
        for depot in works.depots:
            if depot.away_limit:
                room = depot.away_limit - stays(depot.depot_id, week.index, depot.travel_days)
                pairs = [
                    (v, w)
                    for v, w in every
                    if visits[v].depot == depot.depot_id
                    and still(v, w, week.index, turn[visits[v].type_id] + 2 * depot.travel_days)
                ]
                yield Limit("depot", depot.depot_id, pairs, max(0, room))
        if plan.inside_limit:
            room = plan.inside_limit - stays(None, week.index, 0)
            pairs = [(v, w) for v, w in every if still(v, w, week.index, turn[visits[v].type_id])]
            yield Limit("inside", "", pairs, max(0, room))
