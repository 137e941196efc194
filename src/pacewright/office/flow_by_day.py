"""The flow of one day made: now and in the past by the record, ahead by runs on from it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from math import floor

from pacewright.control.clock import WorksClock
from pacewright.control.flow_ahead import STANDS_DAYS, flow_ahead
from pacewright.control.flow_now import Seen, flow_at, seen_at
from pacewright.control.turn_out import full_at
from pacewright.events.standing import Standing
from pacewright.office.sheets.today_made import DayPaper
from pacewright.plans.flow_day import FlowDay, Source
from pacewright.plans.plan import Plan
from pacewright.simulate.days_to_come import DaysToCome, days_to_come
from pacewright.simulate.live_start import LiveStart
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.releases import Asked
from pacewright.simulate.replicate import HowSure
from pacewright.works import Works

AHEAD_DAYS = 10
"""Working days after today that a forecast reaches."""

RUNS = 40
"""Runs of a forecast: a chance of one half is then known to about 0.16 (95 %, binomial)."""

WEEKS = 4
"""Weeks run from the week of the moment on: they cover the days ahead and a shutdown."""

BEFORE_THE_RECORD = (
    "The record tells of nothing up to that day; what stood then is not known. Choose a later day."
)


@dataclass(frozen=True)
class DaysAhead:
    """Runs on from the record, looked at on each of the days to come.

    Parameters
    ----------
    works, runs : what was run, and what was counted.
    full_at : unit kind -> serviceable units from which on more pile up.
    place : last event of the record the runs went on from.
    """

    works: Works
    runs: DaysToCome
    full_at: Mapping[str, int]
    place: int

    def index(self, day: date) -> int | None:
        """Which of the days looked at it is; None: it is no working day, or beyond them."""
        moments = enumerate(self.runs.moments)
        return next((n for n, one in moments if one.date() == day), None)

    def on(self, index: int) -> FlowDay:
        """The flow of one of the days looked at."""
        return flow_ahead(self.works, self.runs, index, self.full_at, self.place)


def flow_now(paper: DayPaper) -> FlowDay:
    """The flow at the moment of a day."""
    today = paper.today
    short = frozenset(one.unit_kind_id for one in today.short if one.days_late > 0)
    seen = Seen(paper.works, paper.standing, today.seen, today.found, today.pool,
                _fulls(paper), short)  # fmt: skip
    return flow_at(seen, Source.NOW, paper.place)


def flow_past(works: Works, standing: Standing, moment: datetime, place: int) -> FlowDay | None:
    """The flow at a moment that is over; None: nothing was recorded up to then.

    Parameters
    ----------
    standing : where everything stood then. ``place`` : last event of the record as it is now.
    """
    if not standing.events:
        return None
    return flow_at(seen_at(works, standing, moment), Source.RECORD, place)


def days_ahead(paper: DayPaper, plan: Plan) -> DaysAhead:
    """The works run on from its record.

    Raises
    ------
    NoChainError, NoPaceError : it cannot be run on.
    """
    asked = Asked(
        paper.works,
        LiveStart(paper.standing, paper.today.now),
        plan.programme,
        FlowOptions(calls=Calls.PROGRAMME, weeks=WEEKS),
        HowSure(RUNS),
    )
    # One more: before work begins, today is the first of the days to come.
    runs = days_to_come(asked, AHEAD_DAYS + 1, STANDS_DAYS)
    return DaysAhead(paper.works, runs, _fulls(paper), paper.place)


def middle_of(clock: WorksClock, day: date) -> datetime:
    """When half of the working day is over; noon of a day on which nobody works."""
    noon = datetime.combine(day, time(12))
    if day not in set(clock.calendar.days):
        return noon
    begins = clock.day_of(datetime.combine(day, clock.shifts[0].starts))
    return clock.moment_of(floor(begins + 1e-9) + 0.5) or noon


def last_ahead(clock: WorksClock, today: date) -> date:
    """The last day that the forecast reaches."""
    return [one for one in clock.calendar.days if one > today][:AHEAD_DAYS][-1]


def no_working_day(day: date) -> str:
    """What is said of a day to come on which nobody works."""
    return f"{day} is no working day; nothing moves. Choose a working day."


def beyond(day: date, last: date) -> str:
    """What is said of a day that the forecast does not reach."""
    return (
        f"day: {day} found. The forecast reaches {AHEAD_DAYS} working days, to {last}. Choose an "
        "earlier day; the programme tells of later weeks."
    )


def _fulls(paper: DayPaper) -> dict[str, int]:
    today = paper.today
    return {
        kind_id: full_at(pool, today.asked.a_day.get(kind_id, 0.0), paper.plan)
        for kind_id, pool in today.pool.items()
    }
