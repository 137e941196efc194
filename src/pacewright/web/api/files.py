"""The files of a works over REST: read with a tag, put in place where the tag still holds."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Header, Query
from pydantic import BaseModel, Field
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from pacewright.office.access import Person
from pacewright.office.desk import Desk
from pacewright.office.differing import Difference
from pacewright.office.replacing import AnotherThereError, mark_of, replace_file, what_differs
from pacewright.office.rights import Right
from pacewright.office.works_files import File, file_named, files_of, version_file
from pacewright.web.api.answered import done, refused, tried
from pacewright.web.api.once import Key, once
from pacewright.web.api.shapes import Refused
from pacewright.web.who import OpenDesk, Seeing, having

router = APIRouter(tags=["works"])
Replacer = Annotated[Person, Depends(having(Right.TABLES))]
Tag = Annotated[str, Header(alias="If-Match", max_length=2000, description="ETag of what is there")]
BYTES: dict[int | str, dict[str, Any]] = {
    200: {"content": {"application/octet-stream": {}}, "description": "the file as it lies there"}
}
FIRST_DIFFERENCES = 500
"""Differences told one by one; the rest are counted."""


class FileOut(BaseModel):
    """One file of the works."""

    name: str
    address: str
    there: bool
    etag: Annotated[str, Field(description="of the file as it lies there; empty: it is not")]


class FilesData(BaseModel):
    """Every file that may be read and put in place."""

    files: list[FileOut]


class FilesOut(BaseModel):
    """The files of the works."""

    status: str = "done"
    data: FilesData


class DifferenceOut(BaseModel):
    """One row or setting that differs."""

    table: str
    row: Annotated[str, Field(description="its key; of the settings, the setting")]
    how: Annotated[str, Field(description="new, gone or changed")]
    what: Annotated[str, Field(description="column: before -> after")]


class PutData(BaseModel):
    """What the file changes, or changed."""

    replaced: bool
    etag: str
    kept_as: Annotated[str, Field(description="the file before it; empty: nothing was replaced")]
    differences: list[DifferenceOut]
    differences_in_all: int


class PutOut(BaseModel):
    """The file is in place, or was looked at."""

    status: str = "done"
    data: PutData


def tag_of(content: bytes | None) -> str:
    """The ETag of a file: its SHA-256, so that the same file has the same tag everywhere."""
    return f'"{mark_of(content)}"' if content is not None else ""


@router.get("/api/works/files", response_model=FilesOut, summary="Files of the works")
def files(desk: OpenDesk, person: Seeing) -> Response:
    """Every file the works may have, with the tag of those that are there."""
    told = [
        {
            "name": one.name,
            "address": f"/api/works/files/{one.name}",
            "there": (content := one.content()) is not None,
            "etag": tag_of(content),
        }
        for one in files_of(desk)
    ]
    return done({"files": told})


@router.get("/api/works/files/{name}", response_class=Response, responses=BYTES, summary="One file")
def file(desk: OpenDesk, person: Seeing, name: str) -> Response:
    """A table as CSV, the settings as TOML, or the workbook, as it lies there."""

    def act() -> Response:
        one = file_named(desk, name)
        content = one.content()
        if content is None:
            raise HTTPException(404, f"{name[:60]}: this works has no such file.")
        return Response(content, media_type=one.media_type, headers={"etag": tag_of(content)})

    return tried(act)


async def _raw(request: Request) -> bytes:
    return await request.body()


Raw = Annotated[bytes, Depends(_raw)]
"""The body as it came, whatever sort it is said to be."""


@router.put(
    "/api/works/files/{name}",
    response_model=PutOut,
    responses={
        412: {"model": Refused, "description": "the file there is another than the tag says"},
        428: {"model": Refused, "description": "no If-Match was sent"},
    },
    summary="Replace a file",
    openapi_extra={
        "requestBody": {
            "required": True,
            "content": {"application/octet-stream": {"schema": {"type": "string"}}},
        }
    },
)
def put_file(
    request: Request,
    desk: OpenDesk,
    person: Replacer,
    name: str,
    content: Raw,
    reason: Annotated[str, Query(max_length=400, description="why; kept with the version")] = "",
    look: Annotated[bool, Query(description="only tell what would differ")] = False,
    if_match: Tag = "",
    key: Key = "",
) -> Response:
    """Put a file in the place of the one there is, when the whole works is sound with it.

    The file before it is kept as a version. ``If-Match`` names the file that is to be replaced,
    so that nobody's change in between is lost; ``*`` replaces whatever is there (RFC 9110, 13.1.1).
    """

    def act() -> Response:
        one = file_named(desk, name)
        there = one.content()
        against = _against(one, there, content, if_match)
        # What is put in place replaces the very file that the tag was held against.
        over = None if "*" in _tags(if_match) else mark_of(there)
        return against or _put(desk, person, one, (content, reason, look, over))

    return once(request, person, key, content + if_match.encode(), lambda: tried(act))


def _tags(if_match: str) -> set[str]:
    return {part.strip() for part in if_match.split(",")}


def _against(one: File, content: bytes | None, sent: bytes, if_match: str) -> Response | None:
    tags, there = _tags(if_match), tag_of(content)
    if not if_match:
        return refused(
            [
                f"{one.name}: no If-Match. It names the file that is to be replaced, so that a "
                "change in between is not lost. Send the ETag that GET told, or *."
            ],
            428,
        )
    # Sent again after a lost answer, the file is there already: RFC 9110 lets that succeed.
    if "*" in tags or there in tags or there == tag_of(sent) or (not there and '""' in tags):
        return None
    return refused(
        [
            f"{one.name}: the file there is another than If-Match says. Somebody replaced it. Read "
            "it anew and put your change into it."
        ],
        412,
    )


def _put(
    desk: Desk, person: Person, one: File, sent: tuple[bytes, str, bool, str | None]
) -> Response:
    content, reason, look, over = sent
    differs = what_differs(desk, one, content)
    kept_as = ""
    replaced = not look and one.content() != content
    if replaced:
        try:
            kept_as = replace_file(desk, person, one, content, reason, over=over).kept_as
        except AnotherThereError as error:
            return refused([str(error)], 412)
    data = {
        "replaced": replaced,
        "etag": tag_of(one.content()),
        "kept_as": kept_as,
        "differences": [_told(row) for row in differs[:FIRST_DIFFERENCES]],
        "differences_in_all": len(differs),
    }
    return done(data, headers={"etag": tag_of(one.content())})


def _told(one: Difference) -> dict[str, str]:
    return {"table": one.table, "row": one.row, "how": one.how, "what": one.what}


@router.get(
    "/api/works/versions/{name}", response_class=Response, responses=BYTES, summary="A version kept"
)
def version(desk: OpenDesk, person: Seeing, name: str) -> Response:
    """A file as it was before it was replaced; put it in place again to take the change back."""
    return tried(lambda: Response(version_file(desk, name), media_type="application/octet-stream"))
