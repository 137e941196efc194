"""Common attacks, tried: stolen sessions, paths that climb, scripts in names, formulas in tables.

Cross-site writes, foreign hosts and huge bodies stand in test_guard.py, slowness in
test_slow_clients.py. The attacks are those of the OWASP Web Security Testing Guide 4.2 (sessions,
input validation; from memory).
"""

import csv
import io
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import quote

import pytest
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from events_story import vehicle
from pacewright.events.stages import Held
from pacewright.events.things import Cause
from pacewright.ledger.entry import Entry
from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from pacewright.office.sheets.catalogue import SHEETS
from pacewright.web.app import UPLOADS, create_app
from pacewright.web.guard.size import FORM_BYTES
from pacewright.web.who import COOKIE
from paper_ground import told
from planner_desk import NOW
from record_entries import entries
from small_works import SETTINGS, Tables, small_works, write_small
from web_desk import ORIGIN, PASSWORD, browser, quick_hashing
from web_routes import Route, routes_of

SCRIPT = "\"'><img src=x onerror=alert(1)>"
"""A name that would end an attribute and be a script on a page; a number follows."""

EVIL = f"=1+{SCRIPT}"
"""The same, and a formula in a spreadsheet. The tables of a works take no such name."""

CLIMBS = (
    "..",
    "..%2f..%2f..%2f..%2fetc%2fpasswd",
    "%2e%2e%2f%2e%2e%2fworks.toml",
    "..%5c..%5cworks.toml",
    "%2fetc%2fpasswd",
    "....%2f%2f....%2f%2fetc%2fpasswd",
    "x%00.csv",
    "people.sqlite",
)
SECRETS = ("root:x:", "SQLite format 3", "[calendar]", "Traceback")
"""What no answer may hold: files of the machine and of the works, and the inside of the server."""


def _spoil(tables: Tables) -> None:
    for rows in tables.values():
        for number, row in enumerate(rows):
            if "name" in row:
                row["name"] = f"{number}{SCRIPT}"


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The small works with its story, every name and word in it an attack."""
    folder = tmp_path_factory.mktemp("attacks")
    named = SETTINGS.replace('"Lindmoor Works"', f"'''x{SCRIPT}'''")
    path = write_small(folder / "works", _spoil, named)
    with quick_hashing():
        made = Desk(path, clock=lambda: NOW)
    story = told(small_works(_spoil))
    answers = made.book(entries(story.told))
    hold = Held(NOW, vehicle("101"), Cause.PEOPLE, "", EVIL)
    answers += made.book([Entry("evil-1", hold, EVIL, EVIL, EVIL)])
    assert all(one.place for one in answers)
    for role in (Role.ADMINISTRATOR, *(one for one in Role if one is not Role.ADMINISTRATOR)):
        made.access.open_account(role.value, EVIL, role, PASSWORD)
    yield made
    made.close()


@pytest.fixture(scope="module")
def clients(desk: Desk) -> dict[Role, TestClient]:
    """A browser for each role."""
    return {role: browser(desk, role) for role in Role}


@pytest.fixture(scope="module")
def pages(desk: Desk) -> list[Route]:
    """Every address that answers a GET, but live news."""
    return [
        one for one in routes_of(create_app(desk)) if one.method == "GET" and one.path != "/live"
    ]


# -- sessions ------------------------------------------------------------------------------------


def at_door(client: TestClient) -> bool:
    """Whether a client is nobody to the server, on pages and over REST."""
    page, rest = client.get("/record"), client.get("/api/record")
    return page.status_code == 303 and rest.status_code == 401


def test_a_copied_session_is_worth_nothing_after_signing_off(desk: Desk) -> None:
    """The key of a session that was ended opens neither page nor REST, from wherever it is sent."""
    mine = browser(desk, Role.VIEWER)
    thief = TestClient(create_app(desk), headers=ORIGIN, follow_redirects=False)
    thief.cookies.set(COOKIE, mine.cookies[COOKIE])
    assert not at_door(thief)
    assert mine.post("/sign-out").status_code == 303
    assert at_door(thief)
    assert thief.post("/book/arrived", data={}).status_code == 303


def test_a_session_ends_when_password_or_role_changes(desk: Desk) -> None:
    """What a person could do is over at once when the account is changed."""
    desk.access.open_account("brief", "Brief", Role.VIEWER, PASSWORD)
    client = TestClient(create_app(desk), headers=ORIGIN, follow_redirects=False)
    client.post("/sign-in", data={"name": "brief", "password": PASSWORD})
    assert not at_door(client)
    keeper = browser(desk, Role.ADMINISTRATOR)
    keeper.post("/people/brief", data={"password": "another long phrase"})
    assert at_door(client)


def test_a_key_set_before_signing_in_is_not_taken_over(desk: Desk) -> None:
    """Signing in makes a new key (session fixation)."""
    client = browser(desk)
    client.cookies.set(COOKIE, "known-to-the-thief")
    answer = client.post("/sign-in", data={"name": "viewer", "password": PASSWORD})
    assert "known-to-the-thief" not in answer.headers["set-cookie"]
    thief = browser(desk)
    thief.cookies.set(COOKIE, "known-to-the-thief")
    assert at_door(thief)


# -- scripts in names ----------------------------------------------------------------------------


class _Elements(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.wrong: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        scripts = [name for name in names if name.startswith("on") or name == "style"]
        if scripts or tag in ("img", "iframe", "object", "embed", "base"):
            self.wrong.append(self.get_starttag_text() or tag)
        targets = [value or "" for name, value in attrs if name in ("href", "src", "action")]
        if any(one.strip().lower().startswith(("javascript:", "data:text")) for one in targets):
            self.wrong.append(self.get_starttag_text() or tag)


def foreign_elements(html: str) -> list[str]:
    """Elements of a page that only an attack can have put there."""
    parser = _Elements()
    parser.feed(html)
    return parser.wrong


ASKED = "&".join(
    f"{name}={quote(EVIL)}"
    for name in ("about", "kind", "by", "find", "type", "phase", "state", "code", "then", "reason",
                 "zone", "depot", "piece", "unit", "to", "for", "fault")
)  # fmt: skip


@pytest.mark.parametrize("role", [Role.INSPECTOR, Role.PLANNER, Role.ENGINEER, Role.ADMINISTRATOR])
def test_no_name_becomes_part_of_a_page(
    desk: Desk, clients: dict[Role, TestClient], pages: list[Route], role: Role
) -> None:
    """Names of tables, people and things, words of the record, and what an address holds are
    shown as text, on every page, drawing and fault.
    """
    seen = 0
    for route in pages:
        for address in (
            route.at(),
            f"{route.at()}?{ASKED}",
            f"{route.path}".replace("{", "%3Cimg "),
        ):
            answer = clients[role].get(address)
            assert answer.status_code < 500, (address, answer.text)
            if not answer.headers.get("content-type", "").startswith("text/html"):
                continue
            seen += "onerror=alert" in answer.text
            assert not foreign_elements(answer.text), address
    assert seen > 10, "the attack is on no page: the test has lost its teeth"


# -- formulas in tables --------------------------------------------------------------------------


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def test_no_cell_of_any_table_runs_in_a_spreadsheet(clients: dict[Role, TestClient]) -> None:
    """In every CSV of every sheet, text that begins as a formula is defused."""
    defused = 0
    for maker in SHEETS.values():
        path = Route("GET", maker.path).at()
        client = next(one for role, one in clients.items() if one.get(path).status_code != 403)
        answer = client.get(f"/api{path}")
        tables = answer.json().get("data", {}).get("tables", {})
        for part in tables:
            text = client.get(f"{path}/csv/{part}").content.decode("utf-8-sig")
            for cell in [cell for row in csv.reader(io.StringIO(text)) for cell in row]:
                live = cell.startswith(("=", "+", "-", "@", "\t", "\r")) and not _is_number(cell)
                assert not live, (path, part, cell)
                defused += cell.startswith("'=")
    assert defused >= 3, "no formula is in any table: the test has lost its teeth"


# -- paths that climb ----------------------------------------------------------------------------


@pytest.mark.parametrize("climb", CLIMBS)
def test_no_address_leads_out_of_its_place(
    clients: dict[Role, TestClient], pages: list[Route], climb: str
) -> None:
    """A parameter of an address is a name, never a path: nothing outside is read."""
    for route in [one for one in pages if "{" in one.path]:
        address = route.at(**dict.fromkeys(route.names, climb))
        answer = clients[Role.ENGINEER].get(address)
        assert answer.status_code < 500, (address, answer.text)
        assert not any(secret in answer.text for secret in SECRETS), address


def upload_routes(desk: Desk) -> list[str]:
    """Addresses that take files."""
    found = [
        route.at()
        for route in routes_of(create_app(desk))
        if route.method == "POST" and route.path.startswith(UPLOADS)
    ]
    assert found
    return found


def _files_around(desk: Desk) -> set[Path]:
    return {one for one in desk.path.parent.rglob("*") if one.name != "people.sqlite-wal"}


@pytest.mark.parametrize(
    "name",
    ["../../evil.csv", "/tmp/evil.csv", "..\\evil.csv", "evil.csv\x00.xlsx", "a" * 300 + ".csv",
     ".", "..", "works.toml", "vehicles.csv/../../evil.csv", "CON.csv"],
)  # fmt: skip
def test_no_uploaded_name_leads_out_of_its_place(
    desk: Desk, clients: dict[Role, TestClient], name: str
) -> None:
    """Files sent under names that climb write nothing and are no error of the server."""
    before = _files_around(desk)
    for address in upload_routes(desk):
        for role in (Role.PLANNER, Role.ENGINEER):
            sent = [
                (field, (name, b"vehicle_id\n101\n", "text/csv")) for field in ("files", "file")
            ]
            answer = clients[role].post(address, files=sent)
            assert answer.status_code < 500, (address, answer.text)
    assert _files_around(desk) == before
    assert not Path("/tmp/evil.csv").exists()


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    name=st.sampled_from(["moves.csv", "vehicles.csv", "day.xlsx", "works.toml", "x.zip"]),
    body=st.one_of(
        st.binary(max_size=300),
        st.binary(max_size=300).map(lambda rest: b"PK\x03\x04" + rest),
        st.text(max_size=300).map(lambda text: text.encode("utf-16")),
        st.text("=,\"'\r\n\t01ab", max_size=300).map(str.encode),
    ),
)
def test_whatever_is_uploaded_is_refused_in_words(
    desk: Desk, clients: dict[Role, TestClient], name: str, body: bytes
) -> None:
    """A fuzz of uploads: no file, however broken, is an error of the server."""
    for address in upload_routes(desk):
        files = [(field, (name, body)) for field in ("files", "file")]
        answer = clients[Role.ENGINEER if "works" in address else Role.PLANNER].post(
            address, files=files
        )
        assert answer.status_code < 500, answer.text


def test_nobody_sends_files(desk: Desk) -> None:
    """Only who is signed in may send more than a form holds."""
    huge = [("files", ("x.csv", b"x" * (FORM_BYTES + 1)))]
    for address in upload_routes(desk):
        assert browser(desk).post(address, files=huge).status_code == 413
        assert browser(desk, Role.PLANNER).post(address, files=huge).status_code != 413
