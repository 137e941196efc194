"""The same cases run on both databases."""

import itertools
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from postgresql_server import Server

_NUMBERS = itertools.count()


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """A PostgreSQL server for this session of tests."""
    one = Server()
    yield one
    one.end()


@pytest.fixture(params=["sqlite", "postgresql"])
def database(request: pytest.FixtureRequest) -> str:
    """Which of the two."""
    return str(request.param)


@pytest.fixture
def new_address(database: str, request: pytest.FixtureRequest, tmp_path: Path) -> Callable[[], str]:
    """Gives the address of a fresh database each time it is called."""
    if database == "sqlite":
        return lambda: str(tmp_path / f"record-{next(_NUMBERS)}.sqlite")
    running: Server = request.getfixturevalue("server")
    return lambda: running.new_schema(f"works_{next(_NUMBERS)}")


@pytest.fixture
def address(new_address: Callable[[], str]) -> str:
    """Address of a fresh database."""
    return new_address()
