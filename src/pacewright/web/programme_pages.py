"""Agreeing to a call-in, and the plan as a report."""

from fastapi import APIRouter
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from pacewright.base.faults import CallError
from pacewright.office.desk_booking import Outcome, hand_in
from pacewright.office.errors import NotFoundError
from pacewright.office.rights import Right
from pacewright.office.sheets.catalogue import SHEETS
from pacewright.office.sheets.programme_agree import call_entry
from pacewright.office.sheets.programme_report import plan_report
from pacewright.reports.address import step
from pacewright.reports.shell import asset, hash_of
from pacewright.web.booking_pages import Typed, done, sender_of, told
from pacewright.web.frame import Said
from pacewright.web.sheet_pages import show
from pacewright.web.who import OpenDesk, Seeing, having

router = APIRouter(include_in_schema=False)
MAY_CALL = having(Right.BOOK_GATE)


@router.post("/programme/{vehicle_id:id}")
def agree(request: Request, desk: OpenDesk, vehicle_id: str, cells: Typed) -> Response:
    """Call a vehicle in for the day shown, when nothing stands against it now."""
    person = MAY_CALL(request)
    sender = sender_of(request, person, cells)
    asked = {**request.query_params, "vehicle_id": vehicle_id}
    try:
        entry = call_entry(desk, sender, asked, cells)
        (answer,) = hand_in(desk, [entry])
    except NotFoundError as error:
        raise HTTPException(404, str(error)) from None
    except ValueError as error:
        raise HTTPException(422, str(error)) from None
    except CallError as error:
        status, faults = told(error)
        return show(request, SHEETS["move"], person, Said("faulty", tuple(faults)), status)
    if answer.outcome is Outcome.REFUSED:
        said = Said("faulty", answer.reasons)
        return show(request, SHEETS["move"], person, said, 409)
    return done(request, f"/programme/{step(vehicle_id)}", [answer.place])


@router.get("/plan-report")
def report(desk: OpenDesk, person: Seeing) -> Response:
    """The plan of today as the one page that stands alone; its style and script by their hashes."""
    made = plan_report(desk)
    if made is None:
        return RedirectResponse("/programme", 303)
    style, script = hash_of(asset("report.css")), hash_of(asset("report.js"))
    policy = (
        f"default-src 'none'; style-src '{style}'; script-src '{script}'; img-src data:; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )
    return HTMLResponse(made, headers={"content-security-policy": policy})
