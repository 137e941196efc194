"""What stands on the vehicles' and parts' pages beside the sheet: filters, papers, bookings."""

from typing import Any
from urllib.parse import quote

from starlette.requests import Request

from pacewright.events.registry import KINDS
from pacewright.events.standing import Phase
from pacewright.office.access import Person
from pacewright.office.desk_booking import new_id
from pacewright.office.desk_learning import seen_of
from pacewright.office.papers import has_sort
from pacewright.office.rights import Right
from pacewright.office.sheets.learning import PROPOSED_HOW, decisions, ratio_of, still_asked
from pacewright.office.sheets.learning_paper import learning_of
from pacewright.office.sheets.parts import STATES as KIND_STATES
from pacewright.office.sheets.today_paper import day_paper
from pacewright.office.sheets.vehicle import known_vehicle
from pacewright.office.sheets.vehicles import ALL, HERE, PHASES, STATES
from pacewright.office.sheets.vehicles_forecast import forecast_of
from pacewright.office.signing import kinds_for
from pacewright.plans.learned import Proposal
from pacewright.reports.drawings.ratio_rows import ratio_bar
from pacewright.web.texts import TEXTS
from pacewright.web.who import desk_of

Link = tuple[str, str]
"""Words and address."""

_BOOKINGS = {
    Phase.CALLED: ("arrived", "called_off", "promised"),
    Phase.AT_GATE: ("admitted", "turned_back", "odometer_read", "promised"),
    Phase.INSIDE: (
        "moved", "stage_finished", "held", "freed", "removed", "fitted", "stripped", "parted",
        "married", "tested", "failed", "rectified", "promised", "odometer_read", "overridden",
        "released",
    ),
    Phase.IN_SERVICE: ("called", "arrived", "odometer_read"),
}  # fmt: skip
"""How far a vehicle is -> kinds of event that are booked for it from its page."""

MOST_DECIDED_AT_ONCE = 40
"""Proposals in the form; the rest come when these are decided."""

_PIECE_FIELDS = {"removed": "off", "fitted": "onto"}
"""Kind -> its field for the vehicle, where that is neither its number nor a piece."""

_PAPERS = (
    ("vehicle-card", "Vehicle card"),
    ("inspection-form", "Strip inspection form"),
    ("job-cards", "Job cards"),
    ("kit-list", "Kit list"),
    ("docket", "Movement docket"),
)


def vehicles_filter(request: Request, person: Person) -> tuple[str, dict[str, Any]]:
    """Choices of the filter, and what was chosen."""
    say, asked = TEXTS["en"], request.query_params
    words = {HERE: say["fleet_here"], ALL: say["fleet_all"], "": say["fleet_any"]}
    types = ["", *(one.type_id for one in desk_of(request).works.vehicle_types)]
    choices = [
        (name, say[f"fleet_{name}"], [(one, words.get(one, one)) for one in values])
        for name, values in (("phase", PHASES), ("type", types), ("state", STATES))
    ]
    chosen = {name: asked.get(name, "") for name in ("phase", "type", "state", "find")}
    desk = desk_of(request)
    waits = forecast_of(desk, day_paper(desk)).being_made
    then = f"{request.url.path}?{request.url.query}".rstrip("?")
    values = {"choices": choices, "chosen": chosen, "waits": waits, "then": then}
    return "vehicles.html.j2", values


def vehicle_links(request: Request, person: Person) -> tuple[str, dict[str, Any]]:
    """Papers, bookings and other pages of one vehicle."""
    desk = desk_of(request)
    paper, vehicle_id = day_paper(desk), str(request.path_params["vehicle_id"])
    known = known_vehicle(paper, vehicle_id)
    inside = known.phase is Phase.INSIDE
    bookings = [] if desk.read_only else _bookings(person, known.phase, vehicle_id)
    looks = [(TEXTS["en"]["to_record"], f"/record?about=vehicle:{quote(vehicle_id, safe='')}")]
    if inside and person.may(Right.SEE):
        looks.insert(0, (TEXTS["en"]["to_inspection"], f"/inspection/{quote(vehicle_id, safe='')}"))
    values = {
        "bookings": bookings,
        "papers": _papers(vehicle_id) if inside else [],
        "looks": looks,
        "waits": forecast_of(desk, paper).being_made,
        "then": request.url.path,
    }
    return "vehicle.html.j2", values


def _bookings(person: Person, phase: Phase, vehicle_id: str) -> list[Link]:
    allowed = kinds_for(person)
    code, then = quote(f"vehicle:{vehicle_id}", safe=":"), quote(f"/vehicles/{vehicle_id}")
    found = []
    for kind in _BOOKINGS.get(phase, ()):
        if kind not in allowed:
            continue
        field = _PIECE_FIELDS.get(kind) or _field_of(kind)
        value = quote(vehicle_id, safe="") if field == "vehicle_id" else code
        found.append(
            (kind.replace("_", " ").capitalize(), f"/book/{kind}?{field}={value}&then={then}")
        )
    return found


def _field_of(kind: str) -> str:
    return "vehicle_id" if "vehicle_id" in KINDS[kind].__dataclass_fields__ else "piece"


def _papers(vehicle_id: str) -> list[Link]:
    number = quote(vehicle_id, safe="")
    piece = quote(f"vehicle:{vehicle_id}", safe=":")
    asked = {"docket": f"thing={piece}"}
    return [
        (name, f"/papers/{sort}.pdf?{asked.get(sort, f'vehicle={number}')}")
        for sort, name in _PAPERS
        if has_sort(sort)
    ]


def parts_filter(request: Request, person: Person) -> tuple[str, dict[str, Any]]:
    """Choices of the filter, and what was chosen."""
    say, asked = TEXTS["en"], request.query_params
    shops = [(one.shop_id, one.name) for one in desk_of(request).works.shops]
    choices = [
        ("shop", say["kinds_shop"], [("", say["fleet_any"]), *shops]),
        ("state", say["kinds_state"], [(one, one or say["fleet_any"]) for one in KIND_STATES]),
    ]
    chosen = {name: asked.get(name, "") for name in ("shop", "state", "find")}
    return "parts.html.j2", {"choices": choices, "chosen": chosen}


def learning_form(request: Request, person: Person) -> tuple[str, dict[str, Any]]:
    """What may be decided, by who may."""
    desk = desk_of(request)
    state = learning_of(desk)
    asked: list[Proposal] = []
    if state.paper is not None and person.may(Right.FACTORS) and not desk.read_only:
        asked = still_asked(state.paper, decisions(desk))
    values = {
        "waits": state.being_made and state.paper is None,
        "proposals": [_proposal(one) for one in asked[:MOST_DECIDED_AT_ONCE]],
        "more": max(0, len(asked) - MOST_DECIDED_AT_ONCE),
        "how_proposed": PROPOSED_HOW,
        "event_id": new_id(),
    }
    return "learning.html.j2", values


def _proposal(one: Proposal) -> dict[str, Any]:
    row = ratio_of(one)
    return {
        "name": one.proposal_id,
        "row": one.row,
        "column": one.column.replace("_", " "),
        "table": one.table,
        "old": "-" if one.old is None else f"{one.old:.4g}",
        "proposed": f"{one.proposed:.4g}",
        "bar": ratio_bar(row) if row is not None else "",
        "evidence": (
            f"the record alone {one.shown:.3g}; true figure {one.low:.3g} to {one.high:.3g} in "
            f"nine cases of ten; from {one.sample:,.4g} {one.of_what}"
        ),
        "effect": one.effect,
        "seen": seen_of(one),
    }


FLOOR_FORMS = {
    "learning": learning_form,
    "parts": parts_filter,
    "vehicles": vehicles_filter,
    "vehicle": vehicle_links,
}
"""Key of a sheet -> what stands beside it."""
