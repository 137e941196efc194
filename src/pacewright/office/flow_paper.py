"""The flow that a printed sheet is of: from an open works, or from its folder and record."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from pacewright.control.clock import clock_of
from pacewright.office.errors import CallError, NotFoundError
from pacewright.office.flow_by_day import (
    BEFORE_THE_RECORD,
    beyond,
    days_ahead,
    flow_now,
    flow_past,
    last_ahead,
    middle_of,
    no_working_day,
)
from pacewright.office.planning import make_plan
from pacewright.office.record import open_record
from pacewright.office.sheets.asked import day_asked
from pacewright.office.sheets.flow_days import shown
from pacewright.office.sheets.today_made import DayPaper
from pacewright.plans.flow_day import FlowDay
from pacewright.reports.papers.ground import Ground
from pacewright.simulate.chains import NoChainError
from pacewright.simulate.compile_flow import NoPaceError

if TYPE_CHECKING:
    from pacewright.office.desk import Desk

FORECAST_SECONDS = 60.0
"""How long a paper waits for a forecast that is being made; the page shows that it is."""


def flow_of_desk(desk: "Desk", asked: Mapping[str, str]) -> FlowDay:
    """The flow of the day asked for, as the page shows it.

    Raises
    ------
    CallError : the day is no date, is beyond the forecast, or nothing is known of it.
    """
    try:
        made = shown(desk, asked, FORECAST_SECONDS)
    except (ValueError, NotFoundError) as error:
        raise CallError(f"flow-sheet, {error}") from error
    if made.day is None:
        again = " Print it again in a few seconds." if made.making else ""
        raise CallError(f"flow-sheet: there is no flow of that day. {made.why}{again}")
    return made.day


def with_flow(path: Path, database: str, ground: Ground, asked: Mapping[str, str]) -> Ground:
    """The ground with the flow of the day asked for by the record of a folder.

    A day to come needs the plan: it is made where ``ground`` has none.

    Parameters
    ----------
    database : address of the record; empty: that of the works.

    Raises
    ------
    CallError : the day is no date, is beyond the forecast, or nothing is known of it.
    NoPlanError : the day is to come and no plan can be made.
    """
    try:
        day = day_asked(asked, "day")
    except ValueError as error:
        raise CallError(f"flow-sheet, {error}") from error
    today = ground.now.date()
    if day is None or day == today:
        return replace(ground, flow=flow_now(_day_paper(ground)))
    clock = clock_of(ground.works, ground.now)
    if day > today:
        last = last_ahead(clock, today)
        if day > last:
            raise CallError(f"flow-sheet, {beyond(day, last)}")
        return _ahead(ground, day)
    moment = middle_of(clock, day)
    with open_record(path, database, create=False, read_only=True) as record:
        past = flow_past(ground.works, record.standing_at(moment), moment, ground.standing.events)
    if past is None:
        raise CallError(f"flow-sheet, day: {day} found. {BEFORE_THE_RECORD}")
    return replace(ground, flow=past)


def _day_paper(ground: Ground) -> DayPaper:
    # The flow asks neither for people nor for places.
    place = ground.standing.events
    return DayPaper(
        ground.works, ground.standing, ground.today, ground.plan, "", place, people=(), places=()
    )


def _ahead(ground: Ground, day: date) -> Ground:
    plan = ground.plan or make_plan(ground.works)
    planned = replace(ground, plan=plan)
    try:
        made = days_ahead(_day_paper(planned), plan)
    except (NoChainError, NoPaceError) as error:
        raise CallError(f"flow-sheet: the works cannot be run on. {error}") from error
    at = made.index(day)
    if at is None:
        raise CallError(f"flow-sheet, day: {no_working_day(day)}")
    return replace(planned, flow=made.on(at))
