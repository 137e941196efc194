"""The what-if page: fill in, run, watch, compare, keep and drop; by whom, and over REST."""

import time
import tomllib
from collections.abc import Iterator

import pytest
from fastapi.testclient import TestClient

from pacewright.office.desk import Desk
from pacewright.office.rights import Right, Role, may
from pacewright.office.whatif_desk import trials_of
from planner_desk import empty_desk
from web_desk import browser

FORM = {
    "name": "More <b>room</b>",
    "stage": "fitout",
    "positions": "4",
    "replications": "10",
    "weeks": "6",
    "start": "now",
}


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The small works, opened for pages."""
    made = empty_desk(tmp_path_factory.mktemp("whatif-pages"))
    yield made
    made.close()


@pytest.fixture
def planner(desk: Desk) -> TestClient:
    """A planner's browser."""
    return browser(desk, Role.PLANNER)


def until_over(desk: Desk, number: int) -> None:
    """Wait until a run is over."""
    ends = time.monotonic() + 30
    while not trials_of(desk).one(number).state.is_over:
        assert time.monotonic() < ends, "the run is not over after 30 s"
        time.sleep(0.02)


def run(desk: Desk, client: TestClient, **cells: str) -> str:
    """Run what a form tells; address of its page when it is over."""
    answer = client.post("/whatif", data=FORM | cells)
    assert answer.status_code == 303, answer.text
    address = answer.headers["location"]
    until_over(desk, int(address.rsplit("/", 1)[1]))
    return str(address)


def test_a_change_is_run_and_compared(desk: Desk, planner: TestClient) -> None:
    """From the form to figures, hold-ups and what differs; a name is shown as text."""
    address = run(desk, planner)
    html = planner.get(address).text
    assert "More &lt;b&gt;room&lt;/b&gt;" in html
    assert "<b>room</b>" not in html
    assert " style=" not in html
    assert "stages fitout: positions 2 -&gt; 4" in html
    data = planner.get(f"/api{address}").json()["data"]
    assert set(data["tables"]) == {"figures", "hold_ups", "changes"}
    made = trials_of(desk).one(int(address.rsplit("/", 1)[1])).comparison
    assert made is not None
    rows = {row["figure"]: row for row in data["tables"]["figures"]["rows"]}
    for one in made.changes[0].figures:
        assert rows[one.key]["verdict"] == one.verdict.value
    for key in data["tables"]:
        assert planner.get(f"{address}/csv/{key}").status_code == 200


def test_runs_on_one_base_stand_side_by_side(desk: Desk, planner: TestClient) -> None:
    """Two changes of the same weeks are columns of one table; one of other weeks is not."""
    first = run(desk, planner, name="A").rsplit("/", 1)[1]
    second = run(desk, planner, name="B", positions="5").rsplit("/", 1)[1]
    beside = planner.get("/api/whatif").json()["data"]["tables"]["beside"]
    columns = [one["name"] for one in beside["columns"]]
    assert {f"{first} A", f"{second} B"} <= set(columns)
    third = run(desk, planner, name="C", weeks="8").rsplit("/", 1)[1]
    page = planner.get("/api/whatif").json()["data"]
    columns = [one["name"] for one in page["tables"]["beside"]["columns"]]
    assert f"{third} C" in columns
    assert f"{first} A" not in columns
    assert any("another base" in line for line in page["answer"])


def test_faults_come_back_with_the_form_as_it_was_filled_in(planner: TestClient) -> None:
    """Nothing is run; the page says what is wrong and keeps what was typed."""
    for cells, said in (
        ({"positions": "lots"}, "A number is wanted"),
        ({"positions": "0"}, "fitout"),
        ({"weeks": "5000"}, "from 4 to 104"),
        ({"name": ""}, "1 to 80 letters"),
        ({"more": "[[stages]"}, "change"),
    ):
        answer = planner.post("/whatif", data=FORM | cells)
        assert answer.status_code == 409, cells
        assert said in answer.text
        assert 'value="fitout" selected' in answer.text


def test_kept_it_is_a_change_file(desk: Desk, planner: TestClient) -> None:
    """The file reads as TOML and names the change; varied, the form has its text."""
    address = run(desk, planner)
    answer = planner.get(f"{address}/change.toml")
    assert "attachment" in answer.headers["content-disposition"]
    read = tomllib.loads(answer.text)
    assert read["name"] == FORM["name"]
    assert read["stages"] == [{"stage_id": "fitout", "positions": 4}]
    varied = planner.get(f"/whatif?vary={address.rsplit('/', 1)[1]}").text
    assert "stage_id = &#34;fitout&#34;" in varied


def test_a_run_is_stopped_and_dropped(desk: Desk, planner: TestClient) -> None:
    """Dropped it is gone from list and address; a second drop says so."""
    address = run(desk, planner)
    assert planner.post(f"{address}/stop").status_code == 303
    assert planner.post(f"{address}/drop").status_code == 303
    assert planner.get(address).status_code == 404
    assert planner.post(f"{address}/drop").status_code == 404


def test_a_program_asks_and_asks_again(desk: Desk, planner: TestClient) -> None:
    """202 with the address where it is found; a faulty change 409, wrong bounds 422."""
    asked = {
        "name": "By program",
        "change": '[[stages]]\nstage_id = "fitout"\npositions = 3\n',
        "replications": 10,
        "weeks": 6,
    }
    answer = planner.post("/api/whatif", json=asked)
    assert answer.status_code == 202, answer.text
    data = answer.json()["data"]
    until_over(desk, data["run"])
    assert planner.get(data["address"]).json()["data"]["tables"]["figures"]["rows"]
    assert planner.post("/api/whatif", json=asked | {"change": "x = 1"}).status_code == 409
    assert planner.post("/api/whatif", json=asked | {"weeks": 0}).status_code == 422


@pytest.mark.parametrize("role", list(Role))
def test_only_who_promises_asks(desk: Desk, role: Role) -> None:
    """Pages, forms and REST are the planner's; all others are refused on the server."""
    client = browser(desk, role)
    want = 200 if may(role, Right.PROMISE) else 403
    assert client.get("/whatif").status_code == want
    assert client.get("/api/whatif").status_code == want
    if want == 403:
        assert client.post("/whatif", data=FORM).status_code == 403
        assert client.post("/api/whatif", json={"name": "x", "change": ""}).status_code == 403
        for path in ("/whatif/1", "/whatif/1/change.toml"):
            assert client.get(path).status_code == 403
        for path in ("/whatif/1/stop", "/whatif/1/drop"):
            assert client.post(path).status_code == 403


def test_a_page_that_waits_is_loaded_anew_when_the_run_is_over(
    desk: Desk, planner: TestClient
) -> None:
    """Over, the answer tells the script of the page to load it whole; unknown, 404."""
    address = run(desk, planner)
    answer = planner.get(f"{address}/going")
    assert answer.headers["hx-refresh"] == "true"
    assert planner.get("/whatif/99999/going").status_code == 404
