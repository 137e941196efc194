"""Accounts over REST: who has one, opened, closed, given another role.

Passwords and badges of accounts that exist are set on the page alone: what a program knows, it
could sign in with in another's name, and the record would name that person.
"""

from dataclasses import replace
from typing import Annotated, Any

from fastapi import APIRouter, Depends
from pydantic import BaseModel, ConfigDict, Field
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from pacewright.office.access import Person
from pacewright.office.rights import Right, Role
from pacewright.web.api.answered import done, tried
from pacewright.web.api.once import Key, once
from pacewright.web.who import OpenDesk, having

router = APIRouter(tags=["people"])
Keeper = Annotated[Person, Depends(having(Right.PEOPLE))]


class AccountIn(BaseModel):
    """An account to be opened."""

    model_config = ConfigDict(extra="forbid")

    name: Annotated[str, Field(max_length=40, description="by which the person signs in")]
    shown: Annotated[str, Field(max_length=120, description="as others read it")] = ""
    role: Role
    password: Annotated[str, Field(max_length=1000, description="the first one")]


class ChangeIn(BaseModel):
    """What is to be another of an account; what is left out stays."""

    model_config = ConfigDict(extra="forbid")

    role: Role | None = None
    open: Annotated[bool | None, Field(description="false: may not sign in; tokens end")] = None


class AccountOut(BaseModel):
    """One account."""

    name: str
    shown: str
    role: Role
    open: bool
    badge: Annotated[bool, Field(description="whether it has one")]


class AccountsData(BaseModel):
    """Every account."""

    accounts: list[AccountOut]


class AccountsOut(BaseModel):
    """Who has an account."""

    status: str = "done"
    data: AccountsData


def _told(one: Any) -> dict[str, Any]:
    # An account as the office gives it; its class is the record's own.
    return {
        "name": one.name,
        "shown": one.shown,
        "role": one.role,
        "open": one.open,
        "badge": bool(one.badge_hash),
    }


def _all(desk: OpenDesk) -> Response:
    return done({"accounts": [_told(one) for one in desk.access.people.all()]})


@router.get("/api/people", response_model=AccountsOut, summary="Accounts")
def people(desk: OpenDesk, person: Keeper) -> Response:
    """Who has an account, with which role."""
    return _all(desk)


@router.post("/api/people", response_model=AccountsOut, summary="Open an account")
def open_account(
    request: Request, desk: OpenDesk, person: Keeper, sent: AccountIn, key: Key = ""
) -> Response:
    """Open an account with its first password; the answer lists all."""

    def act() -> Response:
        desk.access.open_account(sent.name, sent.shown, sent.role, sent.password, person.name)
        return _all(desk)

    return once(request, person, key, sent.model_dump_json(), lambda: tried(act))


@router.post("/api/people/{name}", response_model=AccountsOut, summary="Change an account")
def change_account(
    request: Request, desk: OpenDesk, person: Keeper, name: str, sent: ChangeIn, key: Key = ""
) -> Response:
    """Give another role, close or open again; the person's sessions end."""

    def act() -> Response:
        with desk.access.turn:
            account = desk.access.people.account(name)
            if account is None:
                raise HTTPException(404, f"account {name[:40]}: there is none. Check the name.")
            changed = replace(
                account,
                role=(sent.role or Role(account.role)).value,
                open=account.open if sent.open is None else sent.open,
            )
            desk.access.change(changed, person.name, "changed role or state")
        return _all(desk)

    return once(request, person, key, sent.model_dump_json(), lambda: tried(act))
