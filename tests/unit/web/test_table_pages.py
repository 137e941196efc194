"""Tables of the works on pages: replaced only when the whole works is sound, every version kept."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from pacewright.office.desk import Desk
from pacewright.office.replacing import MOST_BYTES
from pacewright.office.rights import Role
from pacewright.office.works_files import versions
from planner_desk import story_desk
from web_desk import browser

ROLES = (Role.ADMINISTRATOR, Role.ENGINEER, Role.PLANNER, Role.VIEWER)


@pytest.fixture
def own(tmp_path: Path) -> Iterator[Desk]:
    """The story's works, for one test alone."""
    made = story_desk(tmp_path, roles=ROLES)
    yield made
    made.close()


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The story's works, for tests that change nothing."""
    made = story_desk(tmp_path_factory.mktemp("tables"), roles=ROLES)
    yield made
    made.close()


def text_of(desk: Desk, table: str) -> str:
    """The file of a table."""
    return (desk.path / f"{table}.csv").read_text()


def send(client: TestClient, table: str, content: str | bytes, **more: str) -> Any:
    """Send a file in the place of a table."""
    data = {"reason": "second lift bought"} | more
    raw = content.encode() if isinstance(content, str) else content
    name = data.pop("name", f"{table}.csv")
    return client.post(
        f"/works/replace/{table}", data=data, files={"file": (name, raw, "text/csv")}
    )


def test_a_sound_table_is_replaced_and_the_old_one_kept(own: Desk) -> None:
    """The new one is in use at once; the old one can be fetched; who and why are told."""
    desk = own
    old = text_of(desk, "trades")
    new = old + "crane,Crane driver\n"
    client = browser(desk, Role.ENGINEER)
    answer = send(client, "trades", new)
    assert answer.status_code == 303
    assert text_of(desk, "trades") == new
    assert "crane" in [one.trade_id for one in desk.works.trades]
    (kept,) = versions(desk)
    assert (kept.by, kept.reason, kept.table) == ("engineer", "second lift bought", "trades")
    assert client.get(f"/works/versions/{kept.kept_as}").text == old
    assert kept.kept_as in client.get("/works/trades").text
    told = f"The file there was is kept as {kept.kept_as}"
    assert told in client.get(answer.headers["location"]).text
    # An address claims nothing: of another table, or of a moment with no replacement, none is told.
    stages = answer.headers["location"].replace("trades", "stages")
    for other in (stages, "/works/trades?replaced=2030-01-01T00:00:00"):
        assert "Replaced, and in use" not in client.get(other).text
    assert any("replaced table trades" in one.what for one in desk.access.people.logged())


def test_an_earlier_version_is_put_back(own: Desk) -> None:
    """Putting back replaces anew: the table is as it was, and both versions are kept."""
    desk = own
    old = text_of(desk, "trades")
    client = browser(desk, Role.ENGINEER)
    send(client, "trades", old + "crane,Crane driver\n")
    (kept,) = versions(desk)
    answer = client.post(
        "/works/replace/trades", data={"version": kept.kept_as, "reason": "not bought after all"}
    )
    assert answer.status_code == 303
    assert text_of(desk, "trades") == old
    assert len(versions(desk)) == 2


@pytest.mark.parametrize(
    ("table", "old", "new", "said"),
    [
        ("stages", "strip,Strip and part,strip", "strip,Strip and part,nowhere", "nowhere"),
        ("vehicles", "101,solo,north", "101,other,north", "other"),
        ("people", "4,8,0.9,1", "four,8,0.9,1", "four"),
        ("trades", "trade_id,name", "trade,name", "trade"),
    ],
)
def test_a_faulty_works_replaces_nothing(
    desk: Desk, table: str, old: str, new: str, said: str
) -> None:
    """A fault in the table, or with another, is told with file and row; nothing changes."""
    before = text_of(desk, table)
    assert old in before
    answer = send(browser(desk, Role.ENGINEER), table, before.replace(old, new, 1))
    assert answer.status_code == 422
    assert "Not replaced" in answer.text
    assert f"{table}.csv row" in answer.text
    assert said in answer.text
    assert text_of(desk, table) == before
    assert versions(desk) == ()


def test_what_the_record_needs_is_not_taken_away(own: Desk) -> None:
    """A kind of which the record has units cannot go, though the tables were sound without it."""
    for table in ("fits", "operations", "floats", "plant_loads"):
        head, *rows = text_of(own, table).split("\n")
        kept = [one for one in rows if "motor" not in one.split(",")]
        (own.path / f"{table}.csv").write_text("\n".join([head, *kept]))
    old = text_of(own, "unit_kinds")
    new = "\n".join(one for one in old.split("\n") if not one.startswith("motor,"))
    answer = send(browser(own, Role.ENGINEER), "unit_kinds", new)
    assert answer.status_code == 422
    assert "of which the record has units" in answer.text
    assert text_of(own, "unit_kinds") == old


def test_only_the_engineer_replaces(desk: Desk) -> None:
    """Planner, viewer and administrator see the tables and replace none."""
    for role in (Role.PLANNER, Role.VIEWER, Role.ADMINISTRATOR):
        client = browser(desk, role)
        assert 'action="/works/replace' not in client.get("/works/trades").text
        assert send(client, "trades", "trade_id,name\n").status_code == 403
    assert 'action="/works/replace' in browser(desk, Role.ENGINEER).get("/works/trades").text


@pytest.mark.parametrize("name", ["nothing", "%2e%2e", "record", "vehicles.csv", "_own"])
def test_only_known_tables_are_named(desk: Desk, name: str) -> None:
    """A name that is no table leads nowhere, for reading and for replacing."""
    client = browser(desk, Role.ENGINEER)
    assert send(client, name, "a,b\n").status_code == 404
    assert client.get(f"/works/files/{name}.csv").status_code == 404
    assert client.get(f"/works/{name}").status_code == 404


@pytest.mark.parametrize(
    "name", ["..%2fworks.toml", "replaced.csv", "20260101T000000-trades.csv", "..%2f..%2fpeople"]
)
def test_only_versions_of_the_list_are_given(desk: Desk, name: str) -> None:
    """A version not of the list, or a path, leads nowhere."""
    assert browser(desk, Role.ENGINEER).get(f"/works/versions/{name}").status_code == 404


@pytest.mark.parametrize(
    ("content", "more", "status"),
    [
        ("trade_id,name\nx,X\n", {"reason": " "}, 409),
        ("trade_id,name\nx,X\n", {"name": "trades.xlsx"}, 409),
        (b"PK\x03\x04" + b"\x00" * 50, {}, 422),
        (b"\xff\xfet\x00", {}, 422),
        (b"", {}, 422),
        (b"trade_id,name\n\xe9,caf\xe9\n", {}, 422),
        ('trade_id,name\n"open,X\n', {}, 422),
    ],
)
def test_odd_files_are_refused(
    desk: Desk, content: str | bytes, more: dict[str, str], status: int
) -> None:
    """No reason, another sort of file, other text: refused with words, nothing changed."""
    before = text_of(desk, "trades")
    assert send(browser(desk, Role.ENGINEER), "trades", content, **more).status_code == status
    assert text_of(desk, "trades") == before


def test_the_same_and_the_too_large_are_refused(desk: Desk) -> None:
    """The table as it is, and one beyond the limit, replace nothing."""
    client = browser(desk, Role.ENGINEER)
    assert "Nothing to replace" in send(client, "trades", text_of(desk, "trades")).text
    answer = send(client, "trades", b"x" * (MOST_BYTES + 1))
    assert answer.status_code == 409
    assert "are taken" in answer.text


def test_a_folder_that_cannot_be_written_changes_nothing(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When the new table cannot be put in place the old one still stands, and it is said."""
    before = text_of(desk, "trades")
    monkeypatch.setattr(Path, "replace", _no_room)
    client = browser(desk, Role.ENGINEER)
    answer = send(client, "trades", before + "crane,Crane driver\n")
    assert answer.status_code == 409
    assert "Nothing was replaced" in answer.text
    assert text_of(desk, "trades") == before
    assert not list(desk.path.glob("*.new-*"))


def _no_room(*_: object) -> None:
    raise OSError(28, "No space left on device")


def test_faults_made_outside_are_shown_and_the_old_tables_hold(own: Desk) -> None:
    """A table spoilt in the folder is told with file and row; the pages go on with the old ones."""
    desk = own
    spoilt = text_of(desk, "people").replace("4,8,0.9,1", "four,8,0.9,1", 1)
    (desk.path / "people.csv").write_text(spoilt)
    data = browser(desk, Role.VIEWER).get("/api/works").json()["data"]
    (fault, *_) = data["tables"]["faults"]["rows"]
    assert (fault["file"], fault["row"]) == ("people.csv", 2)
    assert "in use" in data["answer"][0]
    assert desk.works.people[0].people == 4


def test_a_reader_of_cells_finds_and_pages(desk: Desk) -> None:
    """Rows are found by any cell; the whole file is given as it lies there."""
    client = browser(desk, Role.VIEWER)
    rows = client.get("/api/works/vehicles?find=south").json()["data"]["tables"]["rows"]
    assert {one["depot_id"] for one in rows["rows"]} == {"south"}
    assert client.get("/works/files/vehicles.csv").text == text_of(desk, "vehicles")
    assert client.get("/works/vehicles?first=-3").status_code == 422


def test_read_only_replaces_nothing(own: Desk) -> None:
    """A server that only shows takes no table."""
    desk = own
    desk.read_only = True
    answer = send(browser(desk, Role.ENGINEER), "trades", text_of(desk, "trades") + "x,X\n")
    assert answer.status_code == 409
    assert versions(desk) == ()
