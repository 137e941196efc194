"""Settings and workbook replaced on the page and over REST: looked at, agreed, kept, taken back."""

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from pacewright.files.read import read_works
from pacewright.files.write import write_workbook
from pacewright.office.desk import Desk
from pacewright.office.differing import differences
from pacewright.office.rights import Role
from pacewright.office.works_files import kept_in, versions
from planner_desk import keep_quick, story_desk
from small_works import SETTINGS, Tables, small_works, write_small
from web_booking import hidden
from web_desk import browser

ROLES = (Role.ADMINISTRATOR, Role.ENGINEER, Role.PLANNER, Role.VIEWER)
NOTED = SETTINGS.replace("[plan]", "# As the works council agreed.\n[plan]")
OTHER = NOTED.replace("vehicles_a_week = 1", "vehicles_a_week = 2  # from March on")


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """The story's works."""
    made = story_desk(tmp_path, roles=ROLES)
    yield made
    made.close()


@pytest.fixture
def in_workbook(tmp_path: Path) -> Iterator[Desk]:
    """The small works kept in one workbook."""
    path = tmp_path / "lindmoor.xlsx"
    write_workbook(small_works(), path)
    made = keep_quick(Desk(path), ROLES)
    yield made
    made.close()


def workbook(folder: Path, change: Any) -> bytes:
    """A workbook of the small works, changed."""
    path = folder / "sent.xlsx"
    write_workbook(small_works(change), path)
    return path.read_bytes()


def look(client: TestClient, key: str, name: str, content: str | bytes, **more: str) -> Any:
    """Send a file to be looked at."""
    data = {"reason": "more work", "look": "yes", **more}
    return client.post(f"/works/replace/{key}", data=data, files={"file": (name, content)})


def agree(client: TestClient, key: str, html: str) -> Any:
    """Send the form that stands below what was looked at."""
    waits = {"waiting": hidden(html, "waiting"), "reason": "more work"}
    return client.post(f"/works/replace/{key}", data=waits)


def shown(html: str) -> list[list[str]]:
    """The rows of what would differ."""
    rows = re.findall(
        r"<tr>(.*?)</tr>", html.split('id="looked"')[1].split("</table>", maxsplit=1)[0], re.S
    )
    cells = [re.findall(r"<t[dh][^>]*>(.*?)</t[dh]>", row) for row in rows[1:]]
    return [[unescape(cell) for cell in row] for row in cells]


def test_settings_are_looked_at_agreed_kept_and_taken_back(desk: Desk) -> None:
    """What would differ stands before the word; the file keeps its comments; back is one step."""
    client, path = browser(desk, Role.ENGINEER), desk.path / "works.toml"
    before = path.read_bytes()
    looked = look(client, "settings", "works.toml", OTHER)
    assert looked.status_code == 200
    assert shown(looked.text) == [["settings", "plan.pace.1.vehicles_a_week", "changed", "1 -> 2"]]
    assert path.read_bytes() == before
    done = agree(client, "settings", looked.text)
    assert done.status_code == 303
    assert path.read_text(encoding="utf-8") == OTHER
    assert desk.works.settings.plan.pace[0].vehicles_a_week == 2
    (kept,) = versions(desk)
    assert (kept.table, kept.by, kept.reason) == ("settings", "engineer", "more work")
    assert client.get(f"/works/versions/{kept.kept_as}").content == before
    assert kept.kept_as in client.get("/works/settings").text
    assert agree(client, "settings", looked.text).status_code == 409
    back = client.post(
        "/works/replace/settings", data={"version": kept.kept_as, "look": "yes", "reason": "back"}
    )
    assert shown(back.text)[0][-1] == "2 -> 1"
    assert agree(client, "settings", back.text).status_code == 303
    assert path.read_bytes() == before
    assert "replaced settings" in " ".join(one.what for one in desk.access.people.logged())


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("firm_weeks = 13", "firm_weeks = 0", "works.toml line 23, plan.firm_weeks"),
        ("break_minutes = 30", "brake_minutes = 30", "works.toml line 12"),
        ("[calendar]", "[calendar", "works.toml line 4"),
    ],
)
def test_a_fault_names_its_line_and_replaces_nothing(
    desk: Desk, old: str, new: str, said: str
) -> None:
    """On the page and over REST, with the same words."""
    before = (desk.path / "works.toml").read_bytes()
    wrong = SETTINGS.replace(old, new, 1)
    client = browser(desk, Role.ENGINEER)
    answer = look(client, "settings", "works.toml", wrong)
    assert answer.status_code == 422
    assert said in unescape(answer.text)
    rest = put(client, "works.toml", wrong, reason="more work")
    assert rest.status_code == 409
    assert any(one.startswith(said) for one in rest.json()["faults"])
    assert (desk.path / "works.toml").read_bytes() == before
    assert versions(desk) == ()


def put(client: TestClient, name: str, content: str | bytes, **query: Any) -> Any:
    """Put a file in place whatever is there."""
    tag = query.pop("tag", "*")
    address = f"/api/works/files/{name}"
    return client.put(address, params=query, content=content, headers={"if-match": tag})


def test_a_comment_alone_changes_nothing_but_is_kept(desk: Desk) -> None:
    """No setting differs: it is said so, and the file is put in place all the same."""
    client = browser(desk, Role.ENGINEER)
    looked = look(client, "settings", "works.toml", NOTED)
    assert "No setting and no row would differ" in looked.text
    assert agree(client, "settings", looked.text).status_code == 303
    assert (desk.path / "works.toml").read_text(encoding="utf-8") == NOTED


def test_a_table_is_looked_at_as_well(desk: Desk) -> None:
    """A row new, a row gone and a cell changed, each told by its key."""
    client, path = browser(desk, Role.ENGINEER), desk.path / "people.csv"
    text = path.read_text(encoding="utf-8").replace("strip,fitter,4", "strip,fitter,5")
    looked = look(client, "people", "people.csv", text)
    assert shown(looked.text) == [["people", "strip fitter", "changed", "people: 4 -> 5"]]
    assert agree(client, "people", looked.text).status_code == 303
    assert desk.works.people[0].people == 5


def test_what_waits_is_its_persons_and_its_files(desk: Desk) -> None:
    """Another person, another file, a made-up key: nothing is replaced."""
    looked = look(browser(desk, Role.ENGINEER), "settings", "works.toml", OTHER)
    key = hidden(looked.text, "waiting")
    sent = {"waiting": key, "reason": "mine now"}
    assert browser(desk, Role.PLANNER).post("/works/replace/settings", data=sent).status_code == 403
    client = browser(desk, Role.ENGINEER)
    assert client.post("/works/replace/trades", data=sent).status_code == 409
    assert client.post("/works/replace/settings", data=sent | {"waiting": "x"}).status_code == 409
    assert look(client, "settings", "settings.csv", OTHER).status_code == 409
    assert look(client, "settings", "works.toml", OTHER, reason=" ").status_code == 409
    assert look(client, "workbook", "works.xlsx", b"PK").status_code == 404
    assert versions(desk) == ()


def test_read_only_looks_at_and_replaces_nothing(desk: Desk) -> None:
    """A server that only shows has no form and takes no file."""
    desk.read_only = True
    client = browser(desk, Role.ENGINEER)
    assert "/works/replace" not in client.get("/works/settings").text
    assert look(client, "settings", "works.toml", OTHER).status_code == 409
    assert put(client, "works.toml", OTHER, reason="x").status_code == 409
    assert versions(desk) == ()


def test_rest_looks_replaces_and_minds_the_tag(desk: Desk) -> None:
    """428 without a tag, 412 with an old one; sent again after a lost answer it is done already."""
    client = browser(desk, Role.ENGINEER)
    first = client.get("/api/works/files/works.toml")
    tag = first.headers["etag"]
    bare = client.put("/api/works/files/works.toml", content=OTHER)
    assert bare.status_code == 428
    looked = put(client, "works.toml", OTHER, tag=tag, look=True, reason="x").json()["data"]
    assert looked["replaced"] is False
    assert [one["row"] for one in looked["differences"]] == ["plan.pace.1.vehicles_a_week"]
    done = put(client, "works.toml", OTHER, tag=tag, reason="more work")
    assert done.status_code == 200, done.text
    assert done.json()["data"]["replaced"] is True
    again = put(client, "works.toml", OTHER, tag=tag, reason="more work").json()["data"]
    assert again["replaced"] is False
    assert again["etag"] == done.headers["etag"]
    late = put(client, "works.toml", NOTED, tag=tag, reason="more work")
    assert late.status_code == 412
    assert len(versions(desk)) == 1
    kept = client.get(f"/api/works/versions/{versions(desk)[0].kept_as}")
    assert kept.content == first.content
    names = [one["name"] for one in client.get("/api/works/files").json()["data"]["files"]]
    assert names[:2] == ["works.toml", "vehicle_types.csv"]
    assert browser(desk, Role.PLANNER).put("/api/works/files/works.toml").status_code == 403
    assert client.get("/api/works/files/record.sqlite").status_code == 404


def test_a_workbook_is_replaced_as_a_whole(in_workbook: Desk, tmp_path: Path) -> None:
    """What differs in any sheet is shown; the one before is kept beside it and put back."""
    desk, client = in_workbook, browser(in_workbook, Role.ENGINEER)
    before = desk.path.read_bytes()

    def more(tables: Tables) -> None:
        tables["trades"].append({"trade_id": "crane", "name": "Crane driver"})
        tables["depots"][0]["away_limit"] = "3"

    looked = look(client, "workbook", "lindmoor.xlsx", workbook(tmp_path, more))
    assert looked.status_code == 200, looked.text
    assert shown(looked.text) == [
        ["depots", "north", "changed", "away_limit: 2 -> 3"],
        ["trades", "crane", "new", ""],
    ]
    to = agree(client, "workbook", looked.text).headers["location"]
    assert to.startswith("/works/settings?replaced=")
    assert "Replaced, and in use" in client.get(to).text
    assert len(desk.works.trades) == 5
    (kept,) = versions(desk)
    assert kept_in(desk).parent == desk.path.parent
    assert client.get(f"/api/works/versions/{kept.kept_as}").content == before
    assert put(client, "lindmoor.xlsx", before, reason="back").status_code == 200
    assert desk.path.read_bytes() == before
    assert "lindmoor.xlsx" in client.get("/works/settings").text


def test_a_faulty_workbook_tells_sheet_and_row(in_workbook: Desk, tmp_path: Path) -> None:
    """No workbook, or one with a fault: told, nothing replaced."""
    client = browser(in_workbook, Role.ENGINEER)
    before = in_workbook.path.read_bytes()
    assert look(client, "workbook", "x.xlsx", b"PK\x03\x04 broken").status_code == 409

    def wrong(tables: Tables) -> None:
        tables["vehicles"][0]["depot_id"] = "nowhere"

    answer = look(client, "workbook", "x.xlsx", workbook(tmp_path, wrong))
    assert answer.status_code == 422
    assert "lindmoor.xlsx sheet vehicles row 2, depot_id" in unescape(answer.text)
    assert look(client, "trades", "trades.csv", "x").status_code == 409
    assert in_workbook.path.read_bytes() == before


def test_differences_know_rows_by_their_key(tmp_path: Path) -> None:
    """Another order of rows is no difference; a row gone, a blank filled in and a list are told."""

    def change(tables: Tables) -> None:
        tables["vehicles"].reverse()
        del tables["readings"][0]
        tables["fits"][0]["per_vehicle"] = "2"
        tables["depots"][1]["away_limit"] = "4"

    before = read_works(write_small(tmp_path / "a"))
    after = read_works(write_small(tmp_path / "b", change))
    assert [(one.table, one.row, one.how, one.what) for one in differences(before, after)] == [
        ("depots", "south", "changed", "away_limit: blank -> 4"),
        ("readings", "101 2022-06-10", "gone", ""),
        ("fits", "motor solo", "changed", "per_vehicle: 1 -> 2"),
    ]
    assert differences(before, before) == ()
