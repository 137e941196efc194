"""What stands on the flow picture and the what-if page besides their sheets."""

from collections.abc import Callable, Sequence
from typing import Any
from urllib.parse import urlencode

from starlette.requests import Request

from pacewright.office.access import Person
from pacewright.office.sheets.flow_days import DayLink, shown
from pacewright.office.whatif_desk import trials_of
from pacewright.office.whatif_parts import parts_of
from pacewright.office.whatif_trial import (
    LEAST_REPLICATIONS,
    LEAST_WEEKS,
    MOST_REPLICATIONS,
    MOST_WEEKS,
    STARTS,
    USUAL_REPLICATIONS,
    USUAL_WEEKS,
    Trial,
)
from pacewright.plans.flow_day import Source
from pacewright.reports.written import MONTHS
from pacewright.web.who import desk_of

_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_SOURCES = {
    Source.RECORD: "flow_record",
    Source.NOW: "flow_now",
    Source.FORECAST: "flow_forecast",
}


def _flow(request: Request, person: Person) -> tuple[str, dict[str, Any]]:
    """Links to the days around the one that is shown."""
    desk = desk_of(request)
    made = shown(desk, dict(request.query_params), 0.0)
    asked_day = request.query_params.get("day", "")
    here = next((n for n, one in enumerate(made.links) if one.here), None)
    before = made.links[here - 1] if here else None
    after = made.links[here + 1] if here is not None and here + 1 < len(made.links) else None
    values = {
        "days": [_day(one, desk.now().year) for one in made.links],
        "before": _address(before),
        "after": _address(after),
        "making": made.making,
        "again": f"/flow?{request.url.query}",
        "ready": f"/flow/ready?{request.url.query}",
        "asked_day": asked_day,
        "sheet_day": f"&{urlencode({'day': asked_day})}" if asked_day else "",
    }
    return "flow.html.j2", values


def _day(one: DayLink, this_year: int) -> dict[str, Any]:
    name = f"{_WEEKDAYS[one.day.weekday()]} {one.day.day} {MONTHS[one.day.month - 1]}"
    return {
        "name": name if one.day.year == this_year else f"{name} {one.day.year}",
        "to": _address(one),
        "source": _SOURCES[one.source],
        "sort": one.source.value,
        "here": one.here,
    }


def _address(one: DayLink | None) -> str:
    if one is None:
        return ""
    return f"/flow?day={one.asked}" if one.asked else "/flow"


def _whatif(request: Request, person: Person) -> tuple[str, dict[str, Any]]:
    """The form of a change, with what was typed or is to be varied."""
    desk = desk_of(request)
    works, _ = desk.works_now()
    trials = trials_of(desk).all()
    cells = dict(getattr(request.state, "typed", {})) or _varied(trials, request)
    values = {
        "changes": parts_of(works),
        "cells": cells,
        "starts": STARTS,
        "bounds": {
            "replications": (LEAST_REPLICATIONS, MOST_REPLICATIONS, USUAL_REPLICATIONS),
            "weeks": (LEAST_WEEKS, MOST_WEEKS, USUAL_WEEKS),
        },
        "going": [one for one in trials if not one.state.is_over] or list(trials[:1]),
        "under_way": any(not one.state.is_over for one in trials),
        "me": person.name,
        # What is varied is no draft of a change that was begun before.
        "draft": f"/whatif {request.query_params.get('vary', '')}".strip(),
    }
    return "whatif.html.j2", values


def _varied(trials: Sequence[Trial], request: Request) -> dict[str, str]:
    asked = request.query_params.get("vary", "")
    one = next((trial for trial in trials if str(trial.number) == asked), None)
    if one is None:
        return {}
    return {
        "name": one.asked.name,
        "more": one.asked.text,
        "replications": str(one.asked.replications),
        "weeks": str(one.asked.weeks),
        "start": one.asked.start,
    }


def _trial(request: Request, person: Person) -> tuple[str, dict[str, Any]]:
    """Progress, stop, keep and drop of one run."""
    one = trials_of(desk_of(request)).one(int(request.path_params["run"]))
    return "trial.html.j2", {"trial": one, "own": one.by == person.name}


FLOW_FORMS: dict[str, Callable[[Request, Person], tuple[str, dict[str, Any]]]] = {
    "flow": _flow,
    "whatif": _whatif,
    "trial": _trial,
}
"""Key of a sheet -> its template and the values of it."""
