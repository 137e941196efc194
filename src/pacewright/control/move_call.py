"""Calling one vehicle in on another day: what it does to its limit, the weeks and its depot."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from pacewright.callin.paper import IN_GUARD
from pacewright.control.agreed import Agreed, Counts, call_on
from pacewright.events.standing import Phase, Standing
from pacewright.fleet.windows import DueWindow
from pacewright.plans.programme import Call

TOWED = (
    "past its limit: it must not run any longer, it stands until it is brought in; how it may be "
    "brought is for local rules"
)


@dataclass(frozen=True, slots=True)
class WeekChange:
    """One count of one week, before and after.

    Parameters
    ----------
    what : ``called in``, ``called in of type``, ``away from depot`` or ``inside at its end``.
    where : type or depot meant; empty: the works.
    limit : most there may be; None: no limit.
    """

    week: str
    monday: date
    what: str
    where: str
    before: int
    after: int
    limit: int | None

    @property
    def over(self) -> bool:
        """Whether more than may be are counted afterwards, and more than before."""
        return self.limit is not None and self.after > self.limit and self.after > self.before


@dataclass(frozen=True)
class CallMove:
    """What comes of calling a vehicle in on a day; nothing is booked by it.

    Parameters
    ----------
    before : its call-in as agreed now; None: it has none.
    after : on the day asked; None: its dates cannot be told.
    refused : why it cannot be agreed, a sentence each.
    cautions : what whoever agrees must know.
    weeks : every count that changes, in order of week.
    """

    vehicle_id: str
    day: date
    window: DueWindow
    before: Call | None
    after: Call | None
    refused: tuple[str, ...]
    cautions: tuple[str, ...]
    weeks: tuple[WeekChange, ...]


def move_call(now: Agreed, standing: Standing, vehicle_id: str, day: date) -> CallMove | None:
    """What would come of it; None: the fleet has no such vehicle.

    Parameters
    ----------
    now : the programme as agreed.
    day : day on which it would be called in.

    Equations
    ---------
    Away is counted in whole weeks, from that of the call to that in which a vehicle called on its
    first working day would be back; inside at the end of a week: day <= end < day + turn. Both
    are the counts of the programme. No other vehicle is moved by it.
    """
    window = now.first_windows.get(vehicle_id)
    if window is None:
        return None
    before = now.call_of(vehicle_id)
    after = call_on(now.works, now.plan, window, day)
    refused = tuple(_refused(now, standing, window, before, day))
    weeks = tuple(_weeks(now, before, after)) if not refused else ()
    cautions = tuple(_cautions(window, before, day, weeks)) if not refused else ()
    return CallMove(vehicle_id, day, window, before, after, refused, cautions, weeks)


def _refused(
    now: Agreed, standing: Standing, window: DueWindow, before: Call | None, day: date
) -> Iterator[str]:
    known = standing.vehicles.get(window.vehicle_id)
    who, today = f"vehicle {window.vehicle_id}", now.plan.today
    if known is not None and known.phase not in (Phase.IN_SERVICE, Phase.CALLED):
        yield (
            f"{who}: it is {known.phase.value}. A vehicle is called in from service. Check the "
            "number."
        )
    elif window.opens is None and window.standing in ("inside", "withdrawn"):
        yield f"{who}: it is {window.standing} by the tables. Only a vehicle in service is called."
    last = now.plan.programme.weeks[-1].monday
    if day < today or (day - last).days > 6:
        yield (
            f"{who}: {day} lies outside the plan. A call-in lies between {today} and the end of "
            "its last week. Choose another day."
        )
    elif not now.works.calendar.is_working(day):
        yield f"{who}: {day} is not a working day of the works. Choose a working day."
    limit = window.limit
    if limit is None or day <= limit:
        return
    if limit >= today:
        yield (
            f"{who}: its limit is {limit}, {(day - limit).days} days before {day}. No vehicle is "
            "called in past its limit. Choose a day up to it."
        )
    elif before is not None and day > before.day:
        yield (
            f"{who}: it is past its limit {limit} already and is not put off any further. Choose a "
            f"day up to {before.day}."
        )


def _cautions(
    window: DueWindow, before: Call | None, day: date, weeks: tuple[WeekChange, ...]
) -> Iterator[str]:
    if window.limit is None:
        yield f"Its limit cannot be told ({window.note or 'no reading'}): treat it as due now."
    elif day > window.limit:
        yield f"It is {TOWED}."
    elif window.latest is not None and day > window.latest:
        yield f"It is {IN_GUARD}."
    if before is None and window.note:
        yield f"The programme does not call it: {window.note}."
    if window.opens is not None and day < window.opens:
        yield (
            f"Its window opens on {window.opens}; {(window.opens - day).days} days earlier is more "
            "life given away than the tables allow."
        )
    if before is not None and before.called_for is not None and day != before.called_for:
        yield f"As agreed now its depot was told {before.called_for}. Tell it anew."
    for one in weeks:
        if one.over:
            what = f"{one.what} {one.where}".strip()
            yield f"Week {one.week}: {one.after} {what}, {one.limit} may be; {one.before} before."


def _weeks(now: Agreed, before: Call | None, after: Call | None) -> Iterator[WeekChange]:
    counts = now.counts
    change = Counts.none(now.works, now.plan)
    if before is not None:
        change.put(before, -1)
    if after is not None:
        change.put(after)
    types = {one.type_id: one.week_limit for one in now.works.vehicle_types}
    depots = {one.depot_id: one.away_limit for one in now.works.depots}
    most = now.works.settings.plan.inside_limit
    for week in now.plan.programme.weeks:
        at = week.index
        rows: list[tuple[str, str, int, int, int | None]] = [
            ("called in", "", counts.called[at], change.called[at], week.able)
        ]
        rows += [
            ("called in of type", t, counts.by_type[t, at], change.by_type[t, at], limit)
            for t, limit in types.items()
            if limit is not None
        ]
        rows += [
            ("away from depot", d, counts.away[d, at], change.away[d, at], limit)
            for d, limit in depots.items()
        ]
        rows.append(("inside at its end", "", counts.inside[at], change.inside[at], most))
        for what, where, old, by, limit in rows:
            if by:
                yield WeekChange(week.label, week.monday, what, where, old, old + by, limit)
