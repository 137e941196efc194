"""Papers downloaded from the pages."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

import pytest

from pacewright.events.gate import Admitted, Arrived
from pacewright.ledger.entry import Entry
from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from pacewright.reports.papers.catalogue import SORTS
from paper_ground import text_of
from web_desk import browser, open_desk


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """A works with one vehicle inside that the record knows."""
    one = open_desk(tmp_path_factory.mktemp("desk"))
    now = datetime(2026, 11, 2, 8, 0)
    one.set_clock(lambda: now)
    vehicle = next(row for row in one.works.vehicles if row.state == "running")
    one.book(
        [
            Entry("a", Arrived(now, vehicle.vehicle_id, vehicle.type_id), "clerk"),
            Entry("b", Admitted(now, vehicle.vehicle_id), "clerk"),
        ]
    )
    yield one
    one.close()


def inside(desk: Desk) -> str:
    """Number of the vehicle inside."""
    with desk.standing() as standing:
        return standing.inside()[0].vehicle_id


def test_any_role_gets_the_paper_as_pdf(desk: Desk) -> None:
    """A viewer gets the card under its name, made for reading in the browser."""
    number = inside(desk)
    answer = browser(desk, Role.VIEWER).get(f"/papers/vehicle-card.pdf?vehicle={number}")
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["content-disposition"] == (
        f'inline; filename="vehicle-card-{number}-20261102.pdf"'
    )
    said = text_of(answer.content)
    assert f"Vehicle {number}" in said
    assert "record up to event 2" in said


def test_nobody_signed_in_gets_none(desk: Desk) -> None:
    """Without a session the way leads to signing in."""
    answer = browser(desk).get("/papers/vehicle-card.pdf")
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/sign-in")


@pytest.mark.parametrize(
    ("path", "status", "why"),
    [
        ("/papers/nonsense.pdf", 404, "no such sort"),
        ("/papers/..%2F..%2Fworks.pdf", 404, "no such"),
        ("/papers/vehicle-card.pdf?vehicle=none", 409, "does not know it"),
        ("/papers/vehicle-card.pdf?vehicle=%3Cb%3E", 409, "&lt;b&gt;"),
        ("/papers/day-sheet.pdf?days=0", 409, "whole number from 1 to 60"),
        ("/papers/vehicle-card.pdf?colour=red", 409, "colour was asked"),
    ],
)
def test_wrong_addresses_are_told_as_pages(desk: Desk, path: str, status: int, why: str) -> None:
    """What is not there or cannot be printed is a page that says why, escaped."""
    answer = browser(desk, Role.VIEWER).get(path)
    assert answer.status_code == status
    assert why in answer.text


def test_letter_comes_from_the_desks_plan(desk: Desk) -> None:
    """Papers of the plan use the plan of the pages."""
    depot = desk.works.depots[0]
    answer = browser(desk, Role.PLANNER).get(f"/papers/depot-letter.pdf?depot={depot.depot_id}")
    assert answer.status_code == 200, answer.text
    assert depot.name in text_of(answer.content)


def test_page_of_papers_has_a_form_for_each_sort(desk: Desk) -> None:
    """Every sort has its form; sending it with everything left out prints or says what it needs."""
    client = browser(desk, Role.VIEWER)
    page = client.get("/papers")
    assert page.status_code == 200, page.text
    for key, sort in SORTS.items():
        assert f'action="/papers/{key}.pdf"' in page.text
        for name in sort.picks:
            assert f'id="{key}-{name}"' in page.text
            assert f'for="{key}-{name}"' in page.text
    assert f'<option value="{inside(desk)}">' in page.text


def test_list_of_papers_has_csv_and_rest(desk: Desk) -> None:
    """The same list as table and as JSON."""
    client = browser(desk, Role.VIEWER)
    rows = client.get("/api/papers").json()["data"]["tables"]["papers"]["rows"]
    assert [one["sort"] for one in rows] == list(SORTS)
    assert "inspection-form" in client.get("/papers/csv/papers").text


def test_empty_fields_of_a_form_count_as_left_out(desk: Desk) -> None:
    """A form sends every field; blank ones ask for nothing."""
    client = browser(desk, Role.VIEWER)
    answer = client.get("/papers/day-sheet.pdf?shop=&days=")
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/pdf"


def test_page_of_papers_tells_signs_of_no_font(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """A name with such signs stands on the page with where it is; without any there is no part."""
    client = browser(desk, Role.VIEWER)
    assert "These print as boxes" not in client.get("/papers").text
    assert "Papers are set in Noto Sans" in client.get("/papers").text
    stage = replace(desk.works.stages[0], name="\u4e2d\u6587 bay")
    changed = replace(desk.works, stages=(stage, *desk.works.stages[1:]))
    monkeypatch.setattr(desk, "tables", desk.tables._replace(works=changed))
    monkeypatch.setattr(desk, "look_again", lambda: None)
    page = client.get("/papers").text
    assert "These print as boxes" in page
    assert f"stages, {stage.stage_id}, name" in page
    assert "U+4E2D U+6587" in page
    rows = client.get("/api/papers").json()["data"]["tables"]["signs"]["rows"]
    assert [one["text"] for one in rows] == ["\u4e2d\u6587 bay"]
