"""Who stands in the works today: when they came in and at which stage they are."""

from datetime import date

import numpy as np

from pacewright.base.calendar import WorkCalendar
from pacewright.invent.draws import Draws, Whole
from pacewright.invent.route_days import StageDays

# One in so many stands longer than its stage should take.
_HELD_UP_ONE_IN = 9
_HELD_UP_DAYS = 4


def gates_drawn(
    calendar: WorkCalendar, today: date, pace_a_day: float, turn_days: float, draws: Draws
) -> Whole:
    """Day numbers on which those inside today came in, at the pace, some of them long ago."""
    inside = max(1, round(pace_a_day * turn_days))
    ago = np.floor((np.arange(inside) + 0.5) / inside * turn_days).astype(np.int64)
    late = draws.shuffled(inside) % _HELD_UP_ONE_IN == 0
    ago = np.where(late & (ago > turn_days / 3), ago + _HELD_UP_DAYS, ago)
    past = [day.toordinal() for day in calendar.days if day <= today]
    return np.array([past[-1 - int(days)] for days in ago], np.int64)


def stage_at(elapsed_days: float, turn_days: float, days: dict[str, StageDays]) -> str:
    """The stage where a vehicle stands after so many working days inside.

    Parameters
    ----------
    elapsed_days : working days since it came in.
    turn_days : promised time inside; waits stretch the route over it.
    days : stage -> its stretch on the vehicle's route.
    """
    length = max(one.end for one in days.values())
    at = elapsed_days * length / turn_days
    # Of stages side by side the one that began last; past the end it waits at the last stage.
    begun = [one for one in days.values() if one.start <= at < one.end]
    return max(begun or days.values(), key=lambda one: (one.start, one.stage_id)).stage_id
