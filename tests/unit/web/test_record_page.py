"""The record's page: what it filters by, and the way to older events and back."""

import json
import re
from collections.abc import Iterator
from datetime import datetime
from html import unescape

import pytest
from fastapi.testclient import TestClient

from pacewright.events.record import Attended
from pacewright.ledger.chain import START, Row
from pacewright.ledger.entry import Entry
from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from planner_desk import story_desk
from web_desk import browser


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The small works with its story."""
    made = story_desk(tmp_path_factory.mktemp("record-page"))
    yield made
    made.close()


@pytest.fixture
def viewer(desk: Desk) -> TestClient:
    """A viewer's browser."""
    return browser(desk, Role.VIEWER)


def places(html: str) -> list[int]:
    """Places of the events shown."""
    return [int(one) for one in re.findall(r'<td><a href="/record/(\d+)">', html)]


def test_the_filter_shows_what_was_asked(desk: Desk, viewer: TestClient) -> None:
    """The form comes back as it was sent, blanks ask nothing, and only what fits is shown."""
    kinds = [(one.place, one.entry.event) for one in desk.ledger.entries()]
    wanted = [place for place, event in kinds if type(event).__name__ == "Moved"]
    assert wanted
    html = viewer.get("/record?about=&kind=moved&by=&since=").text
    assert places(html) == sorted(wanted, reverse=True)
    assert '<option value="moved" selected>' in html
    assert places(viewer.get("/record?about=&kind=&by=nobody+such&since=").text) == []
    assert viewer.get("/record?about=nonsense").status_code == 422


def test_links_lead_through_the_whole_record(
    desk: Desk, viewer: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Page after page of older events: each once, none left out; the newest are a link away."""
    for module in ("office.sheets.record", "web.record_forms"):
        monkeypatch.setattr(f"pacewright.{module}.PAGE_ROWS", 7)
    seen: list[int] = []
    address = "/record?by="
    while address:
        html = viewer.get(address).text
        seen += places(html)
        link = re.search(r'href="([^"]*)" rel="next"', html)
        address = link[1].replace("&amp;", "&") if link else ""
        assert ('rel="prev"' in html) == (len(seen) > 7)
    assert seen == list(range(desk.ledger.head().place, 0, -1))


def test_what_is_kept_is_shown_sign_by_sign(desk: Desk, viewer: TestClient) -> None:
    """An event's page shows the very text that is kept: no day of it is written otherwise."""
    crew, now = desk.works.people[0], desk.now()
    event = Attended(now, crew.shop_id, crew.trade_id, now.date(), 1.0, 8.0)
    entry = Entry("2026-03-02", event, "clerk", reference="docket 2026-03-02 07:30")
    (answer,) = desk.book([entry])
    assert answer.place, answer.reasons
    (row,) = list(desk.ledger.entries(after=answer.place - 1))
    assert json.loads(row.body)["at"] == event.at.isoformat()
    html = viewer.get(f"/record/{answer.place}").text
    exact = [unescape(one) for one in re.findall(r"<td><code>(.*?)</code>", html)]
    assert {row.body, "2026-03-02", "docket 2026-03-02 07:30", row.digest} <= set(exact)
    assert "docket 2026-03-02 07:30" in viewer.get("/record").text
    told = viewer.get(f"/api/record/{answer.place}").json()["data"]["tables"]["kept"]["rows"]
    assert {one["text"] for one in told} >= set(exact)


def test_an_event_of_an_earlier_version_is_shown_as_it_was_written() -> None:
    """What is kept stays as it was written, though the event is read by today's version."""
    body = (
        '{"at":"2026-03-02T07:30:00","item_id":"weld","limit":null,"measurement":null,'
        '"piece":["body","B-1"],"reading_unit":"","verdict":"use","version":1,"kind":"found"}'
    )
    at = datetime(2026, 3, 2, 7, 30)
    row = Row(1, "a", "found", 1, at, at, 0, "clerk", "", "", body, START, START)
    assert row.kept().body == body
    assert "photo" in type(row.kept().entry.event).__dataclass_fields__
