"""The small works with its told record, opened for the planner's pages."""

from collections.abc import Sequence
from pathlib import Path

from argon2 import PasswordHasher

from control_case import Case, days
from pacewright.ledger.entry import Outcome
from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from paper_ground import MONDAY, told
from record_entries import entries
from small_works import Tables, write_small
from web_desk import PASSWORD

NOW = MONDAY + days(1.2)
"""An hour after the last event of the story; a Tuesday at 11:48."""


def story_desk(folder: Path, case: Case | None = None, roles: Sequence[Role] = tuple(Role)) -> Desk:
    """A desk over the small works whose record tells the story, with one account a role."""
    desk = empty_desk(folder, roles)
    answers = desk.book(entries((case or told()).told))
    refused = [
        reason for one in answers if one.outcome is Outcome.REFUSED for reason in one.reasons
    ]
    assert not refused, refused
    return desk


def empty_desk(folder: Path, roles: Sequence[Role] = tuple(Role)) -> Desk:
    """A desk over the small works whose record is empty."""
    return keep_quick(Desk(write_small(folder / "works", _keep_all), clock=lambda: NOW), roles)


def keep_quick(desk: Desk, roles: Sequence[Role] = tuple(Role)) -> Desk:
    """The desk with an account a role, whose passwords are hashed quickly."""
    # Slow hashing protects passwords that matter; here it would only make the tests slow.
    desk.access._hasher = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
    for role in roles:
        desk.access.open_account(role.value, f"The {role.value}", role, PASSWORD)
    return desk


def _keep_all(tables: Tables) -> None:
    """The small works as it is."""
