"""Daily sheets over REST: looked at, or booked, as on the page of daily sheets."""

from hashlib import sha256
from typing import Annotated, Any

from fastapi import APIRouter, File, Query, UploadFile
from pydantic import BaseModel, Field
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from pacewright.office.daily_desk import DailySheets, Imported, book_sheets, read_sheets
from pacewright.office.desk_booking import Sender
from pacewright.office.signing import kinds_for
from pacewright.office.uploads import MOST_BYTES
from pacewright.web.api.answered import done, tried
from pacewright.web.api.once import Key, once
from pacewright.web.who import Known, OpenDesk

router = APIRouter(tags=["events"])


class RowOut(BaseModel):
    """A row that cannot be booked."""

    where: Annotated[str, Field(description="file, sheet and row")]
    kind: str
    reasons: list[str]


class ImportData(BaseModel):
    """What the sheets tell."""

    files: list[str]
    booked: Annotated[bool, Field(description="false: they were only looked at")]
    kept: Annotated[int, Field(description="events added, or that would be")]
    known: Annotated[int, Field(description="events the record has already")]
    refused: list[RowOut]


class ImportOut(BaseModel):
    """Daily sheets read."""

    status: str = "done"
    data: ImportData


@router.post("/api/import", response_model=ImportOut, summary="Daily sheets")
def daily_sheets(
    request: Request,
    desk: OpenDesk,
    person: Known,
    files: Annotated[list[UploadFile] | None, File(description="CSV or XLSX")] = None,
    book: Annotated[bool, Query(description="book what can be booked; else only look")] = False,
    key: Key = "",
) -> Response:
    """Look at daily sheets, or book what can be booked of them; the same sheet twice adds nothing.

    Rows that cannot be booked are told, each with its reasons, and hold up no other row.
    """
    if not kinds_for(person):
        raise HTTPException(
            403, f"{person.shown} ({person.role.value}) books nothing. Ask somebody who may."
        )
    read = [(one.filename or "", one.file.read(MOST_BYTES + 1)) for one in files or ()]
    address = request.client.host if request.client else ""
    mark = sha256(b"".join(name.encode() + content for name, content in read)).hexdigest()

    def act() -> Response:
        sheets = read_sheets(desk, Sender(person, "daily sheet", address), read)
        return done(_told(sheets, book_sheets(desk, sheets) if book else sheets.would))

    return once(request, person, key, mark, lambda: tried(act))


def _told(sheets: DailySheets, made: Imported) -> dict[str, Any]:
    return {
        "files": list(sheets.files),
        "booked": not made.dry_run,
        "kept": made.kept,
        "known": made.known,
        "refused": [
            {"where": one.where, "kind": one.kind, "reasons": list(one.reasons)}
            for one in made.refused
        ],
    }
