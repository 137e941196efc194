"""The works with its tables as they stand by the record, so that it is planned from today.

The folder tells what the works is and how things stood when its tables were written; the record
tells how they stand now. Where both tell of the same thing the record holds.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import NamedTuple

from pacewright.base.settings import PlanSettings
from pacewright.control.as_recorded_floats import floats_as_recorded
from pacewright.control.as_recorded_readings import readings_as_recorded
from pacewright.control.as_recorded_vehicles import vehicles_as_recorded
from pacewright.control.as_recorded_words import some
from pacewright.events.standing import Standing
from pacewright.fleet.tables import Vehicle
from pacewright.works import Works


class AsRecorded(NamedTuple):
    """A works as it stands by its record.

    Parameters
    ----------
    works : its tables brought up to the record.
    notes : in what they differ from the tables of the folder, a sentence each.
    """

    works: Works
    notes: tuple[str, ...]


def as_recorded(works: Works, standing: Standing, now: datetime) -> AsRecorded:
    """Bring the tables of a works up to where everything stands.

    Parameters
    ----------
    works : as its folder tells it.
    standing : where everything stands by the record.
    now : moment of the works clock from which is to be planned.

    Returns
    -------
    The works with vehicles (inside with stage and gate-in day, called in with the day booked, last
    overhaul of the released, withdrawn), readings, floats held, ``plan.today`` and ``plan.start``
    as they stand; and notes of every difference. What the record does not tell of stays as in the
    folder.
    """
    today = now.date()
    vehicles, vehicle_notes = vehicles_as_recorded(works, standing, today)
    readings, reading_notes = readings_as_recorded(works, vehicles, standing, today)
    floats, float_notes = floats_as_recorded(works, standing, now)
    plan = works.settings.plan
    settings = replace(works.settings, plan=_plan_from(plan, today))
    up_to_date = replace(
        works, settings=settings, vehicles=vehicles, readings=readings, floats=floats
    )
    notes = [*_date_notes(plan, up_to_date.settings.plan), *vehicle_notes]
    notes += _withdrawal_notes(vehicles, today)
    return AsRecorded(up_to_date, (*notes, *reading_notes, *float_notes))


def last_moment(standing: Standing) -> datetime | None:
    """The latest moment the record tells of a vehicle, piece or unit; None: it tells of none.

    A plan that starts from here is the same whenever it is made, which one made from the clock
    on the wall would not be.
    """
    moments = [one.last_at for one in standing.pieces.values() if one.last_at is not None]
    moments += [one.last_at for one in standing.units.values()]
    moments += [one.odometer[-1][0] for one in standing.vehicles.values() if one.odometer]
    return max(moments, default=None)


def coming_monday(day: date) -> date:
    """The first Monday after ``day``."""
    return day + timedelta(days=7 - day.weekday())


def _plan_from(plan: PlanSettings, today: date) -> PlanSettings:
    # A start that the planner has set beyond the coming Monday is meant.
    start = max(plan.start, coming_monday(today))
    return replace(plan, today=today, start=start)


def _withdrawal_notes(vehicles: Iterable[Vehicle], today: date) -> list[str]:
    overdue = [
        one.vehicle_id
        for one in vehicles
        if one.withdraw_on and one.withdraw_on < today and one.state in {"running", "inside"}
    ]
    if not overdue:
        return []
    return [
        f"Past their withdraw_on and not withdrawn by the record: {some(overdue)}; they are "
        "planned as gone. Record the withdrawal, or correct vehicles.csv."
    ]


def _date_notes(before: PlanSettings, after: PlanSettings) -> list[str]:
    if (before.today, before.start) == (after.today, after.start):
        return []
    return [
        f"By the record today is {after.today} and the plan starts on {after.start}; the settings "
        f"say {before.today} and {before.start}."
    ]
