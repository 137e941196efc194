"""Shortages as pages: issuing what is proposed, and robbing on two approvals only."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from fastapi.testclient import TestClient

from pacewright.events.record import Attended
from pacewright.events.units import Robbed
from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from pacewright.office.sheets.shortages import _owners
from pacewright.office.sheets.today_paper import day_paper, plan_job
from planner_desk import NOW, story_desk
from record_entries import entries
from robbing_desk import ROB, priced, with_donor
from web_desk import PASSWORD, browser


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The story's works with a motor to rob and one to issue; nothing is booked on it."""
    made = story_desk(tmp_path_factory.mktemp("shortages"), with_donor())
    assert plan_job(made, 60).there()
    yield made
    made.close()


@pytest.fixture
def own_desk(tmp_path: Any) -> Iterator[Desk]:
    """The same, for one test alone."""
    roles = (Role.PLANNER, Role.ENGINEER, Role.STORES, Role.VIEWER)
    made = story_desk(tmp_path, with_donor(), roles)
    yield made
    made.close()


def approve(client: TestClient, **cells: str) -> Any:
    """Fill in the form of the robbing and send it."""
    html = client.get(ROB).text
    found = re.search(r'name="event_id" value="([^"]*)"', html)
    assert found, html
    sent = {"event_id": found[1], "reason": "101 is promised", **cells}
    return client.post(ROB, data=sent)


def robberies(desk: Desk) -> list[Robbed]:
    """Those of the record."""
    with desk.standing() as standing:
        return list(standing.robberies)


def test_a_shortage_leads_to_who_could_give(desk: Desk) -> None:
    """The list names the want, and its link shows the motor issued for 103."""
    client = browser(desk, Role.VIEWER)
    html = client.get("/shortages").text
    link = re.search(r'href="(/shortages/rob\?for=[^"]*vehicle[^"]*)"', html)
    assert link
    donors = client.get("/api/shortages/rob?for=motor/vehicle:101").json()["data"]["tables"]
    assert [one["unit"] for one in donors["donors"]["rows"]] == ["motor:M-5"]
    assert donors["donors"]["rows"][0]["vehicle_id"] == "103"


def test_what_a_shop_owes_is_summed_over_vehicles(desk: Desk) -> None:
    """Of one vehicle the dearest row counts, as its rows overlap; vehicles add up: 4 + 2."""
    first = day_paper(desk).today.short[0]
    days = (("a", 4.0), ("a", 3.0), ("b", 2.0))
    rows = [replace(first, vehicle_id=name, vehicle_days=one) for name, one in days]
    made = _owners(rows)
    ((*_, together),) = made.rows
    assert made.columns[-1].name == "vehicle_days"
    assert together == pytest.approx(6.0)


def test_the_price_stands_before_the_form(desk: Desk) -> None:
    """Both vehicles with their days and intervals are shown; the form comes after them."""
    priced(desk)
    html = browser(desk, Role.PLANNER).get(ROB).text
    assert "Vehicle 103, robbed" in html
    assert html.index("Vehicle 101, helped") < html.index('name="second_approval"')
    assert 'name="second_approval"' not in browser(desk, Role.VIEWER).get(ROB).text


def test_two_persons_rob(own_desk: Desk) -> None:
    """A planner and an engineer approve: the record names both, and the register shows it."""
    desk = own_desk
    priced(desk)
    client = browser(desk, Role.PLANNER)
    answer = approve(client, second_approval="engineer", second_password=PASSWORD)
    assert answer.status_code == 303, answer.text
    (one,) = robberies(desk)
    assert (one.approved_by, one.second_approval) == ("planner", "engineer")
    assert one.reason == "101 is promised"
    rows = client.get("/api/shortages/rob").json()["data"]["tables"]["register"]["rows"]
    assert [(row["robbed_id"], row["helped_id"]) for row in rows] == [("103", "101")]


@pytest.mark.parametrize(
    ("cells", "status", "said"),
    [
        ({"second_approval": "planner", "second_password": PASSWORD}, 409, "approv"),
        ({"second_approval": "engineer", "second_password": "wrong words here"}, 403, "second"),
        ({"second_approval": "viewer", "second_password": PASSWORD}, 403, "may not"),
        ({"second_approval": "", "second_password": PASSWORD}, 409, "nobody named"),
        (
            {"second_approval": "engineer", "second_password": PASSWORD, "reason": " "},
            409,
            "reason: not given",
        ),
    ],
)
def test_one_person_robs_nothing(desk: Desk, cells: dict[str, str], status: int, said: str) -> None:
    """The same person twice, a wrong password, one without the right, no reason: not booked."""
    priced(desk)
    answer = approve(browser(desk, Role.PLANNER), **cells)
    assert answer.status_code == status
    assert said in answer.text
    assert robberies(desk) == []


def test_nothing_is_robbed_before_its_price_is_there(desk: Desk) -> None:
    """A form sent straight to the server, the price never looked at, is refused."""
    sent = {"event_id": "x", "reason": "y", "second_approval": "engineer",
            "second_password": PASSWORD}  # fmt: skip
    answer = browser(desk, Role.PLANNER).post(
        "/shortages/rob?unit=valve:V-9&to=vehicle:101", data=sent
    )
    assert answer.status_code == 409
    assert robberies(desk) == []


@pytest.mark.parametrize("role", [Role.VIEWER, Role.SHOP, Role.STORES, Role.INSPECTOR])
def test_who_may_not_rob(desk: Desk, role: Role) -> None:
    """Only who may approve a robbing sends its form."""
    assert browser(desk, role).post(ROB, data={"event_id": "x"}).status_code == 403


def test_what_is_proposed_is_issued_once(own_desk: Desk) -> None:
    """Stores tick the motor for 101; sent twice it is booked once."""
    desk = own_desk
    client = browser(desk, Role.STORES)
    html = client.get("/shortages/allot").text
    tick = re.search(r'name="(tick-[-\d]+)" value="(motor:M-6 for vehicle:101)"', html)
    assert tick, html
    found = re.search(r'name="event_id" value="([^"]*)"', html)
    assert found
    sent = {tick[1]: tick[2], "event_id": found[1]}
    before = desk.ledger.head().place
    assert client.post("/shortages/allot", data=sent).status_code == 303
    assert desk.ledger.head().place == before + 1
    client.post("/shortages/allot", data=sent)
    assert desk.ledger.head().place == before + 1
    assert browser(desk, Role.VIEWER).post("/shortages/allot", data=sent).status_code == 403


@pytest.mark.parametrize("sent", [{}, {"tick-1": "motor:M-99 for vehicle:101"}])
def test_only_what_is_proposed_is_issued(desk: Desk, sent: dict[str, str]) -> None:
    """Nothing ticked, or something that is not proposed: not booked, and said so."""
    answer = browser(desk, Role.STORES).post("/shortages/allot", data={"event_id": "x", **sent})
    assert answer.status_code == 409
    assert "ticked in the proposal" in answer.text


@pytest.mark.parametrize(
    "query",
    [
        "for=motor/vehicle:999",
        "unit=motor:none&to=vehicle:101",
        "unit=nonsense&to=vehicle:101",
        "unit=motor:M-5&to=x",
    ],
)
def test_unknown_codes_are_not_found(desk: Desk, query: str) -> None:
    """A code the record does not know leads to a page that says so."""
    assert browser(desk, Role.VIEWER).get(f"/shortages/rob?{query}").status_code == 404


def test_a_price_outlives_what_is_booked_meanwhile(own_desk: Desk) -> None:
    """In a busy works the price stays on the page, and its form works, while another is made."""
    desk = own_desk
    priced(desk)
    at = NOW + timedelta(minutes=1)
    desk.set_clock(lambda: at)
    priced(desk)
    booked = Attended(at, "elec", "elec", at.date(), 2.0, 16.0)
    desk.book(entries([booked], start=900))
    client = browser(desk, Role.PLANNER)
    answer = approve(client, second_approval="engineer", second_password=PASSWORD)
    assert answer.status_code == 303, answer.text
