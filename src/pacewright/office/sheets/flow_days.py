"""The flow of the works on a day that is asked for: by the record, or by runs on from it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from pacewright.control.clock import WorksClock, clock_of
from pacewright.office.background import Job
from pacewright.office.desk import Desk
from pacewright.office.errors import NotFoundError
from pacewright.office.flow_by_day import (
    AHEAD_DAYS,
    BEFORE_THE_RECORD,
    DaysAhead,
    beyond,
    days_ahead,
    flow_now,
    flow_past,
    middle_of,
    no_working_day,
)
from pacewright.office.sheets.asked import day_asked
from pacewright.office.sheets.today_made import day_here
from pacewright.office.sheets.today_paper import background, day_paper, plan_if_there
from pacewright.plans.flow_day import FlowDay, Source
from pacewright.plans.plan import Plan
from pacewright.simulate.chains import NoChainError
from pacewright.simulate.compile_flow import NoPaceError
from pacewright.works import Works

BACK_DAYS = 5
"""Working days before today that the page leads to by a link each."""

WAIT_SECONDS = 2.0


@dataclass(frozen=True, slots=True)
class DayLink:
    """One day the page leads to; ``asked`` is what its address asks for, empty: now."""

    day: date
    asked: str
    source: Source
    here: bool


@dataclass(frozen=True)
class Shown:
    """What is shown.

    Parameters
    ----------
    works : the works it is drawn over.
    day : the flow; None: it is being made, or cannot be made.
    why : why there is none.
    making : True while it is being made: look again.
    links : days the page leads to, in order.
    """

    works: Works
    day: FlowDay | None
    why: str
    making: bool
    links: tuple[DayLink, ...]


def shown(desk: Desk, asked: Mapping[str, str], wait_seconds: float = WAIT_SECONDS) -> Shown:
    """The day asked for.

    Parameters
    ----------
    wait_seconds : how long a forecast that is being made is waited for.

    Raises
    ------
    ValueError : the day is no date. NotFoundError : the forecast does not reach it.
    """
    today, day = desk.now().date(), day_asked(asked, "day")
    clock = clock_of(desk.works, desk.now())
    if day is None or day == today:
        return Shown(desk.works, _now(desk), "", False, _links(clock, today, today))
    links = _links(clock, today, day)
    if day < today:
        past = _past(desk, clock, day)
        return Shown(desk.works, past, "" if past else BEFORE_THE_RECORD, False, links)
    if day > links[-1].day:
        raise NotFoundError(beyond(day, links[-1].day))
    found, why, making = _ahead(desk, day, wait_seconds)
    return Shown(desk.works, found, why, making, links)


def _links(clock: WorksClock, today: date, here: date) -> tuple[DayLink, ...]:
    days = clock.calendar.days
    before = [one for one in days if one < today][-BACK_DAYS:]
    after = [one for one in days if one > today][:AHEAD_DAYS]
    listed = {one: Source.RECORD for one in before} | {today: Source.NOW}
    listed |= dict.fromkeys(after, Source.FORECAST)
    if here < today:
        # A day further back has its neighbours beside it, so that one can walk on from there.
        at = [one for one in days if one < here][-1:] + [one for one in days if one > here][:1]
        listed |= {one: Source.RECORD for one in (*at, here) if one < today}
    return tuple(
        DayLink(one, "" if one == today else one.isoformat(), listed[one], one == here)
        for one in sorted(listed)
    )


# -- by the record ---------------------------------------------------------------------------


def _now(desk: Desk) -> FlowDay:
    paper = day_paper(desk)
    plan = paper.plan.inputs_hash if paper.plan else ""
    mark = (paper.place, paper.today.now, plan, desk.works)
    return desk.paper("flow now", lambda: flow_now(paper), mark)


def _past(desk: Desk, clock: WorksClock, day: date) -> FlowDay | None:
    place = desk.head_place()

    mark = (day, place, desk.works)
    return desk.paper("flow of a day", lambda: desk.apart(past_made, middle_of(clock, day)), mark)


def past_made(desk: Desk, moment: datetime) -> FlowDay | None:
    """Make the flow as it stood at a moment that is over."""
    works, _ = desk.works_now()
    return flow_past(works, desk.ledger.standing_at(moment), moment, desk.head_place())


# -- ahead -----------------------------------------------------------------------------------


def _ahead(desk: Desk, day: date, wait_seconds: float) -> tuple[FlowDay | None, str, bool]:
    plan, why = plan_if_there(desk)
    if plan is None:
        return None, why, "being made" in why
    job = forecast_job(desk, plan, wait_seconds)
    try:
        if not job.there():
            return None, "The works is being run on from its record.", True
    except (NoChainError, NoPaceError) as error:
        return None, f"The works cannot be run on: {error}", False
    made: DaysAhead = job.made
    at = made.index(day)
    if at is None:
        return None, no_working_day(day), False
    found = desk.paper("flow ahead", lambda: made.on(at), (job.mark, made.place, at))
    return found, "", False


def forecast_job(desk: Desk, plan: Plan, wait_seconds: float = 0.0) -> Job:
    """The runs on from the record; made anew each hour, and when plan or tables change."""
    now = desk.now()
    mark = (now.date(), now.hour, plan.inputs_hash, desk.works)
    return background(desk).ask(
        "flow ahead", mark, lambda: desk.apart(ahead_made, plan), wait_seconds
    )


def ahead_made(desk: Desk, plan: Plan) -> DaysAhead:
    """Run the works on from where everything stands now."""
    return days_ahead(day_here(desk, plan), plan)
