"""Every route x every role, nobody, and a token: who is let through and who is not.

The table below is written by hand; the routes are read from the application. A route without a
line fails the first test.
"""

import re
from collections.abc import Iterator

import pytest
from fastapi.testclient import TestClient
from httpx2 import Response

from pacewright.office.desk import Desk
from pacewright.office.rights import RIGHTS, Right, Role
from pacewright.office.sheets.catalogue import SHEETS
from pacewright.web.app import create_app
from planner_desk import story_desk
from web_desk import ORIGIN, PASSWORD, browser, quick_hashing
from web_routes import Route, routes_of

OPEN = "anybody"
"""Served to whoever asks: the door itself, styles and scripts, what addresses there are."""
BOOKS = "who books anything"

NOT_FOR_ALL: dict[str, Right] = {"whatif": Right.PROMISE, "trial": Right.PROMISE}
"""Key of a sheet that not everybody signed in may see -> right it needs."""

TABLE: dict[tuple[str, str], Right | str] = {
    ("GET", "/api/openapi.json"): OPEN,
    ("GET", "/static/{name}"): OPEN,
    ("GET", "/sign-in"): OPEN,
    ("POST", "/sign-in"): OPEN,
    ("POST", "/first"): OPEN,  # refused with 409 once there is an account
    ("POST", "/sign-out"): OPEN,
    ("GET", "/"): Right.SEE,
    ("GET", "/people"): Right.PEOPLE,
    ("POST", "/people"): Right.PEOPLE,
    ("POST", "/people/{name}"): Right.PEOPLE,
    ("GET", "/live"): Right.SEE,
    ("GET", "/book"): Right.SEE,
    ("GET", "/book/{kind}"): Right.BOOK_GATE,  # of the kind asked for in this test
    ("POST", "/book/{kind}"): Right.BOOK_GATE,
    ("POST", "/inspection/{vehicle_id}"): Right.INSPECT,
    ("POST", "/record/{place}"): Right.CORRECT,
    ("GET", "/import"): BOOKS,
    ("POST", "/import"): BOOKS,
    ("POST", "/import/book"): BOOKS,
    ("GET", "/import/empty/{name}"): Right.SEE,
    ("GET", "/tokens"): Right.SEE,
    ("POST", "/tokens"): Right.SEE,
    ("POST", "/tokens/end"): Right.SEE,
    ("GET", "/api/kinds"): Right.SEE,
    ("GET", "/api/events"): Right.SEE,
    ("POST", "/api/events"): Right.BOOK_GATE,  # of the event sent in this test
    ("GET", "/api/plan"): Right.SEE,
    ("GET", "/api/plan/{table}"): Right.SEE,
    ("GET", "/papers/{sort}.pdf"): Right.SEE,
    ("GET", "/scan"): Right.SEE,
    ("GET", "/forecast/wait"): Right.SEE,
    ("POST", "/programme/{vehicle_id}"): Right.BOOK_GATE,
    ("GET", "/plan-report"): Right.SEE,
    ("POST", "/shortages/allot"): Right.BOOK_UNITS,
    ("POST", "/shortages/rob"): Right.APPROVE_ROBBING,
    ("GET", "/works/files/{name}"): Right.SEE,
    ("GET", "/works/versions/{name}"): Right.SEE,
    ("POST", "/works/replace/{table}"): Right.TABLES,
    ("POST", "/learning"): Right.FACTORS,
    ("POST", "/whatif"): Right.PROMISE,
    ("POST", "/api/whatif"): Right.PROMISE,
    ("POST", "/api/whatif/{run}/stop"): Right.PROMISE,
    ("DELETE", "/api/whatif/{run}"): Right.PROMISE,
    ("GET", "/api/whatif/{run}/change.toml"): Right.PROMISE,
    ("POST", "/api/programme/{vehicle_id}"): Right.BOOK_GATE,
    ("POST", "/api/shortages/allot"): Right.BOOK_UNITS,
    ("POST", "/api/shortages/rob"): Right.APPROVE_ROBBING,
    ("POST", "/api/inspection/{vehicle_id}"): Right.INSPECT,
    ("POST", "/api/learning"): Right.FACTORS,
    ("POST", "/api/import"): BOOKS,
    ("GET", "/api/works/files"): Right.SEE,
    ("GET", "/api/works/files/{name}"): Right.SEE,
    ("PUT", "/api/works/files/{name}"): Right.TABLES,
    ("GET", "/api/works/versions/{name}"): Right.SEE,
    ("GET", "/api/people"): Right.PEOPLE,
    ("POST", "/api/people"): Right.PEOPLE,
    ("POST", "/api/people/{name}"): Right.PEOPLE,
    ("POST", "/whatif/{run}/stop"): Right.PROMISE,
    ("POST", "/whatif/{run}/drop"): Right.PROMISE,
    ("GET", "/whatif/{run}/change.toml"): Right.PROMISE,
    ("GET", "/whatif/{run}/going"): Right.PROMISE,
    ("GET", "/flow/ready"): Right.SEE,
    ("POST", "/api/photos"): Right.INSPECT,
    ("GET", "/api/photos/{digest}"): Right.SEE,
    ("GET", "/photos/{digest}"): Right.SEE,
}
"""Route -> who is let through. Sheets stand in the catalogue of the office: see ``needed``."""

CALL = {"kind": "arrived", "vehicle_id": "101", "type_id": "solo"}
"""An event that the door of the record refuses, for 101 is inside: 409 for who may book it."""

FIELDS = {"name": "", "day": "", "how": "void", "mend_reason": "asked by the matrix"}
"""A form that books nothing: what needs more than this is refused for whoever is let through."""

NOBODY = "nobody"
ASKERS = (*Role, NOBODY)


def _sheet_rows() -> dict[tuple[str, str], Right | str]:
    rows: dict[tuple[str, str], Right | str] = {}
    for key, maker in SHEETS.items():
        right = NOT_FOR_ALL.get(key, Right.SEE)
        for path in (maker.path, f"{maker.path}/csv/{{part}}", f"/api{maker.path}"):
            rows["GET", path] = right
    return rows


NEEDED = TABLE | _sheet_rows()


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The small works with its story, one account a role."""
    with quick_hashing():
        made = story_desk(tmp_path_factory.mktemp("matrix"))
    yield made
    made.close()


@pytest.fixture(scope="module")
def routes(desk: Desk) -> list[Route]:
    """Every route there is."""
    return routes_of(create_app(desk))


@pytest.fixture(scope="module")
def clients(desk: Desk) -> dict[str, TestClient]:
    """A browser for each role, and one at which nobody is signed in."""
    made = {role.value: browser(desk, role) for role in Role}
    return made | {NOBODY: browser(desk)}


def sent(client: TestClient, route: Route) -> Response:
    """Send a request that changes nothing, whoever is let through."""
    address = route.at()
    if route.method == "GET":
        # News would be told for ever; one word is enough to know that they are.
        answer: Response = client.get(address) if address != "/live" else _first_of_live(client)
        return answer
    if route.path == "/api/events":
        return client.post(address, json={"events": [{"event": CALL}]})  # type: ignore[no-any-return]
    return client.request(route.method, address, data=FIELDS)  # type: ignore[no-any-return]


def _first_of_live(client: TestClient) -> Response:
    desk: Desk = client.app.state.desk  # type: ignore[attr-defined]
    desk.closing = True  # they end at once when the works closes
    answer: Response = client.get("/live")
    desk.closing = False
    return answer


def let_through(answer: Response) -> bool:
    """Whether the person got past the door of the route."""
    to_door = answer.status_code == 303 and answer.headers["location"].startswith("/sign-in?")
    return answer.status_code not in (401, 403) and not to_door


def may(asker: str, needed: Right | str) -> bool:
    """What the table says."""
    if needed == OPEN:
        return True
    if asker == NOBODY:
        return False
    rights = RIGHTS[Role(asker)]
    if needed == BOOKS:
        return asker not in (Role.VIEWER, Role.ADMINISTRATOR)
    return needed in rights


def test_every_route_has_a_line(routes: list[Route]) -> None:
    """No route is missing in the table, and no line is left of a route that is gone."""
    there = {(one.method, one.path) for one in routes}
    missing, gone = sorted(there - NEEDED.keys()), sorted(NEEDED.keys() - there)
    assert not missing, f"{missing}: add a line to TABLE that says which right each needs."
    assert not gone, f"{gone}: no such route any more. Take the line out."


def test_sheets_seen_by_few_are_named(desk: Desk) -> None:
    """A sheet asks for the right that stands here, so that none is opened or shut by mistake."""
    assert {key: one.right for key, one in SHEETS.items() if one.right is not Right.SEE} == (
        NOT_FOR_ALL
    )


@pytest.fixture(scope="module", autouse=True)
def nothing_booked(desk: Desk) -> Iterator[None]:
    """The matrix changes nothing, whoever asks."""
    before = desk.ledger.head().place, len(desk.access.people.all())
    yield
    assert (desk.ledger.head().place, len(desk.access.people.all())) == before


@pytest.mark.parametrize("asker", ASKERS)
def test_each_asker_is_let_through_where_the_table_says(
    clients: dict[str, TestClient], routes: list[Route], asker: str
) -> None:
    """Let through, or turned away in the one way: 401 or the door, 403 with the right's name."""
    wrong = []
    for route in routes:
        if route.path in ("/sign-out", "/sign-in"):
            continue  # they change who asks; tests of their own
        needed = NEEDED[route.method, route.path]
        answer = sent(clients[asker], route)
        assert answer.status_code < 500, (route, answer.text)
        if let_through(answer) is not may(asker, needed):
            wrong.append((route.method, route.path, needed, answer.status_code))
        elif not let_through(answer):
            _turned_away_rightly(route, asker, answer)
    assert not wrong


def _turned_away_rightly(route: Route, asker: str, answer: Response) -> None:
    if route.path.startswith("/api/"):
        assert answer.status_code == (401 if asker == NOBODY else 403)
        assert answer.json()["status"] == "refused"
        assert answer.json()["faults"]
    elif asker == NOBODY:
        assert answer.status_code == 303, route
    else:
        assert answer.status_code == 403, route


@pytest.mark.parametrize("role", list(Role))
def test_a_token_opens_rest_alone_and_has_a_part_of_its_persons_rights(
    desk: Desk, routes: list[Route], role: Role
) -> None:
    """A token that may only see reads REST, opens no page and books nothing."""
    key = desk.access.sign_in(role.value, PASSWORD, "here")
    person = desk.access.person(key)
    assert person
    token = desk.access.new_token(person, "matrix", frozenset({Right.SEE}), 1)
    program = TestClient(
        create_app(desk), headers={"authorization": f"Bearer {token}"}, follow_redirects=False
    )
    for route in routes:
        needed = NEEDED[route.method, route.path]
        if needed == OPEN:
            continue
        rest = route.path.startswith("/api/")
        expected = rest and needed is Right.SEE
        if role is Role.VIEWER or not expected:
            assert let_through(sent(program, route)) is expected, route


@pytest.mark.parametrize("role", list(Role))
def test_everybody_finds_the_own_tokens_from_the_name_on_every_page(
    clients: dict[str, TestClient], role: Role
) -> None:
    """The account's name at the head of a page leads to its tokens, whatever its role books."""
    page = clients[role.value].get("/vehicles").text
    link = re.search(r'<a href="/tokens"[^>]*>(.*?)</a>', page)
    assert link
    assert re.sub("<[^>]*>", "", link[1]) == f"The {role}"
    assert clients[role.value].get("/tokens").status_code == 200


def test_a_made_up_token_opens_nothing(desk: Desk) -> None:
    """No key, a made-up one, a password in its place and a long one lead nowhere."""
    client = browser(desk)
    for said in ("Bearer", "Bearer x", "Basic dmlld2VyOng=", "bearer " + "A" * 500):
        assert client.get("/api/record", headers={"authorization": said}).status_code == 401


def test_head_and_unknown_methods_open_nothing(desk: Desk, routes: list[Route]) -> None:
    """HEAD, PUT and DELETE get no further than GET and POST would for nobody."""
    client = TestClient(create_app(desk), headers=ORIGIN, follow_redirects=False)
    for route in routes:
        if NEEDED[route.method, route.path] == OPEN:
            continue
        for method in ("HEAD", "PUT", "DELETE", "PATCH"):
            status = client.request(method, route.at()).status_code
            assert status in (303, 401, 404, 405), (method, route, status)


def test_the_roles_are_told_apart_by_the_table() -> None:
    """No two roles have the same rights, and no role has all: the matrix has something to find."""
    sets = [RIGHTS[role] for role in Role]
    assert len(set(sets)) == len(sets)
    assert all(rights != frozenset(Right) for rights in sets)
