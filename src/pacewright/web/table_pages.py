"""Files of the works, and replacing one: looked at first, then agreed."""

from dataclasses import dataclass
from typing import Annotated, NamedTuple
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Form, UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from pacewright.base.faults import CallError, WorksFaultyError
from pacewright.office.access import Person
from pacewright.office.desk import Desk
from pacewright.office.errors import NotFoundError
from pacewright.office.replacing import (
    MOST_BYTES,
    mark_of,
    refuse_wrong,
    replace_file,
    what_differs,
)
from pacewright.office.rights import Right
from pacewright.office.sheets.catalogue import SHEETS
from pacewright.office.works_files import (
    SETTINGS,
    WORKBOOK,
    File,
    file_named,
    file_of,
    media_type,
    version_file,
)
from pacewright.web.frame import Said
from pacewright.web.sheet_pages import show
from pacewright.web.waiting import Waiting
from pacewright.web.who import OpenDesk, Seeing, desk_of, having
from pacewright.web.works_forms import MOST_SHOWN, Looked

router = APIRouter(include_in_schema=False)
MAY_REPLACE = having(Right.TABLES)
MOST_WAITING = 6
"""Files that wait for the word of their persons; each may have 32 MB."""
MOST_FAULTS = 60
"""Faults told on a page; the command tells all."""

Words = Annotated[str, Form(max_length=500)]


@router.get("/works/files/{name}")
def whole_file(desk: OpenDesk, person: Seeing, name: str) -> Response:
    """A table, the settings or the workbook as it lies there."""
    try:
        one = file_named(desk, name)
    except NotFoundError as error:
        raise HTTPException(404, str(error)) from None
    content = one.content()
    if content is None:
        raise HTTPException(404, f"{name[:60]}: this works has no such file.")
    return _sent_as(content, name)


@router.get("/works/versions/{name}")
def version(desk: OpenDesk, person: Seeing, name: str) -> Response:
    """A file as it was before it was replaced."""
    try:
        return _sent_as(version_file(desk, name), name)
    except NotFoundError as error:
        raise HTTPException(404, str(error)) from None


def _sent_as(content: bytes, name: str) -> Response:
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(content, media_type=media_type(name), headers=headers)


@dataclass(frozen=True, slots=True)
class Sent:
    """What the form of a file holds.

    Parameters
    ----------
    look : only show what would differ. ``waiting`` : key of what was looked at.
    """

    reason: Words = ""
    version: Words = ""
    look: Words = ""
    waiting: Words = ""
    file: UploadFile | None = None


class _Waits(NamedTuple):
    """A file that was looked at: of what it is, what it holds, what it would replace."""

    key: str
    content: bytes
    over: str


def _form(
    reason: Words = "",
    version: Words = "",
    look: Words = "",
    waiting: Words = "",
    file: UploadFile | None = None,
) -> Sent:
    return Sent(reason, version, look, waiting, file)


@router.post("/works/replace/{table}")
def replace(
    request: Request, desk: OpenDesk, table: str, sent: Annotated[Sent, Depends(_form)]
) -> Response:
    """Look at what a file sent, or an earlier version, would change; or put it in place."""
    person = MAY_REPLACE(request)
    maker = SHEETS["settings" if table in (SETTINGS, WORKBOOK) else "table"]
    try:
        one = file_of(desk, table)
        content, over = _content(request, desk, person, one, sent)
        if sent.look:
            return _looked(request, person, one, (content, sent.reason))
        made = replace_file(desk, person, one, content, sent.reason, over=over)
    except NotFoundError as error:
        raise HTTPException(404, str(error)) from None
    except WorksFaultyError as error:
        lines = [str(fault) for fault in error.faults[:MOST_FAULTS]]
        more = len(error.faults) - len(lines)
        lines = ["Not replaced; the works would be faulty:", *lines]
        lines += [f"And {more} more."] if more else []
        return show(request, maker, person, Said("faulty", tuple(lines)), 422)
    except CallError as error:
        said = Said("faulty", tuple(str(error).split("\n")))
        return show(request, maker, person, said, 409)
    to = f"/works/{SETTINGS if table == WORKBOOK else table}"
    return RedirectResponse(f"{to}?{urlencode({'replaced': made.at})}", 303)


def _content(
    request: Request, desk: Desk, person: Person, one: File, sent: Sent
) -> tuple[bytes, str | None]:
    """What is to be put in place, and the mark of the file it was looked at beside, if it was."""
    if sent.version:
        return version_file(desk, sent.version), None
    if not sent.waiting:
        return _uploaded(one, sent.file), None
    waits = _waiting(request).take(person, sent.waiting)
    if waits is None or waits.key != one.key:
        raise CallError(
            f"{one.name}: what was looked at is not here any more: replaced already, half an hour "
            "old, or looked at before the server was started anew. Choose the file again."
        )
    return waits.content, waits.over


def _uploaded(one: File, file: UploadFile | None) -> bytes:
    suffix = one.path.suffix.lower()
    if file is None or not (file.filename or "").lower().endswith(suffix):
        raise CallError(f"file: none, or its name does not end in {suffix}. {_WANTED[suffix]}")
    # One byte more than is taken tells a file that is too large without reading all of it.
    return file.file.read(MOST_BYTES + 1)


_WANTED = {
    ".csv": "A table is replaced by a CSV file. Save it as 'CSV UTF-8 (comma delimited)' and "
    "choose it.",
    ".toml": "Settings are replaced by a TOML file. Fetch works.toml, change it and choose it.",
    ".xlsx": "A workbook is replaced by a workbook. Save it as 'Excel workbook (.xlsx)' and "
    "choose it.",
}


def _looked(request: Request, person: Person, one: File, sent: tuple[bytes, str]) -> Response:
    content, reason = sent
    desk, over = desk_of(request), mark_of(one.content())
    refuse_wrong(desk, one, content, reason.strip())
    differs = what_differs(desk, one, content)
    key = _waiting(request).put(person, _Waits(one.key, content, over))
    request.state.looked = Looked(key, reason, differs[:MOST_SHOWN], len(differs))
    maker = SHEETS["settings" if one.key in (SETTINGS, WORKBOOK) else "table"]
    return show(request, maker, person)


def _waiting(request: Request) -> Waiting[_Waits]:
    state = request.app.state
    if not hasattr(state, "works_files"):
        state.works_files = Waiting[_Waits](MOST_WAITING)
    waiting: Waiting[_Waits] = state.works_files
    return waiting
