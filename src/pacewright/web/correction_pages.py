"""Correcting an event on its page: a form that voids it or puts something else in its place."""

from fastapi import APIRouter
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from pacewright.base.faults import CallError
from pacewright.office.desk_booking import Outcome, hand_in, new_id
from pacewright.office.desk_correction import Mending, correction, kept_at
from pacewright.office.errors import NotFoundError
from pacewright.office.sheets.catalogue import SHEETS
from pacewright.web.booking_pages import NOT_FIELDS, Typed, done, sender_of, told
from pacewright.web.errors import asks_json
from pacewright.web.frame import Said
from pacewright.web.sheet_pages import show
from pacewright.web.who import OpenDesk, Seeing

router = APIRouter(include_in_schema=False)

OF_CORRECTION = frozenset({"how", "mend_reason", "mend_at"})
"""Fields of the correction itself; the others are of what stands in the event's place."""


@router.post("/record/{place}")
def mend(request: Request, desk: OpenDesk, person: Seeing, place: int, cells: Typed) -> Response:
    """Book the correction of an event."""
    sender = sender_of(request, person, cells)
    fields = {name: text for name, text in cells.items() if name not in NOT_FIELDS | OF_CORRECTION}
    mending = Mending(
        how=cells.get("how", ""),
        reason=cells.get("mend_reason", ""),
        cells=fields,
        event_id=cells.get("event_id", "")[:80] or new_id(),
        at=cells.get("mend_at", ""),
    )
    try:
        entry = correction(desk, sender, kept_at(desk, place), mending)
        answer = hand_in(desk, [entry])[0]
        if answer.outcome is Outcome.REFUSED:
            raise CallError("\n".join(answer.reasons))
    except NotFoundError as error:
        raise HTTPException(404, str(error)) from None
    except CallError as error:
        status, faults = told(error)
        if asks_json(request):
            return JSONResponse({"status": "refused", "faults": faults}, status)
        return show(request, SHEETS["event"], person, Said("faulty", tuple(faults)), status)
    return done(request, "", [answer.place])
