"""The flow of the works on a day that is asked for: by the record, or by runs on from it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from math import floor

from pacewright.control.clock import WorksClock, clock_of
from pacewright.control.flow_ahead import STANDS_DAYS, flow_ahead
from pacewright.control.flow_now import Seen, flow_at, seen_at
from pacewright.control.turn_out import full_at
from pacewright.office.background import Job
from pacewright.office.desk import Desk
from pacewright.office.errors import NotFoundError
from pacewright.office.sheets.asked import day_asked
from pacewright.office.sheets.today_paper import (
    DayPaper,
    background,
    day_paper,
    plan_if_there,
)
from pacewright.plans.flow_day import FlowDay, Source
from pacewright.plans.plan import Plan
from pacewright.simulate.chains import NoChainError
from pacewright.simulate.compile_flow import NoPaceError
from pacewright.simulate.days_to_come import DaysToCome, days_to_come
from pacewright.simulate.live_start import LiveStart
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.releases import Asked
from pacewright.simulate.replicate import HowSure
from pacewright.works import Works

BACK_DAYS, AHEAD_DAYS = 5, 10
"""Working days before and after today that the page leads to by a link each."""

RUNS = 40
"""Runs of a forecast: a chance of one half is then known to about 0.16 (95 %, binomial)."""

BEFORE_THE_RECORD = (
    "The record tells of nothing up to that day; what stood then is not known. Choose a later day."
)
WAIT_SECONDS = 2.0
WEEKS = 4
"""Weeks run from the week of the moment on: they cover the days ahead and a shutdown."""


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


@dataclass(frozen=True)
class _Ahead:
    works: Works
    runs: DaysToCome
    full_at: Mapping[str, int]
    place: int
    mark: tuple[object, ...]


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
        raise NotFoundError(
            f"day: {day} found. The forecast reaches {AHEAD_DAYS} working days, to "
            f"{links[-1].day}. Choose an earlier day; the programme tells of later weeks."
        )
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

    def made() -> FlowDay:
        today = paper.today
        short = frozenset(one.unit_kind_id for one in today.short if one.days_late > 0)
        fulls = _fulls(paper)
        seen = Seen(paper.works, paper.standing, today.seen, today.found, today.pool, fulls, short)
        return flow_at(seen, Source.NOW, paper.place)

    plan = paper.plan.inputs_hash if paper.plan else ""
    return desk.paper("flow now", made, (paper.place, paper.today.now, plan, desk.works))


def _fulls(paper: DayPaper) -> dict[str, int]:
    today = paper.today
    return {
        kind_id: full_at(pool, today.asked.a_day.get(kind_id, 0.0), paper.plan)
        for kind_id, pool in today.pool.items()
    }


def _past(desk: Desk, clock: WorksClock, day: date) -> FlowDay | None:
    place = desk.head_place()

    def made() -> FlowDay | None:
        moment = middle_of(clock, day)
        standing = desk.ledger.standing_at(moment)
        if not standing.events:
            return None
        works, _ = desk.works_now()
        return flow_at(seen_at(works, standing, moment), Source.RECORD, place)

    return desk.paper("flow of a day", made, (day, place, desk.works))


def middle_of(clock: WorksClock, day: date) -> datetime:
    """When half of the working day is over; noon of a day on which nobody works."""
    noon = datetime.combine(day, time(12))
    if day not in set(clock.calendar.days):
        return noon
    begins = clock.day_of(datetime.combine(day, clock.shifts[0].starts))
    return clock.moment_of(floor(begins + 1e-9) + 0.5) or noon


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
    made: _Ahead = job.made
    at = next((n for n, one in enumerate(made.runs.moments) if one.date() == day), None)
    if at is None:
        return None, f"{day} is no working day; nothing moves. Choose a working day.", False
    key = "flow ahead"
    mark = (made.mark, made.place, at)
    found = desk.paper(
        key, lambda: flow_ahead(made.works, made.runs, at, made.full_at, made.place), mark
    )
    return found, "", False


def forecast_job(desk: Desk, plan: Plan, wait_seconds: float = 0.0) -> Job:
    """The runs on from the record; made anew each hour, and when plan or tables change."""
    now = desk.now()

    def made() -> _Ahead:
        paper = day_paper(desk)
        asked = Asked(
            paper.works,
            LiveStart(paper.standing, paper.today.now),
            plan.programme,
            FlowOptions(calls=Calls.PROGRAMME, weeks=WEEKS),
            HowSure(RUNS),
        )
        # One more: before work begins, today is the first of the days to come.
        runs = days_to_come(asked, AHEAD_DAYS + 1, STANDS_DAYS)
        return _Ahead(paper.works, runs, _fulls(paper), paper.place, mark)

    mark = (now.date(), now.hour, plan.inputs_hash, desk.works)
    return background(desk).ask("flow ahead", mark, made, wait_seconds)
