"""The record's page: what it filters by, and the way to older events and back."""

import re
from collections.abc import Iterator

import pytest
from fastapi.testclient import TestClient

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
