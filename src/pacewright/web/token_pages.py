"""Tokens: keys for programs that act in a person's name with some of the person's rights."""

from typing import Annotated

from fastapi import APIRouter, Form
from starlette.requests import Request
from starlette.responses import Response

from pacewright.office.access import Person
from pacewright.office.errors import CallError
from pacewright.office.rights import Right
from pacewright.web.frame import Said, page
from pacewright.web.who import OpenDesk, Seeing, desk_of

router = APIRouter(include_in_schema=False)
Words = Annotated[str, Form(max_length=400)]
MOST_DAYS = 400
"""A token that nobody renews within a year or so is forgotten and lies about."""


@router.get("/tokens")
def tokens(request: Request, person: Seeing) -> Response:
    """The tokens of the person; an administrator sees everybody's."""
    return _tokens(request, person)


@router.post("/tokens")
def make(
    request: Request,
    desk: OpenDesk,
    person: Seeing,
    note: Words = "",
    days: Words = "",
    right: Annotated[list[str] | None, Form()] = None,
) -> Response:
    """Make a token; its key is shown once, on this page."""
    faults = []
    if not note.strip():
        faults.append("what it is for: nothing found. A token says which program has it. Name it.")
    if not days.isascii() or not days.isdigit() or not 1 <= int(days[:9]) <= MOST_DAYS:
        faults.append(f"days: {days[:20]!r} found. A whole number from 1 to {MOST_DAYS}. Mend it.")
    known = {one.name: one for one in Right}
    unknown = sorted(set(right or ()) - known.keys())
    if unknown:
        faults.append(f"right: {', '.join(unknown)[:80]!r} found. Choose from the list.")
    if faults:
        return _tokens(request, person, Said("faulty", tuple(faults)), status=422)
    rights = frozenset(known[one] for one in right or ())
    try:
        key = desk.access.new_token(person, note.strip(), rights, int(days))
    except CallError as error:
        return _tokens(request, person, Said("faulty", (str(error),)), status=409)
    return _tokens(request, person, key=key)


@router.post("/tokens/end")
def end(request: Request, desk: OpenDesk, person: Seeing, mark: Words = "") -> Response:
    """End a token; who keeps the accounts may end anybody's."""
    try:
        note = desk.access.end_token(person, mark)
    except CallError as error:
        return _tokens(request, person, Said("faulty", (str(error),)), status=404)
    return _tokens(request, person, Said("said", (f"The token for {note} is ended.",)))


def _tokens(
    request: Request, person: Person, said: Said | None = None, key: str = "", status: int = 200
) -> Response:
    values = {
        "title": "Tokens",
        "here": "tokens",
        "tokens": desk_of(request).access.tokens_of(person),
        "rights": [one for one in Right if person.may(one)],
        "meaning": {one.name: one.value for one in Right},
        "most_days": MOST_DAYS,
        "key": key,
        "said": said,
    }
    return page(request, "tokens.html.j2", person, values, status)
