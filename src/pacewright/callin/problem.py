"""The question of the call-in programme as plain data: weeks, caps, limits and demands."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import date

import numpy as np
from numpy.typing import NDArray

from pacewright.base.calendar import Week
from pacewright.callin.absence import (
    Ints,
    Stay,
    counted_by_week,
    last_weeks_away,
    stays_at_start,
    whole_days,
)
from pacewright.callin.booked import Booked, booked_calls, in_plan
from pacewright.fleet.windows import DueWindow, Standing
from pacewright.works import Works

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

NO_LIMIT = np.iinfo(np.int32).max
"""Stands for "no limit" where a limit is a whole number."""

HAVE_WINDOW = frozenset({Standing.DUE, Standing.OVERDUE, Standing.UNKNOWN})
"""Standings whose window, when there is one, asks for a call-in."""


class NoProgrammeError(Exception):
    """No programme is possible at all: where, what was found, the rule, the remedy."""

    def __init__(self, where: str, found: str, rule: str, remedy: str) -> None:
        self.where, self.found, self.rule, self.remedy = where, found, rule, remedy
        super().__init__(f"{where}: {found}. {rule} {remedy}")


@dataclass(frozen=True)
class Demands:
    """The vehicle visits that belong to the programme, one place an entry, as arrays.

    Parameters
    ----------
    window : index into the due windows given.
    depot, type_ : index into the works' depots and vehicle types.
    opens, latest : first and last week in which it may be called.
    due : week up to which calling it early gives life away (due, or latest when earlier).
    first_day, last_day : its permitted working days, counted from the first day of the plan.
    overdue : past its latest day on the first day of the plan.
    no_day : its window holds no working day, so it cannot be called inside it.
    cut : its window runs on past the horizon.
    booked : working day for which it was called in, counted in the same way; -1: it is free.
    """

    window: Ints
    depot: Ints
    type_: Ints
    opens: Ints
    due: Ints
    latest: Ints
    first_day: Ints
    last_day: Ints
    overdue: Bools
    no_day: Bools
    cut: Bools
    booked: Ints

    def taken(self, kept: Bools) -> "Demands":
        """Only the demands marked."""
        return Demands(**{one.name: getattr(self, one.name)[kept] for one in fields(self)})

    def __len__(self) -> int:
        return len(self.window)


@dataclass(frozen=True)
class Problem:
    """Everything the methods need, in whole weeks and working days.

    Parameters
    ----------
    weeks : the weeks of the plan.
    days : ordinal of each working day of the plan; ``day_week`` the week it lies in.
    week_start : first working day of each week, as index into ``days``.
    able : most vehicles called in each week.
    pace_a_day : the pace the works is set to run, vehicles a working day.
    depot_limits, type_limits : ``NO_LIMIT`` where there is none.
    away_to : [depot, type, week] last week away of a vehicle called in a week.
    inside_to : [type, week] last week inside of a vehicle called in a week.
    away_days : [depot, type] working days away; ``inside_days`` [type] working days inside.
    stays : vehicles inside at the start; ``away_before`` [depot, week] and ``inside_before``
        [week] count those of them still away or inside; ``type_before`` [type, week] counts calls
        that are settled already.
    """

    weeks: tuple[Week, ...]
    days: Ints
    day_week: Ints
    week_start: Ints
    able: Ints
    pace_a_day: float
    depot_limits: Ints
    type_limits: Ints
    inside_limit: int
    away_to: Ints
    inside_to: Ints
    away_days: Ints
    inside_days: Ints
    stays: tuple[Stay, ...]
    away_before: Ints
    inside_before: Ints
    type_before: Ints
    demands: Demands

    @property
    def horizon(self) -> int:
        """Number of weeks."""
        return len(self.weeks)


def able_by_week(works: Works, weeks: Sequence[Week], level: float | None = None) -> Ints:
    """Most vehicles each week may call in: the pace of each working day, added up and cut.

    The running total of the pace is cut to whole vehicles, so that no stretch from the start on
    runs above the pace and the long run is exact; a week without working days has none.

    Parameters
    ----------
    level : vehicles a week of full working days, in place of the pace steps of the settings.
    """
    totals = np.cumsum([0.0, *pace_by_week(works, weeks, level)])
    whole = (totals + 1e-9).astype(np.int64)
    able: Ints = whole[1:] - whole[:-1]
    return able


def pace_by_week(works: Works, weeks: Sequence[Week], level: float | None = None) -> list[float]:
    """Vehicles that the pace brings in each week, parts of a vehicle included.

    Parameters
    ----------
    level : as for ``able_by_week``.
    """
    steps = works.settings.plan.pace
    starts = [step.starts for step in steps]
    found = []
    for week in weeks:
        total = 0.0
        for day in week.working_days:
            step = bisect_right(starts, day) - 1
            total += steps[step].vehicles_a_week if level is None else level
        found.append(total / works.week_days)
    return found


def demands_of(works: Works, weeks: Sequence[Week], windows: Sequence[DueWindow]) -> Demands:
    """The visits that belong to the programme.

    A window belongs when it opens by the last working day of the horizon and its due day or its
    latest day lies inside the horizon; its weeks are cut at the end of the horizon. A window that
    has passed at the start, or holds no working day, is given the first working week from its
    opening on: whoever comes later is counted late. The next visit of a vehicle called in belongs
    when the day it comes lies in the plan, whatever its window.
    """
    plan, horizon_end = works.settings.plan, weeks[-1].sunday
    booked = booked_calls(works)

    def told(window: DueWindow) -> Booked | None:
        return booked.get(window.vehicle_id) if window.visit == 1 else None

    chosen = [
        place
        for place, window in enumerate(windows)
        if is_dated(window)
        and (
            in_plan(works, one, horizon_end)
            if (one := told(window)) is not None
            else _belongs(window, weeks)
        )
    ]
    depots = {depot.depot_id: place for place, depot in enumerate(works.depots)}
    types = {one.type_id: place for place, one in enumerate(works.vehicle_types)}

    def column(values: list[int]) -> Ints:
        return np.array(values, dtype=np.int64)

    def ordinals(name: str) -> Ints:
        return column([getattr(windows[place], name).toordinal() for place in chosen])

    days = column([day.toordinal() for week in weeks for day in week.working_days])
    day_week = column([week.index for week in weeks for _ in week.working_days])
    opens, due, latest = ordinals("opens"), ordinals("due"), ordinals("latest")
    first_day = np.minimum(np.searchsorted(days, opens), len(days) - 1)
    last_day = np.searchsorted(days, latest, side="right") - 1
    no_day = (last_day < first_day) | (opens > days[-1])
    last_day = np.where(no_day, first_day, last_day)
    latest_week = day_week[last_day]
    overdue = latest < plan.start.toordinal()
    comes = [one.day for one in map(told, (windows[place] for place in chosen)) if one]
    is_told = np.array([told(windows[place]) is not None for place in chosen], dtype=bool)
    on = np.full(len(chosen), -1, dtype=np.int64)
    on[is_told] = np.searchsorted(days, [day.toordinal() for day in comes if day])
    due_week = (due - weeks[0].monday.toordinal()) // 7
    return Demands(
        window=column(chosen),
        depot=column([depots[windows[place].depot_id] for place in chosen]),
        type_=column([types[windows[place].type_id] for place in chosen]),
        opens=day_week[first_day],
        due=np.clip(due_week, 0, latest_week),
        latest=latest_week,
        first_day=first_day,
        last_day=last_day,
        overdue=overdue,
        no_day=no_day & ~overdue,
        cut=latest > horizon_end.toordinal(),
        booked=on,
    )


def _belongs(window: DueWindow, weeks: Sequence[Week]) -> bool:
    last_working_day = max(week.working_days[-1] for week in weeks if week.working_days)
    return (
        window.standing in HAVE_WINDOW
        and window.opens is not None
        and window.due is not None
        and window.latest is not None
        and min(window.due, window.latest) <= weeks[-1].sunday
        and window.opens <= last_working_day
    )


def is_dated(window: DueWindow) -> bool:
    """True when the window has all its dates."""
    return None not in (window.opens, window.due, window.limit, window.latest)


def plan_weeks(works: Works) -> tuple[Week, ...]:
    """The weeks of the plan.

    Raises
    ------
    NoProgrammeError : not one working day lies inside the horizon.
    """
    plan = works.settings.plan
    weeks = works.calendar.weeks(plan.start, plan.horizon_weeks)
    if not any(week.working_days for week in weeks):
        raise NoProgrammeError(
            "works.toml, calendar",
            f"no working day from {plan.start} to {weeks[-1].sunday}",
            "A programme needs at least one working day inside its horizon.",
            "Shorten the shutdowns or lengthen plan.horizon_weeks.",
        )
    return weeks


def problem_of(
    works: Works,
    weeks: tuple[Week, ...],
    demands: Demands,
    level: float | None,
    stays: tuple[Stay, ...] = (),
) -> Problem:
    """Put weeks, limits and demands together.

    Parameters
    ----------
    stays : of vehicles that come without a call of the plan; those inside are added.
    level : vehicles a week of full working days when the settings give no pace, else None.

    Raises
    ------
    NoProgrammeError : the pace does not reach one whole vehicle inside the horizon.
    """
    plan = works.settings.plan
    able = able_by_week(works, weeks, level)
    if len(demands) and not able.any():
        raise NoProgrammeError(
            "works.toml, plan.pace",
            f"the pace reaches no whole vehicle from {weeks[0].monday} to {weeks[-1].sunday}",
            "A programme needs room for at least one call-in.",
            "Raise vehicles_a_week or lengthen plan.horizon_weeks.",
        )
    stays = (*stays_at_start(works), *stays)
    types, depots = works.vehicle_types, works.depots
    lasts: dict[float, Ints] = {}

    def last_weeks(working_days: float) -> Ints:
        if working_days not in lasts:
            lasts[working_days] = last_weeks_away(works, weeks, working_days)
        return lasts[working_days]

    counts = [len(week.working_days) for week in weeks]
    away = [[t.turn_days + 2 * d.travel_days for t in types] for d in depots]
    away_to = [[last_weeks(one) for one in row] for row in away]
    away_before = [
        counted_by_week(
            works, weeks, [(one.begins, one.away_until) for one in stays if one.depot == depot]
        )
        for depot in range(len(depots))
    ]
    steps = [step.vehicles_a_week for step in plan.pace if step.starts <= weeks[-1].sunday]
    return Problem(
        weeks=weeks,
        days=np.array([d.toordinal() for w in weeks for d in w.working_days], dtype=np.int64),
        day_week=np.repeat(np.arange(len(weeks)), counts),
        week_start=np.concatenate([[0], np.cumsum(counts)[:-1]]),
        able=able,
        pace_a_day=(steps[-1] if level is None else level) / works.week_days,
        depot_limits=np.array([d.away_limit or NO_LIMIT for d in depots], dtype=np.int64),
        type_limits=np.array([t.week_limit or NO_LIMIT for t in types], dtype=np.int64),
        inside_limit=plan.inside_limit or NO_LIMIT,
        away_to=np.array(away_to, dtype=np.int64).reshape(len(depots), len(types), len(weeks)),
        inside_to=np.array([last_weeks(t.turn_days) for t in types], dtype=np.int64),
        away_days=np.array([[whole_days(one) for one in row] for row in away], dtype=np.int64),
        inside_days=np.array([whole_days(t.turn_days) for t in types], dtype=np.int64),
        stays=stays,
        away_before=np.array(away_before, dtype=np.int64),
        inside_before=counted_by_week(
            works, weeks, [(one.begins, one.inside_until) for one in stays]
        ),
        type_before=np.zeros((len(types), len(weeks)), dtype=np.int64),
        demands=demands,
    )


def day_of(problem: Problem, place: int) -> date:
    """The date of a working day of the plan."""
    return date.fromordinal(int(problem.days[place]))
