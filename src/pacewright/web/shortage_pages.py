"""Issuing what the allotment proposes; robbing on two approvals, at one screen or at two."""

from collections.abc import Callable, Mapping, Sequence

from fastapi import APIRouter
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from pacewright.base.faults import CallError
from pacewright.office.access import Person
from pacewright.office.desk import Desk
from pacewright.office.desk_booking import Answer, Outcome, Sender, hand_in
from pacewright.office.errors import NotFoundError
from pacewright.office.rights import Right
from pacewright.office.robbing_waits import agree, ask, decline
from pacewright.office.sheets.catalogue import SHEETS
from pacewright.office.sheets.shortages_allot import issue_entries
from pacewright.office.sheets.shortages_rob_book import robbed_entry
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

    def book() -> Sequence[Answer]:
        sender = sender_of(request, person, cells)
        entries = issue_entries(desk, sender, ticked, cells.get("event_id", ""))
        return hand_in(desk, entries, together=True)

    return _booked(request, person, "allot", book)


@router.post("/shortages/rob")
def rob(request: Request, desk: OpenDesk, cells: Typed) -> Response:
    """Approve a robbing as the first or the second, both at once, or decline what waits."""
    person = MAY_ROB(request)
    asked: Mapping[str, str] = {**cells, **request.query_params}
    act = ACTS.get(cells.get("act", ""), _at_one_screen)

    def book() -> Sequence[Answer]:
        return act(desk, sender_of(request, person, cells), asked)

    # What waits is seen on the shortages; what was robbed, in the register of this page.
    then = "/shortages" if cells.get("act") in ("ask", "decline") else ""
    return _booked(request, person, "rob", book, then)


def _at_one_screen(desk: Desk, sender: Sender, asked: Mapping[str, str]) -> Sequence[Answer]:
    """Two persons approve in one form: the second types the own password there."""
    return hand_in(desk, [robbed_entry(desk, sender, asked)])


ACTS = {"ask": ask, "agree": agree, "decline": decline}
"""What a form of the page asks for -> what does it; else both approve at one screen."""


def _booked(
    request: Request, person: Person, key: str, book: Callable[[], Sequence[Answer]], then: str = ""
) -> Response:
    maker = SHEETS[key]
    try:
        answers = book()
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
    return done(request, then or maker.path, [one.place for one in answers])
