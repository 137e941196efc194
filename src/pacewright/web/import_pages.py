"""Daily sheets uploaded: looked at first, every fault with its row, then booked on a word."""

from typing import Annotated

from fastapi import APIRouter, File, Form, UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from pacewright.base.faults import CallError
from pacewright.office.access import Person
from pacewright.office.daily_desk import (
    DailySheets,
    Imported,
    book_sheets,
    empty_sheets,
    read_sheets,
)
from pacewright.office.desk_booking import Sender
from pacewright.office.signing import kinds_for
from pacewright.office.uploads import MOST_BYTES
from pacewright.web.booking_pages import told
from pacewright.web.frame import Said, page
from pacewright.web.waiting import Waiting
from pacewright.web.who import OpenDesk, Seeing

router = APIRouter(include_in_schema=False)

MOST_WAITING = 50
MOST_ROWS = 500
"""Refused rows shown on a page; the rest is counted."""


def _waiting(request: Request) -> Waiting[DailySheets]:
    state = request.app.state
    if not hasattr(state, "daily_sheets"):
        state.daily_sheets = Waiting[DailySheets](MOST_WAITING)
    waiting: Waiting[DailySheets] = state.daily_sheets
    return waiting


@router.get("/import")
def ask(request: Request, person: Seeing) -> Response:
    """The form for the files."""
    _may(person)
    return _page(request, person)


@router.post("/import")
def look(
    request: Request,
    desk: OpenDesk,
    person: Seeing,
    files: Annotated[list[UploadFile] | None, File()] = None,
) -> Response:
    """Look at the files: what they would book, and every row that cannot be booked."""
    _may(person)
    came = [one for one in files or () if one.filename]
    read = [(one.filename or "", one.file.read(MOST_BYTES + 1)) for one in came]
    try:
        sheets = read_sheets(desk, Sender(person, "daily sheet"), read)
    except CallError as error:
        status, faults = told(error)
        shown = faults[:MOST_ROWS]
        if len(faults) > MOST_ROWS:
            shown.append(f"And {len(faults) - MOST_ROWS} more.")
        return _page(request, person, Said("faulty", tuple(shown)), status=422 if read else status)
    key = _waiting(request).put(person, sheets)
    return _page(request, person, made=sheets.would, key=key, names=sheets.files)


@router.post("/import/book")
def book(
    request: Request, desk: OpenDesk, person: Seeing, key: Annotated[str, Form(max_length=100)] = ""
) -> Response:
    """Book what was looked at."""
    _may(person)
    sheets = _waiting(request).take(person, key)
    if sheets is None:
        line = (
            "The sheets are not here any more: booked already, half an hour old, or looked at "
            "before the server was started anew. Choose the files again; the same sheet twice adds "
            "nothing."
        )
        return _page(request, person, Said("faulty", (line,)), status=409)
    done = book_sheets(desk, sheets)
    said = Said("said", (f"{done.kept} booked, {done.known} known already.",))
    return _page(request, person, said, made=done, names=sheets.files)


@router.get("/import/empty/{name}")
def empty(person: Seeing, name: str) -> Response:
    """One empty daily sheet; only names of the list lead anywhere."""
    content = empty_sheets().get(name)
    if content is None:
        raise HTTPException(404, f"{name[:60]}: there is no such daily sheet. Choose one.")
    sort = "text/csv" if name.endswith(".csv") else "application/octet-stream"
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(content, media_type=sort, headers=headers)


def _may(person: Person) -> None:
    if not kinds_for(person):
        raise HTTPException(
            403, f"{person.shown} ({person.role.value}) books nothing. Ask somebody who may."
        )


def _page(
    request: Request,
    person: Person,
    said: Said | None = None,
    *,
    made: Imported | None = None,
    key: str = "",
    names: tuple[str, ...] = (),
    status: int = 200,
) -> Response:
    rows = made.refused[:MOST_ROWS] if made else ()
    values = {
        "title": "Daily sheets",
        "here": "book",
        "said": said,
        "made": made,
        "rows": rows,
        "left": len(made.refused) - len(rows) if made else 0,
        "key": key if made and made.kept else "",
        "names": names,
        "empties": sorted(empty_sheets()),
    }
    return page(request, "import.html.j2", person, values, status)
