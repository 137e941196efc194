"""Events over REST: read a page at a time, booked one or many, their kinds told."""

from datetime import datetime
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Header, Query
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from pacewright.base.faults import CallError
from pacewright.events.reference import sentence
from pacewright.events.registry import KINDS
from pacewright.office.access import Person
from pacewright.office.booking import NotAnEventError
from pacewright.office.desk import Desk
from pacewright.office.desk_booking import (
    Entry,
    NotNowError,
    Sender,
    hand_in,
    told_of,
    written_entry,
)
from pacewright.office.event_form import fields_of
from pacewright.office.record import faults_of_filters
from pacewright.office.rights import right_for
from pacewright.office.signing import NotAllowedError
from pacewright.web.api.answered import booked, refused
from pacewright.web.api.shapes import Booked, EventIn, Events, EventsIn, Kinds, NotBooked
from pacewright.web.who import Known, OpenDesk, Seeing

router = APIRouter(tags=["events"])
MOST_ROWS = 1000


@router.get("/api/kinds", response_model=Kinds, summary="Kinds of event")
def kinds(person: Seeing) -> dict[str, Any]:
    """Every kind of event that can be booked, with the meaning of each field."""
    told = [
        {
            "kind": kind,
            "meaning": sentence(model),
            "version": model.VERSION,
            "right": right_for(kind).name,
            "may": person.may(right_for(kind)),
            "fields": [
                {
                    "name": one.name,
                    "meaning": one.meaning,
                    "needed": one.needed and one.sort != "who" and one.name != "at",
                    "sort": one.sort,
                    "choices": list(one.choices),
                }
                for one in fields_of(kind)
            ],
        }
        for kind, model in KINDS.items()
    ]
    return {"status": "done", "data": {"kinds": told}}


@router.get("/api/events", response_model=Events, summary="Events of the record")
def events(
    request: Request,
    desk: OpenDesk,
    person: Seeing,
    after: Annotated[int, Query(ge=0, le=10**9, description="after this place")] = 0,
    until: Annotated[int | None, Query(ge=0, le=10**9, description="up to this place")] = None,
    about: Annotated[str, Query(max_length=90, description="motor:M-7, vehicle:1043")] = "",
    kind: Annotated[str, Query(max_length=40, description="one kind of event")] = "",
    by: Annotated[str, Query(max_length=120, description="recorded by this person")] = "",
    since: Annotated[
        datetime | None, Query(description="happened then or later, works clock, without a zone")
    ] = None,
    newest_first: bool = False,
    limit: Annotated[int, Query(ge=1, le=MOST_ROWS, description="most events of a page")] = 200,
) -> dict[str, Any]:
    """Events as they were recorded, corrections as entries of their own; a page at a time.

    ``next`` leads to the next page and is null on the last. In the order of the record the next
    page may be asked again later: it begins where this one ended.
    """
    faults = faults_of_filters(about, kind)
    if faults:
        raise HTTPException(422, " ".join(faults))
    if since is not None and since.tzinfo is not None:
        raise HTTPException(422, "since: a zone found. The works clock has none. Leave it out.")
    last = desk.ledger.head().place
    found = list(
        desk.ledger.entries(
            after=after,
            until=last if until is None else min(until, last),
            about=about,
            kind=kind,
            by=by,
            since=since,
            newest_first=newest_first,
            limit=limit,
        )
    )
    onward = None
    if len(found) == limit:
        place = found[-1].place
        more = {"until": str(place - 1)} if newest_first else {"after": str(place)}
        onward = "/api/events?" + urlencode(dict(request.query_params) | more)
    data = {"events": [told_of(one) for one in found], "last_place": last, "next": onward}
    return {"status": "done", "data": data}


@router.post(
    "/api/events",
    response_model=Booked,
    responses={
        403: {"model": NotBooked, "description": "a right is missing, or another is named"},
        409: {"model": NotBooked, "description": "the record refuses at least one event"},
        422: {"model": NotBooked, "description": "something sent is no event; nothing was booked"},
        503: {"model": NotBooked, "description": "the record cannot be written now; send it again"},
    },
    summary="Book events",
)
def book(
    request: Request,
    desk: OpenDesk,
    person: Known,
    sent: EventsIn,
    idempotency_key: Annotated[
        str,
        Header(
            max_length=60,
            pattern=r"^[\x21-\x7e]*$",
            description="beginning of the ids of events that have none; the same key with the "
            "same events again adds nothing",
        ),
    ] = "",
) -> Response:
    """Book one or many events past the door of the record.

    When something sent cannot be read, or the person may not book it, nothing at all is booked.
    What the record refuses is answered event by event; with ``together`` then none is kept.
    """
    address = request.client.host if request.client else ""
    entries, faults, status = _entries(desk, person, sent, idempotency_key, address)
    if faults:
        return refused(faults, status)
    try:
        answers = hand_in(desk, entries, together=sent.together)
    except NotNowError as error:
        return refused([str(error)], 503)
    return booked(answers)


def _entries(
    desk: Desk, person: Person, sent: EventsIn, key: str, address: str
) -> tuple[list[Entry], list[str], int]:
    entries: list[Entry] = []
    faults: list[str] = []
    status = 403
    for number, one in enumerate(sent.events):
        event_id = one.event_id or (f"{key}-{number + 1}" if key else "")
        sender = Sender(person, "rest", address, one.second_password)
        try:
            entries.append(_entry(desk, sender, one, event_id))
        except NotAllowedError as error:
            faults += [f"events[{number}]: {line}" for line in str(error).split("\n")]
        except (NotAnEventError, CallError) as error:
            status = 422
            faults += [f"events[{number}]: {line}" for line in str(error).split("\n")]
    return entries, faults, status


def _entry(desk: Desk, sender: Sender, one: EventIn, event_id: str) -> Entry:
    return written_entry(desk, sender, one.event, event_id, one.reference)
