"""Styles, scripts and signs; each under an address that changes with its content."""

from functools import cache
from hashlib import sha256
from importlib.resources import files

from fastapi import APIRouter
from starlette.exceptions import HTTPException
from starlette.responses import Response

from pacewright.reports.shell import asset

router = APIRouter(include_in_schema=False)

SORTS = {
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "svg": "image/svg+xml",
}
OF_REPORTS = ("report.css", "forecast.css", "report.js")
OWN = {
    "htmx.js": "htmx-2.0.4.min.js",
    "web.css": "web.css",
    "flow.css": "flow.css",
    "web.js": "web.js",
    "photo.js": "photo.js",
    "mark.svg": "mark.svg",
}


@cache
def content_of(name: str) -> str:
    """The text of a file.

    Raises
    ------
    KeyError : there is none of that name.
    """
    if name in OF_REPORTS:
        return asset(name)
    return (files("pacewright.web") / "static" / OWN[name]).read_text(encoding="utf-8")


@cache
def mark_of(name: str) -> str:
    """The first signs of the hash of its content."""
    return sha256(content_of(name).encode()).hexdigest()[:12]


def address_of(name: str) -> str:
    """The address by which pages name a file; it may be kept for ever."""
    return f"/static/{name}?{mark_of(name)}"


@router.get("/static/{name}")
def static_file(name: str) -> Response:
    """One file; only names of the list lead anywhere."""
    if name not in OF_REPORTS and name not in OWN:
        raise HTTPException(404, "There is no such file.")
    return Response(
        content_of(name),
        media_type=SORTS[name.rsplit(".", 1)[-1]],
        headers={"cache-control": "public, max-age=31536000, immutable"},
    )
