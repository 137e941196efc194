"""A robbing approved by two persons at two screens: asked, seen, agreed to, refused, withdrawn."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, time, timedelta
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from pacewright.base.settings import Shutdown
from pacewright.events.things import Unit
from pacewright.events.units import Received, Robbed, RobbingDeclined
from pacewright.office.agreeing import waits_until
from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from pacewright.office.sheets.today_paper import plan_job
from planner_desk import NOW, story_desk
from record_entries import entry
from robbing_desk import ROB, priced, with_donor
from web_desk import PASSWORD, browser

UNIT = "motor:M-5"
WAITS = "/shortages/rob?waiting=motor:M-5"
WHY = "101 is promised"


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """The story's works with a motor to rob, its price seen."""
    roles = (Role.PLANNER, Role.ENGINEER, Role.VIEWER)
    made = story_desk(tmp_path, with_donor(), roles)
    assert plan_job(made, 60).there()
    priced(made)
    yield made
    made.close()


def send(client: TestClient, address: str, act: str, **cells: str) -> Any:
    """Open a page and send its form of an act."""
    html = client.get(address).text
    form = next(
        one
        for one in re.findall(r"<form.*?</form>", html, re.S)
        if f'name="act" value="{act}"' in one
    )
    told = dict(re.findall(r'name="(event_id|person|act)" value="([^"]*)"', form))
    action = re.search(r'action="([^"]*)"', form)
    assert action
    return client.post(action[1].replace("&amp;", "&"), data=told | cells)


def forms(client: TestClient, address: str = WAITS) -> set[str]:
    """What the forms of the page do."""
    return set(re.findall(r'name="act" value="([^"]*)"', client.get(address).text))


def asked(desk: Desk) -> TestClient:
    """A planner who has approved as the first."""
    planner = browser(desk, Role.PLANNER)
    answer = send(planner, ROB, "ask", reason=WHY)
    assert answer.status_code == 303, answer.text
    return planner


def robberies(desk: Desk) -> list[Robbed]:
    """Those of the record."""
    with desk.standing() as standing:
        return list(standing.robberies)


def waits(desk: Desk) -> bool:
    """Whether it waits."""
    with desk.standing() as standing:
        return Unit("motor", "M-5") in standing.robbing_asked


def test_one_asks_and_another_agrees_at_an_own_screen(desk: Desk) -> None:
    """It waits with nothing booked; the second sees price, name and reason, and books both."""
    planner = asked(desk)
    assert robberies(desk) == []
    assert forms(planner) == {"decline"}
    engineer = browser(desk, Role.ENGINEER)
    html = engineer.get(WAITS).text
    assert "The planner approved it on" in html
    assert WHY in html
    assert html.index("Vehicle 101, helped") < html.index('name="act" value="agree"')
    assert send(engineer, WAITS, "agree").status_code == 303
    (one,) = robberies(desk)
    assert (one.approved_by, one.second_approval, one.reason) == ("planner", "engineer", WHY)
    (kept,) = desk.ledger.entries(kind="robbed")
    assert kept.entry.recorded_by == "engineer"
    assert not waits(desk)
    assert engineer.get(WAITS).status_code == 404


def test_it_is_seen_by_those_who_may_give_the_second(desk: Desk) -> None:
    """On Today of another who may approve, on Shortages and over REST with its age."""
    planner = asked(desk)
    desk.set_clock(lambda: NOW + timedelta(hours=3))
    link = 'href="/shortages/rob?waiting=motor%3AM-5"'
    for role, seen in ((Role.ENGINEER, True), (Role.PLANNER, False), (Role.VIEWER, False)):
        assert (link in browser(desk, role).get("/today").text) is seen, role
    (row,) = planner.get("/api/shortages").json()["data"]["tables"]["waiting"]["rows"]
    assert (row["unit"], row["off"], row["to"]) == (UNIT, "vehicle:103", "vehicle:101")
    assert (row["shown"], row["reason"], row["age_hours"]) == ("The planner", WHY, 3.0)
    assert row["state"] == "waits"
    assert forms(browser(desk, Role.VIEWER)) == set()


def test_a_restart_of_the_server_loses_nothing(desk: Desk) -> None:
    """What was asked is an event of the record: another server over it goes on."""
    asked(desk)
    other = Desk(desk.path, clock=lambda: NOW)
    try:
        assert plan_job(other, 60).there()
        priced(other)
        assert send(browser(other, Role.ENGINEER), WAITS, "agree").status_code == 303
    finally:
        other.close()
    assert len(robberies(desk)) == 1


@pytest.mark.parametrize(
    ("role", "form"), [(Role.ENGINEER, "Refuse it"), (Role.PLANNER, "Withdraw it")]
)
def test_it_is_refused_or_withdrawn_with_a_reason(desk: Desk, role: Role, form: str) -> None:
    """Without a reason it stays; then it waits no more, and the record keeps who and why."""
    asked(desk)
    client = browser(desk, role)
    assert form in client.get(WAITS).text
    bare = send(client, WAITS, "decline", reason="  ")
    assert (bare.status_code, waits(desk)) == (409, True)
    assert "reason: not given" in bare.text
    assert send(client, WAITS, "decline", reason="103 goes first").status_code == 303
    assert not waits(desk)
    (kept,) = desk.ledger.entries(kind="robbing_declined")
    event = kept.entry.event
    assert isinstance(event, RobbingDeclined)
    assert (event.declined_by, event.reason) == (role.value, "103 goes first")
    assert robberies(desk) == []
    assert forms(browser(desk, Role.ENGINEER), ROB) == {"ask"}


def post(client: TestClient, act: str, address: str = ROB) -> Any:
    """Send a form that the page does not show."""
    sent = {"act": act, "event_id": f"by-hand-{act}", "reason": "so"}
    return client.post(address, data=sent)


@pytest.mark.parametrize("last", ["agree", "decline"])
def test_a_form_sent_twice_is_done_once_and_answered_alike(desk: Desk, last: str) -> None:
    """A double tap, or an answer lost on the way, is no refusal; another's form is none of it."""
    for role, act in ((Role.PLANNER, "ask"), (Role.ENGINEER, last)):
        client = browser(desk, role)
        answers = [post(client, act) for _ in range(2)]
        assert [one.status_code for one in answers] == [303, 303]
        assert answers[0].headers["location"] == answers[1].headers["location"]
        assert len(list(desk.ledger.entries(kind=KIND[act]))) == 1
    assert post(browser(desk, Role.PLANNER), last).status_code == 409


KIND = {"ask": "robbing_asked", "agree": "robbed", "decline": "robbing_declined"}


def test_who_approved_first_is_never_the_second(desk: Desk) -> None:
    """Neither by a form made by hand, nor over REST under any spelling of the name."""
    planner = asked(desk)
    answer = post(planner, "agree")
    assert answer.status_code == 409
    assert "Two persons approve" in answer.text
    for second in ("planner", "Planner", " planner "):
        assert rest(planner, approved_by="planner", second_approval=second).status_code in (
            403,
            409,
        )
    assert robberies(desk) == []


def test_a_viewer_neither_asks_nor_agrees_nor_declines(desk: Desk) -> None:
    """The right to approve is asked of every act."""
    asked(desk)
    viewer = browser(desk, Role.VIEWER)
    for act in ("ask", "agree", "decline", ""):
        assert post(viewer, act).status_code == 403
    assert waits(desk)


def test_its_time_ends_with_the_next_working_day(desk: Desk) -> None:
    """Then nobody agrees to it any more; it may be asked anew, or taken off the list."""
    asked(desk)
    with desk.standing() as standing:
        until = standing.robbing_asked[Unit("motor", "M-5")].until
    assert until == datetime.combine(NOW.date() + timedelta(days=1), time(23, 59))
    desk.set_clock(lambda: until + timedelta(minutes=1))
    priced(desk)
    engineer = browser(desk, Role.ENGINEER)
    assert forms(engineer) == {"decline", "ask"}
    answer = post(engineer, "agree")
    assert answer.status_code == 403
    assert "it waited until" in answer.text
    (row,) = engineer.get("/api/shortages").json()["data"]["tables"]["waiting"]["rows"]
    assert row["state"] == "its time is over"
    assert "Waits for your approval" not in engineer.get("/today").text
    assert send(engineer, WAITS, "ask", reason="still short").status_code == 303
    assert robberies(desk) == []


def test_a_case_that_changed_meanwhile_is_told_and_not_booked(desk: Desk) -> None:
    """The unit went back to the store: the page says so, agreeing is refused, declining is not."""
    asked(desk)
    back = Received(NOW, Unit("motor", "M-5"), "store")
    assert desk.book([entry("back", back)])[0].place
    engineer = browser(desk, Role.ENGINEER)
    html = engineer.get(WAITS).text
    assert "it is at store" in html
    assert forms(engineer) == {"decline"}
    answer = post(engineer, "agree", WAITS)
    assert answer.status_code == 409
    assert robberies(desk) == []
    assert send(engineer, WAITS, "decline", reason="it is in the store").status_code == 303


def test_the_first_must_still_be_one_who_may(desk: Desk) -> None:
    """An account closed since gives no approval any more."""
    asked(desk)
    account = desk.access.people.account("planner")
    assert account is not None
    desk.access.people.keep(replace(account, open=False))
    answer = send(browser(desk, Role.ENGINEER), WAITS, "agree")
    assert answer.status_code == 403
    assert "may not approve taking a unit off another vehicle any more" in answer.text
    assert robberies(desk) == []


def test_a_unit_is_asked_for_once(desk: Desk) -> None:
    """Who asks again is told who asked; both at one screen still goes, and settles what waits."""
    planner = asked(desk)
    again = post(browser(desk, Role.ENGINEER), "ask")
    assert again.status_code == 409
    assert "planner asked for it" in again.text
    sent = {"event_id": "together", "reason": WHY, "second_approval": "engineer"}
    assert planner.post(ROB, data=sent | {"second_password": PASSWORD}).status_code == 303
    assert len(robberies(desk)) == 1
    assert not waits(desk)
    late = post(browser(desk, Role.ENGINEER), "agree")
    assert late.status_code == 409


def rest(client: TestClient, **fields: str) -> Any:
    """A robbing booked over REST."""
    event = {"kind": "robbed", "unit": UNIT, "off": "vehicle:103", "to": "vehicle:101"}
    return client.post(
        "/api/events", json={"events": [{"event": event | {"reason": WHY} | fields}]}
    )


def test_over_rest_it_goes_the_same_way(desk: Desk) -> None:
    """Asked and agreed to as events, each by a person's own; no password goes along."""
    planner, engineer = browser(desk, Role.PLANNER), browser(desk, Role.ENGINEER)
    early = rest(engineer, approved_by="planner", second_approval="engineer")
    assert early.status_code == 403
    assert "none waits for a second approval" in early.text
    event = {"kind": "robbing_asked", "unit": UNIT, "off": "vehicle:103", "to": "vehicle:101"}
    done = planner.post("/api/events", json={"events": [{"event": event | {"reason": WHY}}]})
    assert done.status_code == 200, done.text
    for wrong in (
        {"approved_by": "viewer", "second_approval": "engineer"},
        {"approved_by": "planner", "second_approval": "viewer"},
        {"approved_by": "planner", "second_approval": "engineer", "to": "vehicle:102"},
    ):
        assert rest(engineer, **wrong).status_code == 403, wrong
    assert rest(engineer, approved_by="planner", second_approval="engineer").status_code == 200
    assert [one.second_approval for one in robberies(desk)] == ["engineer"]


def test_the_name_of_another_is_not_asked_with(desk: Desk) -> None:
    """Nobody asks, or declines, in the name of another."""
    engineer = browser(desk, Role.ENGINEER)
    event = {"kind": "robbing_asked", "unit": UNIT, "off": "vehicle:103", "to": "vehicle:101"}
    as_other = event | {"approved_by": "planner", "reason": WHY}
    answer = engineer.post("/api/events", json={"events": [{"event": as_other}]})
    assert answer.status_code == 403
    assert not waits(desk)


def test_a_long_shutdown_lets_it_wait_fourteen_days_at_most(desk: Desk) -> None:
    """Over a weekend until Monday night; beyond fourteen days the record takes none."""
    friday = datetime(2026, 3, 6, 15, 0)
    assert waits_until(desk.works, friday) == datetime(2026, 3, 9, 23, 59)
    closed = Shutdown("rest", friday.date(), friday.date() + timedelta(days=40))
    calendar = replace(desk.works.settings.calendar, shutdowns=(closed,))
    shut = replace(desk.works, settings=replace(desk.works.settings, calendar=calendar))
    assert waits_until(shut, friday) == friday + timedelta(days=14)
