"""Who asks, and whether that person may: asked of every page and every REST call."""

from collections.abc import Callable
from typing import Annotated

from fastapi import Depends
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.types import Scope

from pacewright.office.access import Person
from pacewright.office.desk import Desk
from pacewright.office.rights import Right

COOKIE = "pacewright"


def desk_of(request: Request) -> Desk:
    """The works that is open."""
    desk: Desk = request.app.state.desk
    return desk


def person_here(request: Request) -> Person | None:
    """Who asks, by session or by token; None: nobody known."""
    if not hasattr(request.state, "person"):
        request.state.person = _person(request)
    person: Person | None = request.state.person
    return person


def somebody_here(scope: Scope) -> bool:
    """Whether somebody known asks; for what stands before the pages."""
    return person_here(Request(scope)) is not None


def _person(request: Request) -> Person | None:
    access = desk_of(request).access
    said = request.headers.get("authorization", "")
    if said.lower().startswith("bearer ") and request.url.path.startswith("/api/"):
        return access.person_of_token(said[7:].strip())
    return access.person(request.cookies.get(COOKIE, ""))


def having(right: Right) -> Callable[[Request], Person]:
    """A check that the person may do a sort of action.

    Raises (when asked)
    -------------------
    HTTPException : 401 nobody is signed in; 403 the person may not.
    """

    def check(request: Request) -> Person:
        person = known(request)
        if not person.may(right):
            raise HTTPException(
                403,
                f"{person.shown} ({person.role.value}) may not {right.value}. "
                "Ask somebody who may.",
            )
        return person

    return check


def known(request: Request) -> Person:
    """Somebody who is signed in or sends a token, whatever that person may do.

    Raises
    ------
    HTTPException : 401 nobody is known.
    """
    person = person_here(request)
    if person is None:
        raise HTTPException(401, "Nobody is signed in here. Sign in, or send a token.")
    return person


Known = Annotated[Person, Depends(known)]
"""Somebody; what may be done is asked of the action itself."""
Seeing = Annotated[Person, Depends(having(Right.SEE))]
"""Somebody who may see pages."""
OpenDesk = Annotated[Desk, Depends(desk_of)]
