"""What stands on the flow picture and the what-if page besides their sheets."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

from starlette.requests import Request

from pacewright.office.access import Person
from pacewright.office.sheets.flow_days import DayLink, shown
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
    made = shown(desk, dict(request.query_params))
    here = next((n for n, one in enumerate(made.links) if one.here), None)
    before = made.links[here - 1] if here else None
    after = made.links[here + 1] if here is not None and here + 1 < len(made.links) else None
    today = desk.now().date()
    values = {
        "days": [_day(one) for one in made.links],
        "before": _address(before),
        "after": _address(after),
        "making": made.making,
        "again": str(request.url.path) + (f"?{request.url.query}" if request.url.query else ""),
        "latest": (today - timedelta(days=1)).isoformat(),
        "asked_day": request.query_params.get("day", ""),
    }
    return "flow.html.j2", values


def _day(one: DayLink) -> dict[str, Any]:
    return {
        "name": f"{_WEEKDAYS[one.day.weekday()]} {one.day.day} {MONTHS[one.day.month - 1]}",
        "to": _address(one),
        "source": _SOURCES[one.source],
        "sort": one.source.value,
        "here": one.here,
    }


def _address(one: DayLink | None) -> str:
    if one is None:
        return ""
    return f"/flow?day={one.asked}" if one.asked else "/flow"


FLOW_FORMS: dict[str, Callable[[Request, Person], tuple[str, dict[str, Any]]]] = {"flow": _flow}
"""Key of a sheet -> its template and the values of it."""
