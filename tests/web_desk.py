"""A small works opened for pages: a desk, its accounts, and browsers signed in by role."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from unittest.mock import patch

from argon2 import PasswordHasher
from fastapi.testclient import TestClient

from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from pacewright.web.app import create_app

PASSWORD = "three words together"
ORIGIN = {"origin": "http://testserver"}
ROOT = Path(__file__).parents[1]


@contextmanager
def quick_hashing() -> Iterator[None]:
    """Desks opened within hash passwords quickly.

    Slow hashing protects passwords that matter; here it would only make the tests slow.
    """
    quick = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
    with patch("pacewright.office.access.PasswordHasher", return_value=quick):
        yield


def works_copy(folder: Path, name: str = "tramway") -> Path:
    """A copy of an example works that may be changed."""
    return Path(shutil.copytree(ROOT / "examples" / name, folder / "works"))


def open_desk(folder: Path) -> Desk:
    """A desk over a copy of an example, with one account a role, named after it."""
    with quick_hashing():
        desk = Desk(works_copy(folder))
    for role in (Role.ADMINISTRATOR, *(one for one in Role if one is not Role.ADMINISTRATOR)):
        desk.access.open_account(role.value, f"The {role.value}", role, PASSWORD)
    return desk


def browser(desk: Desk, role: Role | None = None) -> TestClient:
    """A browser, signed in with a role's account or not at all."""
    client = TestClient(create_app(desk), headers=ORIGIN, follow_redirects=False)
    if role is not None:
        answer = client.post("/sign-in", data={"name": role.value, "password": PASSWORD})
        assert answer.status_code == 303, answer.text
    return client
