"""Photos sent and shown: taken by their bytes, given out so that a browser can only look."""

from typing import Annotated

from fastapi import APIRouter, Depends
from fastapi import Path as InPath
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from pacewright.base.faults import CallError
from pacewright.office.access import Person
from pacewright.office.errors import NotFoundError
from pacewright.office.photos import PHOTO_BYTES, keep_photo, photo
from pacewright.office.rights import Right
from pacewright.web.api.shapes import PhotoOut
from pacewright.web.booking_pages import told
from pacewright.web.guard.headers import ALWAYS
from pacewright.web.who import OpenDesk, Seeing, having

router = APIRouter(tags=["photos"])
TAKERS = ("/api/photos", "/inspection", "/book/found", "/book/unit_found")
"""Paths at which photos are taken."""

Inspector = Annotated[Person, Depends(having(Right.INSPECT))]
Digest = Annotated[str, InPath(pattern="^[0-9a-f]{64}$", description="SHA-256 of the photo")]

_LOOK_ONLY = {
    "content-security-policy": "default-src 'none'; sandbox; frame-ancestors 'none'",
    "x-content-type-options": ALWAYS["x-content-type-options"],
    "cross-origin-resource-policy": ALWAYS["cross-origin-resource-policy"],
    # The same bytes for ever, yet each look is asked for anew, by whoever is signed in then.
    "cache-control": "private, no-cache",
}
_ENDS = {"image/jpeg": "jpg", "image/png": "png"}
_SORTS = {sort: {"schema": {"type": "string", "format": "binary"}} for sort in _ENDS}


async def came_in(request: Request) -> bytes:
    """The body, given up as soon as it is too large for a photo."""
    came = bytearray()
    async for part in request.stream():
        came += part
        if len(came) > PHOTO_BYTES:
            raise HTTPException(
                413,
                f"photo: more than {PHOTO_BYTES:,} bytes. Let the camera take a smaller one.",
            )
    return bytes(came)


@router.post(
    "/api/photos",
    response_model=PhotoOut,
    openapi_extra={"requestBody": {"required": True, "content": _SORTS}},
    responses={503: {"description": "the record cannot be written now; send it again"}},
    summary="Keep a photo",
)
def keep(desk: OpenDesk, person: Inspector, came: Annotated[bytes, Depends(came_in)]) -> Response:
    """Keep a photo, JPEG or PNG, for a finding to name; the body is the file itself.

    Kept is the picture alone: place, time and maker are left out on the way in, so the digest is
    not that of the file sent. The same photo sent twice is kept once.
    """
    try:
        digest = keep_photo(desk, came)
    except CallError as error:
        status, faults = told(error)
        return JSONResponse({"status": "refused", "faults": faults}, status)
    content, sort = photo(desk, digest)
    data = {"photo": digest, "address": f"/api/photos/{digest}", "media_type": sort,
            "bytes": len(content)}  # fmt: skip
    return JSONResponse({"status": "done", "data": data})


@router.get("/photos/{digest}", include_in_schema=False)
@router.get(
    "/api/photos/{digest}",
    response_class=Response,
    responses={
        200: {"content": _SORTS, "description": "the photo"},
        304: {"description": "it is the one the asker has"},
    },
    summary="A photo",
)
def show(request: Request, desk: OpenDesk, person: Seeing, digest: Digest) -> Response:
    """A photo by the digest that an event names."""
    headers = _LOOK_ONLY | {"etag": f'"{digest}"'}
    try:
        content, sort = photo(desk, digest)
    except NotFoundError as error:
        raise HTTPException(404, str(error)) from None
    if headers["etag"] in request.headers.get("if-none-match", ""):
        return Response(status_code=304, headers=headers)
    headers["content-disposition"] = f'inline; filename="photo-{digest[:12]}.{_ENDS[sort]}"'
    return Response(content, media_type=sort, headers=headers)
