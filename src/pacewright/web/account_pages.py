"""Signing in and out, the first account, and the page of people and access."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Annotated

from fastapi import APIRouter, Depends, Form
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from pacewright.office.access import NoEntryError, Person
from pacewright.office.errors import CallError
from pacewright.office.rights import Right, Role
from pacewright.web.frame import Said, page
from pacewright.web.who import COOKIE, OpenDesk, desk_of, having, person_here

router = APIRouter(include_in_schema=False)
Words = Annotated[str, Form(max_length=1200)]
Keeper = Annotated[Person, Depends(having(Right.PEOPLE))]


@router.get("/sign-in")
def ask_who(request: Request, desk: OpenDesk, then: str = "/") -> Response:
    """The page that asks who is there; on the first start, for the first account."""
    if not desk.access.people.all():
        return page(request, "first.html.j2", None, _first())
    return page(request, "sign_in.html.j2", None, _asking(then))


@router.post("/sign-in")
def sign_in(
    request: Request,
    desk: OpenDesk,
    name: Words = "",
    password: Words = "",
    badge: Words = "",
    secret: Words = "",
    then: Words = "/",
) -> Response:
    """Sign in by name and password, or by badge and secret."""
    address = request.client.host if request.client else ""
    try:
        if badge:
            key = desk.access.sign_in_by_badge(badge, secret, address)
        else:
            key = desk.access.sign_in(name.strip().lower(), password, address)
    except NoEntryError as error:
        values = _asking(then) | {"faults": [str(error)], "typed_name": name}
        return page(request, "sign_in.html.j2", None, values, 401)
    return _entered(request, key, then)


@router.post("/first")
def first_account(
    request: Request, desk: OpenDesk, name: Words, shown: Words, password: Words
) -> Response:
    """Make the administrator's account, once, while there is none."""
    try:
        with desk.access.turn:
            if desk.access.people.all():
                raise HTTPException(
                    409, "There are accounts already. Sign in, or ask an administrator."
                )
            desk.access.open_account(name, shown, Role.ADMINISTRATOR, password)
    except CallError as error:
        values = _first({"name": name, "shown": shown}, str(error).split("\n"))
        return page(request, "first.html.j2", None, values, 409)
    address = request.client.host if request.client else ""
    return _entered(request, desk.access.sign_in(name, password, address), "/people")


@router.post("/sign-out")
def sign_out(request: Request, desk: OpenDesk) -> Response:
    """End the session."""
    desk.access.sign_out(request.cookies.get(COOKIE, ""))
    answer = RedirectResponse("/sign-in", 303)
    answer.delete_cookie(COOKIE)
    return answer


@router.get("/people")
def people(request: Request, person: Keeper) -> Response:
    """Who has an account, with which role; what was done about access."""
    return _people(request, None)


@router.post("/people")
def open_account(
    request: Request,
    desk: OpenDesk,
    person: Keeper,
    name: Words,
    shown: Words,
    role: Words,
    password: Words,
) -> Response:
    """Open an account."""
    try:
        desk.access.open_account(name, shown, _role(role), password, person.name)
    except CallError as error:
        typed = {"name": name, "shown": shown, "role": role}
        return _people(request, Said("faulty", tuple(str(error).split("\n"))), typed)
    return _people(request, Said("said", (f"Account {name} is open.",)))


@router.post("/people/{name}")
def change_account(
    request: Request,
    desk: OpenDesk,
    person: Keeper,
    name: str,
    role: Words = "",
    closed: Words = "",
    password: Words = "",
    badge: Words = "",
    secret: Words = "",
) -> Response:
    """Change the role, close or open again, set a new password, give a badge."""
    try:
        with desk.access.turn:
            account = desk.access.people.account(name)
            if account is None:
                raise HTTPException(404, f"account {name}: there is none. Check the name.")
            if badge:
                desk.access.give_badge(account, person.name, badge, secret)
            else:
                now = _role(role or account.role).value
                changed = replace(account, role=now, open=closed != "yes")
                what = "changed role, state or password"
                desk.access.change(changed, person.name, what, password)
    except CallError as error:
        return _people(request, Said("faulty", tuple(str(error).split("\n"))))
    return _people(request, Said("said", (f"Account {name} is changed.",)))


def _asking(then: str) -> dict[str, object]:
    # Only a path of this server: anything else would lead a person who signs in elsewhere.
    local = then.startswith("/") and not then.startswith(("//", "/\\"))
    return {"title": "Sign in", "faults": [], "then": then if local else "/", "typed_name": ""}


def _first(typed: dict[str, str] | None = None, faults: Sequence[str] = ()) -> dict[str, object]:
    # What was typed comes back, but never a password.
    return {
        "title": "First start",
        "faults": faults,
        "typed": {"name": "", "shown": ""} | (typed or {}),
    }


def _entered(request: Request, key: str, then: str) -> Response:
    answer = RedirectResponse(str(_asking(then)["then"]), 303)
    secure = request.url.scheme == "https"
    answer.set_cookie(COOKIE, key, httponly=True, samesite="strict", secure=secure, path="/")
    return answer


def _role(said: str) -> Role:
    try:
        return Role(said)
    except ValueError:
        raise CallError(
            f"role: {said[:60]!r} found. It is one of {', '.join(Role)}. Choose one."
        ) from None


def _people(
    request: Request, said: Said | None, typed: Mapping[str, str] = MappingProxyType({})
) -> Response:
    desk = desk_of(request)
    values = {
        "title": "People and access",
        "here": "people",
        "accounts": desk.access.people.all(),
        "logged": desk.access.people.logged(),
        "roles": list(Role),
        "said": said,
        "typed": {"name": "", "shown": "", "role": "", **typed},
    }
    return page(
        request,
        "people.html.j2",
        person_here(request),
        values,
        409 if said is not None and said.look == "faulty" else 200,
    )
