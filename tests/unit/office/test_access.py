"""Signing in, sessions, badges and tokens."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from pacewright.ledger.people.store import People
from pacewright.office.access import (
    BADGE_IDLE_MINUTES,
    IDLE_MINUTES,
    SESSION_HOURS,
    TRIES,
    TRY_MINUTES,
    Access,
    NoEntryError,
    hash_of,
)
from pacewright.office.errors import CallError
from pacewright.office.rights import Right, Role

PASSWORD = "three words together"


class Clock:
    """A clock that stands until it is moved."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 2, 6, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    """A clock that stands until it is moved."""
    return Clock()


@pytest.fixture
def access(tmp_path: Path, clock: Clock) -> Iterator[Access]:
    """Accounts of a chief (administrator) and a planner."""
    people = People(tmp_path / "people.sqlite")
    made = Access(people, clock)
    made.open_account("chief", "The chief", Role.ADMINISTRATOR, PASSWORD)
    made.open_account("plan-1", "Planner one", Role.PLANNER, PASSWORD, "chief")
    yield made
    people.close()


def test_sign_in_gives_a_key_that_says_who_asks(access: Access) -> None:
    """The key leads to the person with the rights of the role; the database holds only its hash."""
    key = access.sign_in("plan-1", PASSWORD, "10.0.0.9")
    person = access.person(key)
    assert person is not None
    assert (person.name, person.role) == ("plan-1", Role.PLANNER)
    assert person.may(Right.PROMISE)
    assert not person.may(Right.INSPECT)
    assert access.people.session(key) is None
    assert access.people.session(hash_of(key)) is not None


def test_signed_out_key_opens_nothing(access: Access) -> None:
    """A cookie kept from before signing off is worth nothing."""
    key = access.sign_in("plan-1", PASSWORD, "")
    access.sign_out(key)
    assert access.person(key) is None


@pytest.mark.parametrize(("name", "password"), [("plan-1", "wrong words here"), ("nobody", "x")])
def test_wrong_half_is_not_told(access: Access, name: str, password: str) -> None:
    """An unknown name and a wrong password get the same answer."""
    with pytest.raises(NoEntryError, match="That did not fit"):
        access.sign_in(name, password, "")


def test_too_many_tries_shut_the_door_a_while(access: Access, clock: Clock) -> None:
    """After some wrong tries even the right password waits, then it opens again."""
    for _ in range(TRIES):
        with pytest.raises(NoEntryError, match="did not fit"):
            access.sign_in("plan-1", "wrong", "10.0.0.9")
    with pytest.raises(NoEntryError, match="Too many"):
        access.sign_in("plan-1", PASSWORD, "10.0.0.8")
    clock.now += timedelta(minutes=TRY_MINUTES, seconds=1)
    assert access.sign_in("plan-1", PASSWORD, "10.0.0.8")


def test_many_names_from_one_address_shut_it_too(access: Access) -> None:
    """Trying a common password on every name is stopped at the address."""
    for number in range(4 * TRIES):
        with pytest.raises(NoEntryError, match="did not fit"):
            access.sign_in(f"name-{number}", "common password", "10.0.0.9")
    with pytest.raises(NoEntryError, match="Too many"):
        access.sign_in("plan-1", PASSWORD, "10.0.0.9")
    assert access.sign_in("plan-1", PASSWORD, "10.0.0.8")


@pytest.mark.parametrize(
    ("by_badge", "minutes"), [(False, IDLE_MINUTES), (True, BADGE_IDLE_MINUTES)]
)
def test_idle_session_is_over(access: Access, clock: Clock, by_badge: bool, minutes: int) -> None:
    """A desk may rest longer than a tablet on the floor; use keeps both alive."""
    account = access.people.account("plan-1")
    assert account is not None
    access.give_badge(account, "chief", "badge-0001", "4711")
    if by_badge:
        key = access.sign_in_by_badge("badge-0001", "4711", "")
    else:
        key = access.sign_in("plan-1", PASSWORD, "")
    clock.now += timedelta(minutes=minutes - 1)
    assert access.person(key) is not None
    clock.now += timedelta(minutes=minutes - 1)
    assert access.person(key) is not None
    clock.now += timedelta(minutes=minutes)
    assert access.person(key) is None


def test_a_page_left_open_keeps_no_session_alive(access: Access, clock: Clock) -> None:
    """Live news asks whether the session lasts, without making it last."""
    key = access.sign_in("plan-1", PASSWORD, "")
    for _ in range(IDLE_MINUTES - 1):
        clock.now += timedelta(minutes=1)
        assert access.person(key, at_work=False) is not None
    clock.now += timedelta(minutes=1)
    assert access.person(key, at_work=False) is None


def test_session_ends_with_the_shift(access: Access, clock: Clock) -> None:
    """However busy, a session is over after its hours."""
    key = access.sign_in("plan-1", PASSWORD, "")
    for _ in range(SESSION_HOURS * 2 - 1):
        clock.now += timedelta(minutes=30)
        assert access.person(key) is not None
    clock.now += timedelta(minutes=30)
    assert access.person(key) is None


def test_closed_account_is_out_at_once(access: Access) -> None:
    """Closing ends every session, and signing in again is refused."""
    key = access.sign_in("plan-1", PASSWORD, "")
    account = access.people.account("plan-1")
    assert account is not None
    access.change(replace(account, open=False), "chief", "closed it")
    assert access.person(key) is None
    with pytest.raises(NoEntryError):
        access.sign_in("plan-1", PASSWORD, "")


def test_last_administrator_stays(access: Access) -> None:
    """Nobody can lock the whole works out of its accounts."""
    chief = access.people.account("chief")
    assert chief is not None
    with pytest.raises(CallError, match="last open administrator"):
        access.change(replace(chief, role=Role.VIEWER.value), "chief", "changed")


@pytest.mark.parametrize(
    ("name", "password", "what"),
    [
        ("Upper", PASSWORD, "name"),
        ("a", PASSWORD, "name"),
        ("a b", PASSWORD, "name"),
        ("plan-1", PASSWORD, "taken"),
        ("new", "short", "At least"),
        ("somebody-long", "somebody-long", "little more than the name"),
    ],
)
def test_wrong_accounts_are_refused(access: Access, name: str, password: str, what: str) -> None:
    """Each rule of a name and a password says what it wants."""
    with pytest.raises(CallError, match=what):
        access.open_account(name, "Somebody", Role.SHOP, password)


def test_badge_has_one_owner(access: Access) -> None:
    """A badge given to one is refused to another."""
    for name in ("chief", "plan-1"):
        account = access.people.account(name)
        assert account is not None
        if name == "chief":
            access.give_badge(account, "chief", "badge-0001", "4711")
        else:
            with pytest.raises(CallError, match="another person"):
                access.give_badge(account, "chief", "badge-0001", "4712")


def test_token_has_part_of_its_persons_rights(access: Access, clock: Clock) -> None:
    """A token does what it was given for, until its day, and never more than its person."""
    person = access.person(access.sign_in("plan-1", PASSWORD, ""))
    assert person is not None
    key = access.new_token(person, "wall board", frozenset({Right.SEE}), 30)
    asker = access.person_of_token(key)
    assert asker is not None
    assert asker.rights == {Right.SEE}
    with pytest.raises(CallError, match="rights of its person"):
        access.new_token(person, "too much", frozenset({Right.INSPECT}), 30)
    clock.now += timedelta(days=30)
    assert access.person_of_token(key) is None


def test_lost_role_is_lost_to_the_token(access: Access) -> None:
    """A token cannot keep a right that its person has no more."""
    person = access.person(access.sign_in("plan-1", PASSWORD, ""))
    account = access.people.account("plan-1")
    assert person is not None
    assert account is not None
    key = access.new_token(person, "robot", frozenset({Right.SEE, Right.PROMISE}), 30)
    access.change(replace(account, role=Role.VIEWER.value), "chief", "changed the role")
    asker = access.person_of_token(key)
    assert asker is not None
    assert asker.rights == {Right.SEE}


def test_what_is_done_about_access_is_written_down(access: Access) -> None:
    """Opening accounts and signing in leave a line with who and when."""
    access.sign_in("plan-1", PASSWORD, "10.0.0.9")
    logged = [(one.name, one.what) for one in access.people.logged()]
    assert ("chief", "opened account plan-1 as planner") in logged
    assert logged[0] == ("plan-1", "signed in")
