"""What the judge of a programme knows: works and windows told without the code that plans."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from math import ceil

from pacewright.base.calendar import Week
from pacewright.fleet.windows import DueWindow, Standing
from pacewright.plans.programme import Programme, Zone
from pacewright.works import Works

Key = tuple[str, int]
"""Vehicle and visit."""


@dataclass(frozen=True)
class Facts:
    """What works and windows say, told without any of the code that plans.

    Parameters
    ----------
    works, windows, programme : as given to the judge.
    """

    works: Works
    windows: Sequence[DueWindow]
    programme: Programme

    @cached_property
    def weeks(self) -> tuple[Week, ...]:
        plan = self.works.settings.plan
        return self.works.calendar.weeks(plan.start, plan.horizon_weeks)

    @cached_property
    def horizon_end(self) -> date:
        return self.weeks[-1].sunday

    @cached_property
    def booked(self) -> dict[str, tuple[date, date]]:
        """Vehicle called in -> day its depot was told; working day it must come, else date.max.

        When its day has passed it must come on the first working day of the plan.
        """
        plan, days = self.works.settings.plan, self.works.calendar.days
        found = {}
        for one in self.works.vehicles:
            if one.called_for is not None and one.state not in {"inside", "withdrawn"}:
                earliest = plan.start if one.called_for < plan.today else one.called_for
                day = next((day for day in days if day >= earliest), date.max)
                found[one.vehicle_id] = (one.called_for, day)
        return found

    def booked_day(self, vehicle_id: str, visit: int) -> date | None:
        """Working day for which a visit is called in; None: it is not."""
        return self.booked[vehicle_id][1] if visit == 1 and vehicle_id in self.booked else None

    @cached_property
    def belonging(self) -> dict[Key, DueWindow]:
        """Windows that ask for a call inside the horizon, and those called in for a day in it."""
        found = {}
        for w in self.windows:
            if w.opens is None or w.due is None or w.latest is None or w.limit is None:
                continue
            day = self.booked_day(w.vehicle_id, w.visit)
            asks = (
                w.standing not in {Standing.LATER, Standing.INSIDE, Standing.WITHDRAWN}
                and w.opens <= self.days[-1]
                and min(w.due, w.latest) <= self.horizon_end
            )
            if asks if day is None else self.works.settings.plan.start <= day <= self.horizon_end:
                found[w.vehicle_id, w.visit] = w
        return found

    @cached_property
    def beside_the_weeks(self) -> tuple[tuple[str, date], ...]:
        """Vehicle and day of those called in that come without a call of the plan."""
        return tuple(
            (vehicle, day)
            for vehicle, (_, day) in self.booked.items()
            if day <= self.horizon_end and (vehicle, 1) not in self.belonging
        )

    @cached_property
    def untold(self) -> set[Key]:
        """Vehicles without a call whose due day cannot be told, or that no working day suits."""
        return {
            (w.vehicle_id, w.visit)
            for w in self.windows
            if (w.standing is Standing.UNKNOWN and None in (w.opens, w.due, w.limit, w.latest))
            or (
                self.booked_day(w.vehicle_id, w.visit) is None
                and w.standing in {Standing.DUE, Standing.OVERDUE, Standing.UNKNOWN}
                and w.opens is not None
                and w.latest is not None
                and self.days[-1] < w.opens <= self.horizon_end
                and w.latest <= self.horizon_end
            )
            or (
                w.limit is not None
                and (self.booked_day(w.vehicle_id, w.visit) or date.min) > self.horizon_end
            )
        }

    @cached_property
    def days(self) -> list[date]:
        """Working days of the plan."""
        return [day for week in self.weeks for day in week.working_days]

    def week_of(self, day: date) -> int:
        """Week of the plan a date lies in."""
        return (day - self.weeks[0].monday).days // 7

    def permitted(self, window: DueWindow) -> list[date]:
        """First and last working day of the plan inside a window; none when it holds none."""
        assert window.opens and window.latest
        calendar = self.works.calendar
        low, high = max(window.opens, self.days[0]), min(window.latest, self.days[-1])
        if calendar.count(low, high) == 0:
            return []
        last = high
        while not calendar.is_working(last):
            last = date.fromordinal(last.toordinal() - 1)
        return [calendar.add(low, 0), last]

    def latest_week(self, window: DueWindow) -> int:
        """Last week in which it may be called; its first possible week when it has none."""
        permitted = self.permitted(window)
        if permitted:
            return self.week_of(permitted[1])
        opens = max(window.opens or self.days[0], self.days[0])
        return self.week_of(min((d for d in self.days if d >= opens), default=self.days[-1]))


def zone(works: Works, week: int) -> Zone:
    """Zone of a week by the settings."""
    plan = works.settings.plan
    for name, weeks in ((Zone.FIRM, plan.firm_weeks), (Zone.PLANNED, plan.planned_weeks)):
        if week < weeks:
            return name
    return Zone.OUTLINE


def away_days(works: Works, type_id: str, depot_id: str) -> int:
    """Working days a vehicle of a type is away from a depot."""
    turn = next(t.turn_days for t in works.vehicle_types if t.type_id == type_id)
    travel = next(d.travel_days for d in works.depots if d.depot_id == depot_id)
    return max(1, ceil(turn + 2 * travel - 1e-9))
