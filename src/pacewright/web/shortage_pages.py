"""Issuing what the allotment proposes, and robbing on two approvals."""

from collections.abc import Callable, Mapping, Sequence

from fastapi import APIRouter
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from pacewright.base.faults import CallError
from pacewright.office.access import Person
from pacewright.office.desk import Desk
from pacewright.office.desk_booking import Entry, Outcome, hand_in
from pacewright.office.errors import NotFoundError
from pacewright.office.rights import Right
from pacewright.office.sheets.catalogue import SHEETS
from pacewright.office.sheets.shortages_allot import issue_entries
from pacewright.office.sheets.shortages_rob import robbed_entry
from pacewright.web.booking_pages import Typed, done, sender_of, told
from pacewright.web.frame import Said
from pacewright.web.sheet_pages import show
from pacewright.web.who import OpenDesk, having

router = APIRouter(include_in_schema=False)
MAY_ISSUE = having(Right.BOOK_UNITS)
MAY_ROB = having(Right.APPROVE_ROBBING)


@router.post("/shortages/allot")
def issue(request: Request, desk: OpenDesk, cells: Typed) -> Response:
    """Issue what is ticked, all of it or nothing."""
    person = MAY_ISSUE(request)
    ticked = [text for name, text in cells.items() if name.startswith("tick-")]

    def entries() -> list[Entry]:
        sender = sender_of(request, person, cells)
        return issue_entries(desk, sender, ticked, cells.get("event_id", ""))

    return _booked(request, desk, person, "allot", entries)


@router.post("/shortages/rob")
def rob(request: Request, desk: OpenDesk, cells: Typed) -> Response:
    """Book a robbing on the approval of who is signed in and of a second person."""
    person = MAY_ROB(request)
    asked: Mapping[str, str] = {**cells, **request.query_params}

    def entries() -> list[Entry]:
        return [robbed_entry(desk, sender_of(request, person, cells), asked)]

    return _booked(request, desk, person, "rob", entries)


def _booked(
    request: Request, desk: Desk, person: Person, key: str, entries: Callable[[], Sequence[Entry]]
) -> Response:
    maker = SHEETS[key]
    try:
        answers = hand_in(desk, entries(), together=True)
    except NotFoundError as error:
        raise HTTPException(404, str(error)) from None
    except CallError as error:
        status, faults = told(error)
        return show(request, maker, person, Said("faulty", tuple(faults)), status)
    refused = [
        reason for one in answers if one.outcome is Outcome.REFUSED for reason in one.reasons
    ]
    if refused:
        return show(request, maker, person, Said("faulty", tuple(refused)), 409)
    return done(request, maker.path, [one.place for one in answers])
