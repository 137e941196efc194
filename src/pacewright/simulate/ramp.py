"""A ramp: from the present pace to the wanted one month by month, and what is needed by when."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from pacewright.plans.growth import RampMonth
from pacewright.simulate.trim import Bought, Place


@dataclass(frozen=True, slots=True)
class Month:
    """One month: ``pace_a_week`` calls a full week from ``starts`` on."""

    starts: date
    pace_a_week: float


@dataclass(frozen=True, slots=True)
class MonthNeeds:
    """What a month needs: all that must be there in it, and what the runs then say."""

    month: Month
    bought: Bought
    promise_chance: float
    half_width: float


def even_ramp(start: date, present_a_week: float, wanted_a_week: float, months: int) -> list[Month]:
    """Months from the plan's start on, each with the same rise of the pace.

    Parameters
    ----------
    start : first day of the plan; the first month begins here, the others on the first of a month.

    Equations
    ---------
    p_i = p_0 + (p_N - p_0) i / N for month i = 1 ... N; the last month has the wanted pace.

    Examples
    --------
    >>> [m.pace_a_week for m in even_ramp(date(2026, 11, 9), 10, 12, 4)]
    [10.5, 11.0, 11.5, 12.0]
    """
    found = []
    for n in range(1, months + 1):
        month = start.month - 1 + n - 1
        day = start if n == 1 else date(start.year + month // 12, month % 12 + 1, 1)
        pace = present_a_week + (wanted_a_week - present_a_week) * n / months
        found.append(Month(day, round(pace, 6)))
    return found


def ramp_table(needs: Sequence[MonthNeeds], each: dict[Place, float]) -> tuple[RampMonth, ...]:
    """The months with what each needs for the first time.

    Parameters
    ----------
    needs : month by month; each holds all that the one before holds.
    each : cost of one at each place.
    """
    found = []
    before: Bought = {}
    so_far = 0.0
    for n, need in enumerate(needs, start=1):
        new = {place: many - before.get(place, 0) for place, many in need.bought.items()}
        new = {place: many for place, many in new.items() if many > 0}
        cost = sum(many * each[place] for place, many in new.items())
        so_far += cost
        found.append(
            RampMonth(
                month=n,
                starts=need.month.starts,
                pace_a_week=need.month.pace_a_week,
                needed=tuple((*place, many) for place, many in new.items()),
                cost=cost,
                cost_so_far=so_far,
                promise_chance=need.promise_chance,
                half_width=need.half_width,
            )
        )
        before = need.bought
    return tuple(found)
