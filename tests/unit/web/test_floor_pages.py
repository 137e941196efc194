"""Vehicles', parts' and learning pages: page, CSV and REST twin answer; codes lead to pages."""

import re
from collections.abc import Iterator
from html import unescape
from typing import Any

import pytest

from pacewright.life.learn import learn
from pacewright.office.background import Job
from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from pacewright.office.sheets.learning_paper import LearnedPaper, learned_keeper
from pacewright.web.booking_texts import ENGLISH_BOOKING
from pacewright.web.floor_texts import ENGLISH_FLOOR
from pacewright.web.planner_texts import ENGLISH_PLANNER
from planner_desk import story_desk
from true_record import Truth, told
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


@pytest.fixture(scope="module")
def taught(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The story's works, taught by eighty told days."""
    made = story_desk(tmp_path_factory.mktemp("taught"))
    works, place = made.works, made.head_place()
    paper = LearnedPaper(learn(works, told(works, Truth(), 80)), works, place)
    learned_keeper(made).look(AtOnce(), (place, works), lambda: paper)  # type: ignore[arg-type]
    yield made
    made.close()


class AtOnce:
    """A background that makes what it is asked for before it answers."""

    def ask(self, key: object, mark: tuple[object, ...], make: Any) -> Job:
        """The job, done."""
        job = Job(mark, made=make())
        job.done.set()
        return job


def test_learning_reads_for_all_and_is_decided_by_few(taught: Desk) -> None:
    """Everybody reads what is asked; only who decides on factors gets the form, and may send it."""
    for role in Role:
        client = browser(taught, role)
        html = client.get("/learning")
        assert html.status_code == 200
        assert "motor" in html.text
        may = role in (Role.PLANNER, Role.ENGINEER)
        assert ('name="decide unit_kinds:motor:turn_days"' in html.text) is may
        if not may:
            sent = client.post("/learning", data={"decide unit_kinds:motor:turn_days": "accept"})
            assert sent.status_code == 403
    assert (
        browser(taught, Role.VIEWER).get("/api/learning").json()["data"]["tables"]["asked"]["rows"]
    )


def test_a_planner_rejects_with_a_reason(taught: Desk) -> None:
    """Without a reason it is refused and told on the page; with one it is booked and gone."""
    client = browser(taught, Role.PLANNER)
    html = client.get("/learning").text
    name = "unit_kinds:motor:turn_days"
    seen = re.search(f'name="seen {re.escape(name)}" value="([^"]+)"', html)
    assert seen is not None
    cells = {f"decide {name}": "reject", f"seen {name}": unescape(seen[1]), "person": "planner"}
    refused = client.post("/learning", data=cells)
    assert refused.status_code == 409
    assert "A rejection says why" in refused.text
    sent = client.post("/learning", data=cells | {"reason": "motors came back late in the flood"})
    assert sent.status_code == 303
    page = client.get(sent.headers["location"]).text
    assert "Booked as event" in page
    assert f'name="decide {name}"' not in page
    assert "motors came back late in the flood" in page
    again = client.post("/learning", data=cells | {"reason": "once more"})
    assert again.status_code == 409


def test_forms_are_filled_in_with_what_the_page_is_about(desk: Desk) -> None:
    """A vehicle in pieces is moved by its lead; a unit in repair is made good, not fitted."""
    shop = browser(desk, Role.SHOP)
    parted = shop.get("/vehicles/103").text
    assert "/book/moved?piece=body:B-103&amp;then=/vehicles/103" in parted
    assert "/book/parted" not in parted
    assert "/book/parted?vehicle_id=102" in shop.get("/vehicles/102").text
    inspector = browser(desk, Role.INSPECTOR)
    motor = inspector.get("/serial?code=motor:M-1").text
    assert "/book/reconditioned?unit=motor:M-1" in motor
    assert "/book/fitted" not in motor
    assert "/papers/unit-labels.pdf?unit=motor:M-1" in motor
    assert "/book/cleared?unit=valve:V-8" in inspector.get("/serial?code=valve:V-8").text
    for address in re.findall(r'href="(/(?:book|papers)/[^"]+)"', motor + parted):
        assert inspector.get(unescape(address)).status_code in (200, 403), address


def test_every_text_of_these_pages_is_their_own() -> None:
    """No key of these texts is used by other pages for other words."""
    others = ENGLISH_BOOKING | ENGLISH_PLANNER
    assert not set(ENGLISH_FLOOR) & set(others)
