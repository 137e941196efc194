"""Strip inspection on a tablet: verdicts sent item by item, or all at once."""

from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from pacewright.base.faults import CallError
from pacewright.office.access import Person
from pacewright.office.desk_booking import new_id
from pacewright.office.desk_inspection import book_findings, filled_in, photos_of_items
from pacewright.office.rights import Right
from pacewright.office.sheets.catalogue import SHEETS
from pacewright.reports.address import step
from pacewright.web.booking_pages import done, sender_of, told
from pacewright.web.errors import asks_json
from pacewright.web.frame import Said
from pacewright.web.photo_forms import WithPhotos
from pacewright.web.sheet_pages import show
from pacewright.web.who import OpenDesk, having

router = APIRouter(include_in_schema=False)
Inspector = Annotated[Person, Depends(having(Right.INSPECT))]


@router.post("/inspection/{vehicle_id:id}")
def write_down(
    request: Request, desk: OpenDesk, person: Inspector, vehicle_id: str, came: WithPhotos
) -> Response:
    """Book the verdicts of the form, or of the one item that was sent."""
    cells, only = came.cells, came.cells.get("only", "")
    sender = sender_of(request, person, cells)
    event_id = cells.get("event_id", "")[:60] or new_id()
    try:
        items = filled_in(cells | photos_of_items(desk, cells, came.files, only), only)
        answers = book_findings(desk, sender, items, cells.get("at", ""), event_id)
    except CallError as error:
        status, faults = told(error)
        if asks_json(request):
            return JSONResponse({"status": "refused", "faults": faults}, status)
        return show(request, SHEETS["inspect"], person, Said("faulty", tuple(faults)), status)
    return done(request, f"/inspection/{step(vehicle_id)}", [one.place for one in answers])
