"""The planner's pages: every page, CSV and REST twin answers; forms do what they say."""

from collections.abc import Iterator

import pytest

from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from planner_desk import story_desk
from web_desk import browser

PAGES = ("/today", "/shops", "/shops/elec")


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
    for key in data["tables"]:
        csv = client.get(f"{path}/csv/{key}")
        assert csv.status_code == 200
        assert csv.content.startswith(b"\xef\xbb\xbf")
