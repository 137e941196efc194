"""Which forms stand on which sheet, for a person who may use them."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from starlette.requests import Request

from pacewright.events.record import Corrected
from pacewright.events.registry import KIND_OF
from pacewright.events.things import Verdict
from pacewright.office.access import Person
from pacewright.office.desk_booking import new_id
from pacewright.office.desk_correction import kept_at, may_mend
from pacewright.office.event_form import cells_of
from pacewright.office.inspecting import limits_said
from pacewright.office.rights import Right
from pacewright.office.sheets.inspection import inspected
from pacewright.office.sheets.record import in_words
from pacewright.office.signing import names_asked
from pacewright.reports.sheet import Sheet
from pacewright.web.event_inputs import inputs_for
from pacewright.web.floor_forms import FLOOR_FORMS
from pacewright.web.flow_forms import FLOW_FORMS
from pacewright.web.frame import Said
from pacewright.web.paper_forms import PAPER_FORMS
from pacewright.web.planner_forms import PLANNER_FORMS
from pacewright.web.record_forms import RECORD_FORMS
from pacewright.web.who import desk_of
from pacewright.web.works_forms import WORKS_FORMS

MOST_TOLD = 12
"""Events told one by one after a booking; more are counted."""

Forms = Callable[[Request, Person], tuple[str, dict[str, Any]] | None]
"""Template and values of a sheet's forms; None: the person has none there."""


def forms_of(
    key: str, request: Request, person: Person, sheet: Sheet
) -> tuple[str, dict[str, Any]]:
    """Template of the sheet's page and the values it needs besides the sheet."""
    found = _FORMS[key](request, person) if key in _FORMS else None
    template, values = found or ("sheet.html.j2", {})
    return template, _booked(request) | values


def _booked(request: Request) -> dict[str, Any]:
    """What a booking that led here told, read from the record: an address claims nothing."""
    asked = request.query_params.get("booked", "")
    places = [int(one) for one in asked.split() if one.isascii() and one.isdigit()]
    lines = [
        f"Booked as event {kept.place}: {in_words(kept.entry.event)}."
        for place in places[:MOST_TOLD]
        for kept in desk_of(request).ledger.entries(after=place - 1, until=place)
    ]
    if lines and len(places) > MOST_TOLD:
        lines.append(f"And {len(places) - MOST_TOLD} more.")
    return {"said": Said("said", tuple(lines))} if lines else {}


@dataclass(frozen=True, slots=True)
class Item:
    """One item of a strip inspection as the form shows it.

    Parameters
    ----------
    mark : ``PIECE ITEM``; its fields are named by it.
    fixed : verdict of what is must-change; empty: the inspector chooses.
    limits : in words; empty: by eye.
    """

    mark: str
    name: str
    item_id: str
    piece: str
    fixed: str
    limits: str
    least: str
    most: str
    unit: str


def _inspection(request: Request, person: Person) -> tuple[str, dict[str, Any]] | None:
    if not person.may(Right.INSPECT):
        return None
    desk = desk_of(request)
    vehicle_id = request.path_params["vehicle_id"]
    one = inspected(desk, vehicle_id)
    items = [
        Item(
            f"{line.piece} {line.item_id}",
            line.name,
            line.item_id,
            line.piece,
            line.verdict,
            limits_said(line.least, line.most, line.reading_unit).strip(" ()"),
            "" if line.least is None else f"{line.least:g}",
            "" if line.most is None else f"{line.most:g}",
            line.reading_unit,
        )
        for line in one.lines
    ]
    values = {
        "items": items,
        "verdicts": [verdict.value for verdict in Verdict],
        "event_id": new_id(),
        "works_clock": desk.now().isoformat(timespec="minutes"),
        "vehicle_id": vehicle_id,
        "piece": one.lines[0].piece if one.lines else f"vehicle:{vehicle_id}",
    }
    return "inspect.html.j2", values


def _vehicles_to_inspect(request: Request, person: Person) -> tuple[str, dict[str, Any]] | None:
    # Large targets beside the table: a row of it is too low for a glove.
    return ("inspection.html.j2", {}) if person.may(Right.INSPECT) else None


def _correction(request: Request, person: Person) -> tuple[str, dict[str, Any]] | None:
    desk = desk_of(request)
    place = int(request.path_params["place"])
    kept = kept_at(desk, place)
    if desk.read_only or not may_mend(desk, person, kept):
        return None
    event = kept.entry.event
    kind = KIND_OF[type(event)]
    inputs = []
    if not isinstance(event, Corrected):
        # Who acted stays as it was told: a correction mends what is said, not who said it.
        given = cells_of(event)
        signed = set(names_asked(kind))
        inputs = [
            replace(one, control="said", asks_password=False, hint="")
            if one.name in signed
            else one
            for one in inputs_for(desk, kind, given, "")
        ]
    values = {
        "place": place,
        "event_id": new_id(),
        "works_clock": desk.now().isoformat(timespec="minutes"),
        "inputs": inputs,
        "reason": "",
    }
    return "event.html.j2", values


_FORMS: dict[str, Forms] = (
    {"inspection": _vehicles_to_inspect, "inspect": _inspection, "event": _correction}
    | FLOW_FORMS
    | PLANNER_FORMS
    | FLOOR_FORMS
    | PAPER_FORMS
    | RECORD_FORMS
    | WORKS_FORMS
)
"""Key of a sheet -> what makes its forms."""
