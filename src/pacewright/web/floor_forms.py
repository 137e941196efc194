"""What stands on the vehicles' and parts' pages beside the sheet: filters, bookings, papers."""

from collections.abc import Sequence
from typing import Any

from starlette.requests import Request

from pacewright.events.scan import parts_of_code
from pacewright.events.standing import Phase
from pacewright.events.things import Unit
from pacewright.office.access import Person
from pacewright.office.sheets.parts import STATES as KIND_STATES
from pacewright.office.sheets.today_paper import day_paper
from pacewright.office.sheets.vehicle import known_vehicle
from pacewright.office.sheets.vehicles import ALL, HERE, PHASES, STATES
from pacewright.office.sheets.vehicles_forecast import forecast_of
from pacewright.reports.address import step, value
from pacewright.web.floor_links import (
    Link,
    unit_bookings,
    unit_papers,
    vehicle_bookings,
    vehicle_papers,
)
from pacewright.web.learning_form import learning_form
from pacewright.web.texts import TEXTS
from pacewright.web.who import desk_of

Choice = tuple[str, str, list[Link]]
"""Field of a filter, its label, and its choices: value and words."""


def vehicles_filter(request: Request, person: Person) -> tuple[str, dict[str, Any]]:
    """Choices of the filter, and what was chosen."""
    desk, say = desk_of(request), TEXTS["en"]
    words = {HERE: say["fleet_here"], ALL: say["fleet_all"], "": say["fleet_any"]}
    types = ["", *(one.type_id for one in desk.works.vehicle_types)]
    choices = [
        (name, say[f"fleet_{name}"], [(one, words.get(one, one)) for one in values])
        for name, values in (("phase", PHASES), ("type", types), ("state", STATES))
    ]
    then = f"{request.url.path}?{request.url.query}".rstrip("?")
    waits = forecast_of(desk, day_paper(desk)).being_made
    values = _filter(request, "/vehicles", choices, ("fleet_filter", "fleet_find"))
    return "filtered.html.j2", values | {"waits": waits, "then": then}


def parts_filter(request: Request, person: Person) -> tuple[str, dict[str, Any]]:
    """Choices of the filter, and what was chosen."""
    say = TEXTS["en"]
    shops = [(one.shop_id, one.name) for one in desk_of(request).works.shops]
    choices = [
        ("shop", say["kinds_shop"], [("", say["fleet_any"]), *shops]),
        ("state", say["kinds_state"], [(one, one or say["fleet_any"]) for one in KIND_STATES]),
    ]
    values = _filter(request, "/parts", choices, ("kinds_filter", "kinds_find"))
    return "filtered.html.j2", values | {"waits": False, "then": ""}


def _filter(
    request: Request, path: str, choices: Sequence[Choice], labels: tuple[str, str]
) -> dict[str, Any]:
    asked, say = request.query_params, TEXTS["en"]
    chosen = {name: asked.get(name, "") for name in (*(one[0] for one in choices), "find")}
    return {
        "filter_path": path,
        "filter_label": say[labels[0]],
        "find_label": say[labels[1]],
        "choices": choices,
        "chosen": chosen,
    }


def vehicle_links(request: Request, person: Person) -> tuple[str, dict[str, Any]]:
    """Papers, bookings and other pages of one vehicle."""
    desk, say = desk_of(request), TEXTS["en"]
    paper, vehicle_id = day_paper(desk), str(request.path_params["vehicle_id"])
    known = known_vehicle(paper, vehicle_id)
    inside = known.phase is Phase.INSIDE
    stands_at = paper.standing.stands_at(vehicle_id) if inside else None
    number = step(vehicle_id)
    looks = [(say["to_record"], f"/record?about={value('vehicle:' + vehicle_id)}")]
    if inside:
        looks.insert(0, (say["to_inspection"], f"/inspection/{number}"))
    values = {
        "bookings": [] if desk.read_only else vehicle_bookings(person, known, stands_at),
        "papers": vehicle_papers(vehicle_id, stands_at) if stands_at else [],
        "looks": looks,
        "waits": forecast_of(desk, paper).being_made,
        "then": request.url.path,
    }
    return "linked.html.j2", values


def serial_links(request: Request, person: Person) -> tuple[str, dict[str, Any]] | None:
    """Papers, bookings and other pages of one unit; an assembly is booked from its vehicle's."""
    desk, code = desk_of(request), request.query_params.get("code", "")
    parts = parts_of_code(code)
    known = day_paper(desk).standing.units.get(Unit(*parts)) if parts else None
    if parts is None or known is None:
        return None
    said = value(code)
    values = {
        "bookings": [] if desk.read_only else unit_bookings(person, known),
        "papers": unit_papers(code) if known.onto is None else [],
        "looks": [
            (TEXTS["en"]["to_kind"], f"/parts/{step(parts[0])}"),
            (TEXTS["en"]["to_record"], f"/record?about={said}"),
        ],
        "waits": False,
        "then": "",
    }
    return "linked.html.j2", values


FLOOR_FORMS = {
    "vehicles": vehicles_filter,
    "vehicle": vehicle_links,
    "parts": parts_filter,
    "serial": serial_links,
    "learning": learning_form,
}
"""Key of a sheet -> what stands beside it."""
