"""The pace to run at when the settings give none."""

from collections.abc import Sequence
from dataclasses import replace
from math import ceil

import numpy as np

from pacewright.base.calendar import Week
from pacewright.callin.absence import Ints
from pacewright.callin.least_pace import fits, worst_interval
from pacewright.callin.problem import Demands, able_by_week
from pacewright.works import Works

STEP_A_WEEK = 0.1
"""The pace is looked for in steps of so many vehicles a week."""


def run_level(works: Works, weeks: Sequence[Week], demands: Demands) -> float:
    """The exact least pace, raised in steps until whole vehicles fit the caps of every week.

    Those called in come on their days; the others must fit into what they leave.

    Vehicles past their limit at the start are given the firm zone to be called in; depot, type
    and inside limits do not count, since no pace makes up for them.

    Returns
    -------
    Vehicles a week of full working days; 0 when nobody is to be called.
    """
    if not len(demands):
        return 0.0
    eased = with_time_for_overdue(demands, works.settings.plan.firm_weeks, weeks)
    days = sum(len(week.working_days) for week in weeks)
    first, last, vehicles = worst_interval(eased.first_day, eased.last_day, days)
    least = vehicles / (last - first + 1) * works.week_days
    steps = ceil(least / STEP_A_WEEK - 1e-9)
    free = eased.booked < 0
    day_week = np.repeat(np.arange(len(weeks)), [len(week.working_days) for week in weeks])
    taken = np.bincount(day_week[eased.booked[~free]], minlength=len(weeks))

    def room(steps: int) -> Ints:
        left: Ints = np.maximum(able_by_week(works, weeks, steps * STEP_A_WEEK) - taken, 0)
        return left

    while not fits(room(steps), eased.opens[free], eased.latest[free]):
        steps += 1
    return round(steps * STEP_A_WEEK, 1)


def with_time_for_overdue(demands: Demands, firm_weeks: int, weeks: Sequence[Week]) -> Demands:
    """The demands with those past their limit given up to the last worked week of the firm zone."""
    worked = [week.index for week in weeks[:firm_weeks] if week.working_days]
    until = worked[-1] if worked else 0
    until_day = sum(len(week.working_days) for week in weeks[: until + 1]) - 1
    passed = demands.overdue | demands.no_day
    return replace(
        demands,
        latest=np.where(passed, np.maximum(demands.latest, until), demands.latest),
        last_day=np.where(passed, np.maximum(demands.last_day, until_day), demands.last_day),
    )
