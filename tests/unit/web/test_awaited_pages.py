"""A page whose content is still being made asks by itself, and is shown anew once it is there."""

import threading
import time
from pathlib import Path

import pytest

from pacewright.events.record import Attended
from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from pacewright.office.sheets import today_paper
from planner_desk import NOW, story_desk
from record_entries import entries
from web_desk import browser

ASKS = {"hx-request": "true", "hx-trigger": "being-made"}


def test_the_programme_waits_for_its_plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """While the plan is made the page asks and nothing happens; then it is shown, and whole."""
    goes = threading.Event()
    whole = Desk.plan

    def slow(desk: Desk) -> object:
        goes.wait(30)
        return whole(desk)

    monkeypatch.setattr(Desk, "plan", slow)
    monkeypatch.setattr(today_paper, "PLAN_SECONDS", 0.0)
    desk = story_desk(tmp_path, roles=(Role.VIEWER,))
    client = browser(desk, Role.VIEWER)
    page = client.get("/programme?zone=all").text
    assert 'hx-get="/programme?zone=all"' in page
    assert client.get("/api/programme").json()["data"]["awaited"] is True
    waits = client.get("/programme?zone=all", headers=ASKS)
    assert (waits.status_code, waits.headers.get("hx-refresh")) == (204, None)
    goes.set()
    ends = time.monotonic() + 30
    while client.get("/programme", headers=ASKS).headers.get("hx-refresh") != "true":
        assert time.monotonic() < ends, "never shown"
        time.sleep(0.05)
    assert 'id="being-made"' not in client.get("/programme").text
    assert client.get("/api/programme").json()["data"]["awaited"] is False
    desk.close()


def test_a_page_listens_from_the_event_up_to_which_it_knows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the day is older than the record the page is told of what it does not know."""
    desk = story_desk(tmp_path, roles=(Role.VIEWER,))
    client = browser(desk, Role.VIEWER)
    first = client.get("/today").text
    place = desk.ledger.head().place
    assert f"/live?after={place}" in first
    monkeypatch.setattr(today_paper, "WAIT_SECONDS", -1.0)
    monkeypatch.setattr(today_paper, "REST", 1e9)
    desk.book(entries([Attended(NOW, "elec", "elec", NOW.date(), 2.0, 16.0)], start=900))
    assert f"/live?after={place}" in client.get("/shops").text
    assert f"/live?after={place + 1}" in client.get("/record").text
    desk.close()
