"""Vehicles called in: their depots were told a day, and the plan is made around that day."""

from bisect import bisect_left
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date

from pacewright.works import Works

BOOKED = "called in for this day"
OVERDUE_CALL = "its call has passed and it has not come: ask its depot, then book it anew"
MAY_COME = frozenset({"running", "standing"})
"""States of a vehicle that can be awaited."""


@dataclass(frozen=True, slots=True)
class Booked:
    """One vehicle called in and not come.

    Parameters
    ----------
    told : day its depot was told.
    day : working day on which the plan has it come; None: the works calendar ends before it.
    overdue : True when ``told`` lies before today.
    """

    vehicle_id: str
    type_id: str
    depot_id: str
    told: date
    day: date | None
    overdue: bool

    @property
    def note(self) -> str:
        """What the programme says of it."""
        if self.overdue:
            return OVERDUE_CALL
        moved = f"called in for {self.told}, not a working day of the works"
        return BOOKED if self.day == self.told else moved


def comes_on(works: Works, told: date) -> date | None:
    """The working day on which a vehicle called in is planned to come.

    It is the day told, or the first working day after it; when the day told has passed, the first
    working day of the plan. None: the works calendar ends before it.
    """
    plan, days = works.settings.plan, works.calendar.days
    place = bisect_left(days, plan.start if told < plan.today else told)
    return days[place] if place < len(days) else None


def booked_calls(works: Works) -> Mapping[str, Booked]:
    """Vehicle -> its call, of all vehicles called in and not come, in the order of the table."""
    today = works.settings.plan.today
    return {
        one.vehicle_id: Booked(
            one.vehicle_id,
            one.type_id,
            one.depot_id,
            one.called_for,
            comes_on(works, one.called_for),
            one.called_for < today,
        )
        for one in works.vehicles
        if one.called_for is not None and one.state in MAY_COME
    }


def in_plan(works: Works, one: Booked, end: date) -> bool:
    """True when it comes in a week of the plan, whose last day is ``end``."""
    return one.day is not None and works.settings.plan.start <= one.day <= end


def beside_the_weeks(works: Works, placed: Collection[str], end: date) -> tuple[Booked, ...]:
    """Vehicles called in that hold room in the plan without a call of it.

    They come before its first day, or nobody can tell when they are due, so that they have no
    window to be judged by.

    Parameters
    ----------
    placed : vehicles that have a call in the plan, on the day booked.
    end : last day of the plan.
    """
    return tuple(
        one
        for one in booked_calls(works).values()
        if one.day is not None and one.day <= end and one.vehicle_id not in placed
    )
