"""Two who put files of the works in place at once: nobody's change is lost unseen."""

import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from pacewright.office import desk_learning, replacing
from pacewright.office.access import Person
from pacewright.office.desk import Desk
from pacewright.office.replacing import replace_file
from pacewright.office.rights import RIGHTS, Role
from pacewright.office.works_files import file_of, versions
from pacewright.web.api import files
from planner_desk import story_desk
from small_works import SETTINGS
from web_booking import hidden
from web_desk import browser

OURS = SETTINGS.replace("[plan]", "# Ours.\n[plan]").encode()
THEIRS = SETTINGS.replace("[plan]", "# Theirs.\n[plan]").encode()
OTHER = Person("other", "Another", Role.ENGINEER, RIGHTS[Role.ENGINEER])


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """The story's works."""
    made = story_desk(tmp_path, roles=(Role.ADMINISTRATOR, Role.ENGINEER))
    yield made
    made.close()


def theirs(desk: Desk) -> None:
    """Another engineer puts other settings in place."""
    replace_file(desk, OTHER, file_of(desk, "settings"), THEIRS, "theirs")


def test_a_tag_holds_until_the_file_is_put(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """Replaced by another after the tag was held against it and before it was put: 412."""
    judged = files.what_differs

    def meanwhile(*given: Any) -> Any:
        theirs(desk)
        return judged(*given)

    monkeypatch.setattr(files, "what_differs", meanwhile)
    client, address = browser(desk, Role.ENGINEER), "/api/works/files/works.toml"
    tag = client.get(address).headers["etag"]
    sent = client.put(address, content=OURS, params={"reason": "ours"}, headers={"if-match": tag})
    assert sent.status_code == 412
    assert "Somebody replaced it" in sent.json()["faults"][0]
    assert (desk.path / "works.toml").read_bytes() == THEIRS
    # Whoever says that it does not matter replaces whatever is there.
    monkeypatch.undo()
    sent = client.put(address, content=OURS, params={"reason": "ours"}, headers={"if-match": "*"})
    assert sent.status_code == 200
    assert (desk.path / "works.toml").read_bytes() == OURS


def test_what_was_agreed_to_is_what_was_shown(desk: Desk) -> None:
    """Looked at beside one file, agreed to when another lies there: refused, and said why."""
    client = browser(desk, Role.ENGINEER)
    looked = client.post(
        "/works/replace/settings",
        data={"reason": "ours", "look": "yes"},
        files={"file": ("works.toml", OURS)},
    )
    theirs(desk)
    sent = {"waiting": hidden(looked.text, "waiting"), "reason": "ours"}
    answer = client.post("/works/replace/settings", data=sent)
    assert answer.status_code == 409
    assert "Somebody replaced it" in answer.text
    assert (desk.path / "works.toml").read_bytes() == THEIRS
    assert [one.reason for one in versions(desk)] == ["theirs"]


def test_a_reason_is_kept_without_signs_that_no_database_takes(desk: Desk) -> None:
    """PostgreSQL refuses a NUL in a text, when the file would be in place already."""
    made = replace_file(desk, OTHER, file_of(desk, "settings"), THEIRS, "more\0 work\x1b[2J\nnow")
    assert made.reason == "more work [2J now"
    assert versions(desk) == (made,)


@pytest.mark.parametrize("second", ["replace", "learn"])
def test_one_at_a_time_puts_files_in_place(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, second: str
) -> None:
    """Other tables taken up meanwhile, or figures learned: the second waits for the first."""
    begun, go_on, waited = threading.Event(), threading.Event(), threading.Event()
    judged = replacing.tried_with

    def slowly(*given: Any) -> Any:
        begun.set()
        assert go_on.wait(10)
        return judged(*given)

    def learned(_: Desk) -> Any:
        waited.set()
        return {}

    def then() -> None:
        if second == "learn":
            desk_learning.decide_at_desk(desk, OTHER, {}, {}, "")
        else:
            monkeypatch.setattr(replacing, "refuse_wrong", lambda *_: waited.set())
            replace_file(desk, OTHER, file_of(desk, "settings"), OURS, "ours")

    monkeypatch.setattr(replacing, "tried_with", slowly)
    monkeypatch.setattr(desk_learning, "_asked", learned)
    first = threading.Thread(target=theirs, args=(desk,))
    first.start()
    assert begun.wait(10)
    desk.take(desk.tables)
    other = threading.Thread(target=_quietly, args=(then,))
    other.start()
    try:
        assert not waited.wait(0.3)
    finally:
        go_on.set()
    first.join(10)
    other.join(10)
    assert waited.is_set()


def _quietly(act: Any) -> None:
    # What the second is refused for does not matter here, only when it began.
    try:
        act()
    except Exception:
        return
