"""Accepting and rejecting what the record proposes for the tables."""

from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from pacewright.base.faults import CallError, WorksFaultyError
from pacewright.office.access import Person
from pacewright.office.desk_learning import ACCEPT, REJECT, decide_at_desk
from pacewright.office.rights import Right
from pacewright.office.sheets.catalogue import SHEETS
from pacewright.web.booking_pages import Typed, done, sender_of, told
from pacewright.web.errors import asks_json
from pacewright.web.frame import Said
from pacewright.web.sheet_pages import show
from pacewright.web.who import OpenDesk, having

router = APIRouter(include_in_schema=False)
Decider = Annotated[Person, Depends(having(Right.FACTORS))]

DECIDE, SEEN = "decide ", "seen "
"""What the fields of the form begin with; the name of the proposal follows."""


@router.post("/learning")
def decide(request: Request, desk: OpenDesk, person: Decider, cells: Typed) -> Response:
    """Decide about the figures chosen."""
    sender_of(request, person, cells)
    chosen = _after(DECIDE, cells)
    try:
        answers = decide_at_desk(
            desk,
            person,
            {name: how for name, how in chosen.items() if how in (ACCEPT, REJECT)},
            _after(SEEN, cells),
            cells.get("reason", "")[:400],
        )
    except (CallError, WorksFaultyError) as error:
        status, faults = told(error) if isinstance(error, CallError) else (409, _lines(error))
        if asks_json(request):
            return JSONResponse({"status": "refused", "faults": faults}, status)
        return show(request, SHEETS["learning"], person, Said("faulty", tuple(faults)), status)
    return done(request, "/learning", [one.place for one in answers])


def _after(start: str, cells: dict[str, str]) -> dict[str, str]:
    return {name[len(start) :]: value for name, value in cells.items() if name.startswith(start)}


def _lines(error: Exception) -> list[str]:
    return str(error).split("\n")
