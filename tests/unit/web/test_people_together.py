"""Two who change accounts at once: a closed one stays closed, and there is one first account."""

import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from planner_desk import story_desk
from web_desk import browser


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """The story's works with two accounts."""
    made = story_desk(tmp_path, roles=(Role.ADMINISTRATOR, Role.VIEWER))
    yield made
    made.close()


def held_up(
    monkeypatch: pytest.MonkeyPatch,
    on: Any,
    name: str,
    first: Callable[[], Any],
    second: Callable[[], Any],
) -> None:
    """Do the first, held up after it read what it is going to change, and the second meanwhile."""
    read, go_on = threading.Event(), threading.Event()
    reader = getattr(on, name)

    def slowly(*given: Any) -> Any:
        found = reader(*given)
        if not read.is_set():
            read.set()
            assert go_on.wait(10)
        return found

    monkeypatch.setattr(on, name, slowly)
    one, two = threading.Thread(target=first), threading.Thread(target=second)
    one.start()
    assert read.wait(10)
    two.start()
    two.join(0.5)
    go_on.set()
    one.join(10)
    two.join(10)


def test_what_another_changed_is_not_put_back(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """Closed by one while another gives it a role: it has the role and is closed."""
    clients = [browser(desk, Role.ADMINISTRATOR) for _ in range(2)]
    held_up(
        monkeypatch,
        desk.access.people,
        "all",
        lambda: clients[0].post("/api/people/viewer", json={"role": "shop"}),
        lambda: clients[1].post("/api/people/viewer", json={"open": False}),
    )
    account = desk.access.people.account("viewer")
    assert account is not None
    assert (account.role, account.open) == ("shop", False)


def test_the_first_account_is_made_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two browsers at a fresh server: one makes the administrator, the other is told so."""
    desk = story_desk(tmp_path, roles=())
    answers: list[int] = []

    def make(name: str) -> None:
        form = {"name": name, "shown": name, "password": "three words together"}
        answers.append(browser(desk).post("/first", data=form).status_code)

    held_up(monkeypatch, desk.access.people, "all", lambda: make("chief"), lambda: make("stranger"))
    assert sorted(answers) == [303, 409]
    assert [one.name for one in desk.access.people.all()] == ["chief"]
    desk.close()
