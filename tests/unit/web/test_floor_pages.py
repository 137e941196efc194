"""Vehicles', parts' and learning pages: page, CSV and REST twin answer; codes lead to pages."""

from collections.abc import Iterator

import pytest

from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from planner_desk import story_desk
from web_desk import browser

PAGES = (
    "/vehicles",
    "/vehicles?phase=all&state=",
    "/vehicles/101",
    "/vehicles/103",
    "/vehicles/105",
)


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The story's works, opened for pages."""
    made = story_desk(tmp_path_factory.mktemp("pages"))
    yield made
    made.close()


@pytest.mark.parametrize("path", PAGES)
def test_every_page_reads_and_has_its_twin(desk: Desk, path: str) -> None:
    """A viewer reads the page; REST answers the same question; nothing stands inline."""
    client = browser(desk, Role.VIEWER)
    html = client.get(path)
    assert html.status_code == 200, html.text
    assert " style=" not in html.text
    data = client.get(f"/api{path}").json()["data"]
    assert data["question"].replace("'", "&#39;") in html.text
    assert data["basis"]
    page, _, query = path.partition("?")
    for key in data["tables"]:
        csv = client.get(f"{page}/csv/{key}?{query}")
        assert csv.status_code == 200
        assert csv.content.startswith(b"\xef\xbb\xbf")


@pytest.mark.parametrize(
    ("code", "to"),
    [
        ("vehicle:101", "/vehicles/101"),
        ("101", "/vehicles/101"),
        ("body:B-101", "/vehicles/101"),
        ("chassis:C-103", "/serial?code=chassis:C-103"),
        ("motor:M-1", "/serial?code=motor:M-1"),
        ("M-1", "/serial?code=motor:M-1"),
        ("motor", "/parts/motor"),
        ("stage:fitout", "/shops/"),
        ("event:3", "/record/3"),
        ("body:B-103 stage:body", "/book/moved?piece=body:B-103&stage_id=body"),
    ],
)
def test_a_code_opens_its_page(desk: Desk, code: str, to: str) -> None:
    """A scanned code leads to the page of what it stands for; piece and stage to the move."""
    answer = browser(desk, Role.VIEWER).get("/scan", params={"code": code})
    assert answer.status_code == 303
    assert answer.headers["location"].startswith(to)


@pytest.mark.parametrize("code", ["", "motor:none", "vehicle:999", "event:99999", "//elsewhere"])
def test_an_unknown_code_is_told(desk: Desk, code: str) -> None:
    """What is not known leads nowhere, and the page says what a code looks like."""
    answer = browser(desk, Role.VIEWER).get("/scan", params={"code": code})
    assert answer.status_code == 404
    assert "vehicle:1043" in answer.text


def test_only_what_a_person_may_book_is_offered(desk: Desk) -> None:
    """A viewer gets no booking; a planner may promise; an inspector may release, no planner may."""
    seen = {role: browser(desk, role).get("/vehicles/101").text for role in Role}
    assert "/book/" not in seen[Role.VIEWER].split('<main id="main"')[1]
    assert "/book/promised?vehicle_id=101" in seen[Role.PLANNER]
    assert "/book/released" not in seen[Role.PLANNER]
    assert "/book/released?vehicle_id=101" in seen[Role.INSPECTOR]


def test_the_wait_for_the_forecast_leads_back(desk: Desk) -> None:
    """The line that waits leads to the page it stands on, and nowhere else."""
    client = browser(desk, Role.VIEWER)
    told = client.get("/forecast/wait", params={"then": "//elsewhere.example"})
    assert told.status_code == 200
    assert "elsewhere" not in told.text
