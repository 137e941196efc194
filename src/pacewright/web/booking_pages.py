"""Booking on a page: choose what happened, fill in its form, hand it to the record."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Depends
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from pacewright.base.faults import CallError
from pacewright.events.reference import sentence
from pacewright.events.registry import KINDS
from pacewright.office.access import Person
from pacewright.office.booking import NotAnEventError
from pacewright.office.desk import Desk
from pacewright.office.desk_booking import (
    Answer,
    NotNowError,
    Outcome,
    Sender,
    hand_in,
    new_id,
    typed_entry,
)
from pacewright.office.event_form import fields_of
from pacewright.office.photos import photos_kept
from pacewright.office.rights import right_for
from pacewright.office.signing import ELSEWHERE, NotAllowedError, check_rights, kinds_for
from pacewright.reports.address import value
from pacewright.web.errors import asks_json
from pacewright.web.event_inputs import inputs_for
from pacewright.web.frame import page
from pacewright.web.photo_forms import MOST_FIELDS, WithPhotos
from pacewright.web.who import OpenDesk, Seeing

router = APIRouter(include_in_schema=False)

GROUPS = {
    "gate": "At the gate, and promises",
    "stages": "On the floor",
    "identity": "Vehicles and their assemblies",
    "units": "Units",
    "record": "People and rules",
}
"""Module of the events -> heading of the choice."""

NOT_FIELDS = frozenset({"event_id", "person", "then", "reference", "second_password"})
OWN_PATH = re.compile(r"/(?!/)[!-\[\]-~]*")
"""A path of this server: browsers drop tabs and take a backslash for a stroke, so neither."""
MOST_SAID = 300
"""Places named in the address that tells what was booked."""


async def typed(request: Request) -> dict[str, str]:
    """Every field of the form that was sent, as text."""
    async with request.form(max_fields=MOST_FIELDS, max_files=0) as form:
        return {name: value for name, value in form.items() if isinstance(value, str)}


Typed = Annotated[dict[str, str], Depends(typed)]


def sender_of(request: Request, person: Person, cells: Mapping[str, str]) -> Sender:
    """Who sends a form.

    Raises
    ------
    HTTPException : 401, the form was made for somebody else: on a shared tablet what one person
        filled in is not booked in the name of the next.
    """
    made_for = cells.get("person", "")
    if made_for and made_for != person.name:
        raise HTTPException(
            401,
            f"The form was filled in by {made_for[:40]}; {person.name} is signed in now. "
            f"It waits until {made_for[:40]} signs in again.",
        )
    address = request.client.host if request.client else ""
    return Sender(person, "page", address, cells.get("second_password", ""))


def told(error: CallError) -> tuple[int, list[str]]:
    """Status and sentences of what stands against a booking."""
    if isinstance(error, NotAllowedError):
        return 403, str(error).split("\n")
    if isinstance(error, NotAnEventError):
        return 422, list(error.faults)
    # A browser keeps what gets a 5xx and sends it again.
    return 503 if isinstance(error, NotNowError) else 409, str(error).split("\n")


def done(request: Request, then: str, places: Sequence[int | None]) -> Response:
    """Lead on to a page that says what was booked."""
    known = [str(one) for one in places if one is not None]
    local = then if OWN_PATH.fullmatch(then) else ""
    to = local or (f"/record/{known[0]}" if known else "/book")
    to += ("&" if "?" in to else "?") + urlencode({"booked": " ".join(known[:MOST_SAID])})
    if asks_json(request):
        return JSONResponse({"status": "done", "then": to})
    return RedirectResponse(to, 303)


@router.get("/book")
def choose(request: Request, person: Seeing) -> Response:
    """The kinds of event the person may book."""
    kinds = kinds_for(person)
    groups = [
        (heading, [(one, spoken(one), sentence(KINDS[one])) for one in kinds if _of(one, module)])
        for module, heading in GROUPS.items()
    ]
    values = {"title": "Book", "here": "book", "groups": [one for one in groups if one[1]]}
    return page(request, "book.html.j2", person, values)


@router.get("/book/{kind}")
def form(request: Request, desk: OpenDesk, person: Seeing, kind: str) -> Response:
    """The form of a kind, filled in from the address."""
    _check(person, kind)
    asked = dict(request.query_params)
    return _form(request, person, _Filled(kind, asked, new_id()), desk)


@router.post("/book/{kind}")
def book(request: Request, desk: OpenDesk, person: Seeing, kind: str, came: WithPhotos) -> Response:
    """Book what the form tells."""
    _check(person, kind)
    cells = came.cells
    sender = sender_of(request, person, cells)
    event_id = cells.get("event_id", "")[:80] or new_id()
    try:
        cells = cells | photos_kept(desk, came.files, _photo_fields(kind))
        fields = {name: text for name, text in cells.items() if name not in NOT_FIELDS}
        entry = typed_entry(desk, sender, kind, fields, event_id, cells.get("reference", ""))
        answer = hand_in(desk, [entry])[0]
    except CallError as error:
        status, faults = told(error)
        return _refused(request, person, _Filled(kind, cells, event_id, faults, status), desk)
    if answer.outcome is Outcome.REFUSED:
        filled = _against(desk, kind, cells, answer)
        return _refused(request, person, filled, desk)
    return done(request, cells.get("then", ""), [answer.place])


def _photo_fields(kind: str) -> tuple[str, ...]:
    return tuple("" for one in fields_of(kind) if one.sort == "photo")


@dataclass(frozen=True, slots=True)
class _Filled:
    kind: str
    cells: Mapping[str, str]
    event_id: str
    faults: Sequence[str] = ()
    status: int = 200


def _against(desk: Desk, kind: str, cells: Mapping[str, str], answer: Answer) -> _Filled:
    kept = desk.ledger.entry(answer.event_id)
    if kept is None:
        return _Filled(kind, cells, answer.event_id, answer.reasons, 409)
    # The form was sent before with something else in it: the next sending is another event.
    line = (
        f"This form was booked already, as event {kept.place}, with something else in it. "
        "To mend that event, correct it on its page. To book this beside it, send the form again."
    )
    return _Filled(kind, cells, new_id(), [line], 409)


def _refused(request: Request, person: Person, filled: _Filled, desk: Desk) -> Response:
    if asks_json(request):
        body = {"status": "refused", "faults": list(filled.faults), "event_id": filled.event_id}
        return JSONResponse(body, filled.status)
    return _form(request, person, filled, desk)


def _form(request: Request, person: Person, filled: _Filled, desk: Desk) -> Response:
    kind = filled.kind
    given = {"at": desk.now().isoformat(timespec="minutes")}
    given |= {name: text for name, text in filled.cells.items() if text}
    values = {
        "title": spoken(kind),
        "here": "book",
        "kind": kind,
        "meaning": sentence(KINDS[kind]),
        "event_id": filled.event_id,
        "faults": filled.faults,
        "then": given.get("then", ""),
        "reference": given.get("reference", ""),
        "draft": f"{request.url.path}?{request.url.query}",
        "looks": looks_at(given),
        "inputs": inputs_for(desk, kind, given, person.name),
        "takes_photo": bool(_photo_fields(kind)),
    }
    return page(request, "book_kind.html.j2", person, values, filled.status)


def looks_at(cells: Mapping[str, str]) -> list[tuple[str, str]]:
    """Codes among the fields, each with the address of the page of what it stands for."""
    found = [f"vehicle:{cells['vehicle_id']}"] if cells.get("vehicle_id") else []
    found += [cells[name] for name in ("piece", "unit", "off", "to", "onto") if cells.get(name)]
    return [(code, f"/scan?code={value(code)}") for code in dict.fromkeys(found)]


def spoken(kind: str) -> str:
    """A kind as people read it.

    Examples
    --------
    >>> spoken("stage_finished")
    'Stage finished'
    """
    return kind.replace("_", " ").capitalize()


def _of(kind: str, module: str) -> bool:
    return KINDS[kind].__module__.endswith(f".{module}")


def _check(person: Person, kind: str) -> None:
    if kind not in KINDS:
        raise HTTPException(404, f"{kind[:40]}: there is no such kind of event. Choose one.")
    if kind in ELSEWHERE:
        raise HTTPException(
            409, f"{kind}: it is not booked by itself. It comes about on {ELSEWHERE[kind]}."
        )
    if kind not in kinds_for(person):
        try:
            check_rights(person, [right_for(kind)], kind)
        except NotAllowedError as error:
            raise HTTPException(403, str(error)) from None
