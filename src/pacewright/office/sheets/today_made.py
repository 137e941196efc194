"""One day of the works made: everything its sheets need, from the record as it stands."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from pacewright.control import day
from pacewright.control.clock import clock_of
from pacewright.control.day import Given, Today
from pacewright.control.days_ahead import Load, PeopleDay, PlacesDay, people_days, places_days
from pacewright.control.turns_seen import turns_seen
from pacewright.events.standing import Phase, Standing
from pacewright.office.desk import Desk
from pacewright.plans.plan import Plan
from pacewright.works import Works


@dataclass(frozen=True)
class DayPaper:
    """Everything a sheet of a day needs.

    Parameters
    ----------
    works : its tables as they stand by the record.
    standing : a copy of its own; nobody changes it.
    plan : the plan of today; None: there is none yet, or none can be made.
    no_plan : why there is none.
    place : last event of the record that it knows.
    people, places : every trade of every shop, and every stage, day by day.
    """

    works: Works
    standing: Standing
    today: Today
    plan: Plan | None
    no_plan: str
    place: int
    people: tuple[PeopleDay, ...]
    places: tuple[PlacesDay, ...]

    @property
    def basis(self) -> tuple[str, ...]:
        """What it rests on, a sentence each."""
        said = [f"Record up to event {self.place:,}, works time {self.today.now:%Y-%m-%d %H:%M}."]
        if self.plan is None:
            return (*said, self.no_plan)
        return (*said, f"Plan of {self.plan.today}, inputs {self.plan.inputs_hash}.")


def day_to_send(desk: Desk, plan: Plan | None) -> DayPaper:
    """The day as it stands now, without what whoever asks for it has: standing and plan.

    To send the standing of a long record takes ten times as long as to make the day.
    """
    return replace(day_here(desk, plan), standing=Standing(), plan=None)


def day_here(desk: Desk, plan: Plan | None) -> DayPaper:
    """The day as it stands now, made at this desk; kept for who else needs it."""
    now = desk.now()
    mark = (desk.ledger.head().place, now, plan.inputs_hash if plan else "", desk.works)
    return desk.paper("day here", lambda: _made(desk, now, plan), mark)


def _made(desk: Desk, now: datetime, plan: Plan | None) -> DayPaper:
    works, _ = desk.works_now()
    copy = desk.copied()
    standing = copy.standing
    given = Given(plan, turns_seen(standing, clock_of(works, now), now))
    before = now - timedelta(days=1)
    old = desk.paper(
        "day before",
        lambda: desk.ledger.standing_at(before),
        (now.date(), now.hour, desk.works),
    )
    made = day.today(works, standing, now, given, (old, before) if old.events else None)
    load = loaded(works, standing, made, plan)
    people, places = people_days(load), places_days(load)
    return DayPaper(works, standing, made, plan, "", copy.place, people, places)


def loaded(works: Works, standing: Standing, today: Today, plan: Plan | None) -> Load:
    """What loads the days ahead."""
    coming = tuple(coming_in(standing, today.now, plan))
    return Load(works, standing, today.seen, today.asked, coming, plan.line if plan else None)


def coming_in(
    standing: Standing, now: datetime, plan: Plan | None
) -> Iterator[tuple[str, datetime]]:
    """Type and day of each vehicle that is to be let in: at the gate, called, or planned.

    A vehicle that was called counts on the day it was called for, in place of the plan's day.
    """
    known = standing.vehicles
    for one in known.values():
        if one.phase is Phase.AT_GATE:
            yield one.type_id, now
        elif one.phase is Phase.CALLED and one.due_in is not None:
            yield one.type_id, max(now, datetime.combine(one.due_in, now.time()))
    away = {Phase.AT_GATE, Phase.CALLED, Phase.INSIDE}
    for call in plan.programme.calls if plan else ():
        here = known.get(call.vehicle_id)
        if call.visit == 1 and (here is None or here.phase not in away):
            yield call.type_id, datetime.combine(call.day, now.time())
