"""Files of the works' tables, and replacing one."""

from typing import Annotated

from fastapi import APIRouter, Form, UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from pacewright.base.faults import CallError, WorksFaultyError
from pacewright.office.errors import NotFoundError
from pacewright.office.replacing import MOST_BYTES, replace_table
from pacewright.office.rights import Right
from pacewright.office.sheets.catalogue import SHEETS
from pacewright.office.works_files import table_file, version_file
from pacewright.web.frame import Said
from pacewright.web.sheet_pages import show
from pacewright.web.who import OpenDesk, Seeing, having

router = APIRouter(include_in_schema=False)
MAY_REPLACE = having(Right.TABLES)
MOST_FAULTS = 60
"""Faults told on a page; the command tells all."""

Words = Annotated[str, Form(max_length=500)]


@router.get("/works/files/{table}.csv")
def whole_file(desk: OpenDesk, person: Seeing, table: str) -> Response:
    """A table as it lies in the folder."""
    try:
        return _csv(table_file(desk, table), f"{table}.csv")
    except NotFoundError as error:
        raise HTTPException(404, str(error)) from None


@router.get("/works/versions/{name}")
def version(desk: OpenDesk, person: Seeing, name: str) -> Response:
    """A table as it was before it was replaced."""
    try:
        return _csv(version_file(desk, name), name)
    except NotFoundError as error:
        raise HTTPException(404, str(error)) from None


def _csv(content: bytes, name: str) -> Response:
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(content, media_type="text/csv; charset=utf-8", headers=headers)


@router.post("/works/replace/{table}")
def replace(
    request: Request,
    desk: OpenDesk,
    table: str,
    reason: Words = "",
    version: Words = "",
    file: UploadFile | None = None,
) -> Response:
    """Replace a table by a file sent, or by an earlier version."""
    person = MAY_REPLACE(request)
    try:
        content = version_file(desk, version) if version else _sent(file)
        replace_table(desk, person, table, content, reason)
    except NotFoundError as error:
        raise HTTPException(404, str(error)) from None
    except WorksFaultyError as error:
        lines = [str(one) for one in error.faults[:MOST_FAULTS]]
        more = len(error.faults) - len(lines)
        lines = ["Not replaced; the works would be faulty:", *lines]
        lines += [f"And {more} more."] if more else []
        return show(request, SHEETS["table"], person, Said("faulty", tuple(lines)), 422)
    except CallError as error:
        said = Said("faulty", tuple(str(error).split("\n")))
        return show(request, SHEETS["table"], person, said, 409)
    return RedirectResponse(f"/works/{table}", 303)


def _sent(file: UploadFile | None) -> bytes:
    if file is None or not (file.filename or "").lower().endswith(".csv"):
        raise CallError(
            "file: none, or its name does not end in .csv. A table is replaced by a CSV file. "
            "Save it as 'CSV UTF-8 (comma delimited)' and choose it."
        )
    # One byte more than is taken tells a file that is too large without reading all of it.
    return file.file.read(MOST_BYTES + 1)
