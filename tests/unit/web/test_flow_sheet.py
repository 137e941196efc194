"""The flow of a day as a printed sheet: one page, every source of a day, the page by its code."""

from collections.abc import Iterator
from io import BytesIO

import pytest
from pypdf import PdfReader

from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from pacewright.office.sheets.flow_days import forecast_job, shown
from pacewright.office.sheets.today_paper import plan_job
from pacewright.reports.papers.catalogue import SORTS
from pacewright.reports.papers.flow_sheet import flow_sheet
from pacewright.reports.papers.ground import Ground
from paper_ground import ground, text_of
from planner_desk import story_desk
from web_desk import browser

FORECAST, PAST, LONG_AGO = "2026-03-12", "2026-03-09", "2025-01-06"
MM = 25.4 / 72
"""Millimetres of a point of a PDF."""


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The story's works, with its plan and its forecast made."""
    made = story_desk(tmp_path_factory.mktemp("sheet"))
    job = plan_job(made, 60)
    assert job.there()
    assert forecast_job(made, job.made).done.wait(60)
    yield made
    made.close()


@pytest.mark.parametrize(
    ("query", "says"),
    [
        ("", "· now"),
        (f"day={PAST}", "· by the record"),
        (f"day={FORECAST}", "· FORECAST"),
    ],
)
@pytest.mark.parametrize(("size", "wide_mm", "tall_mm"), [("a3", 420, 297), ("a4", 297, 210)])
def test_every_day_is_one_sheet(
    desk: Desk, query: str, says: str, size: str, wide_mm: int, tall_mm: int
) -> None:
    """One page across (ISO 216, from memory) that tells day, source, each stage and the basis."""
    answer = browser(desk, Role.VIEWER).get(f"/papers/flow-sheet.pdf?size={size}&{query}")
    assert answer.status_code == 200, answer.text
    (page,) = PdfReader(BytesIO(answer.content)).pages
    assert float(page.mediabox.width) * MM == pytest.approx(wide_mm, abs=0.1)
    assert float(page.mediabox.height) * MM == pytest.approx(tall_mm, abs=0.1)
    said = text_of(answer.content)
    assert says in said
    assert "record up to event" in said
    day = shown(desk, {"day": query.removeprefix("day=")}).day
    assert day is not None
    for stage in day.stages:
        assert stage.name.split()[0] in said
    standing = [stage.name for stage in day.stages if stage.has_standing]
    assert standing
    # In brackets behind its name what it stands for: the drawing itself has no such brackets.
    assert all(f"{name} (" in said for name in standing)
    piles = "will pile up" if "FORECAST" in says else "piles up"
    for one in ("at work", "done, cannot leave", "out of use", piles):
        assert one in said


def test_who_stands_where_is_printed(desk: Desk) -> None:
    """101 stands for its motor: its number, the word and the reason are on the paper."""
    said = text_of(browser(desk, Role.VIEWER).get("/papers/flow-sheet.pdf").content)
    assert "101" in said
    assert "part: motor" in said


def test_printed_twice_it_is_the_same_file(desk: Desk) -> None:
    """A past day keeps its bytes."""
    client = browser(desk, Role.VIEWER)
    path = f"/papers/flow-sheet.pdf?day={PAST}"
    first, second = client.get(path), client.get(path)
    assert first.content == second.content
    assert f'filename="flow-sheet-{PAST}-a3-' in first.headers["content-disposition"]


@pytest.mark.parametrize(
    ("query", "why"),
    [
        ("size=a0", "size: &#39;a0&#39; found"),
        ("day=soon", "day: &#39;soon&#39; found"),
        ("day=2030-01-07", "The forecast reaches 10 working days"),
        (f"day={LONG_AGO}", "what stood then is not known"),
        ("day=2026-03-15", "no working day"),
    ],
)
def test_what_cannot_be_drawn_is_told(desk: Desk, query: str, why: str) -> None:
    """A wrong size or day, or one that nothing is known of, is a page that says what to do."""
    answer = browser(desk, Role.VIEWER).get(f"/papers/flow-sheet.pdf?{query}")
    assert answer.status_code == 409
    assert why in answer.text


def test_without_a_flow_the_paper_says_so() -> None:
    """The sheet is never drawn from nothing."""
    with pytest.raises(Exception, match="no flow is at hand"):
        flow_sheet(ground())
    assert SORTS["flow-sheet"].of_flow
    assert Ground.__dataclass_fields__["flow"].default is None


def test_page_and_sheet_lead_to_each_other(desk: Desk) -> None:
    """The page of a day links its sheet in both sizes; the code on the sheet opens the page."""
    client = browser(desk, Role.VIEWER)
    html = client.get(f"/flow?day={PAST}").text
    for size in ("a3", "a4"):
        assert f'href="/papers/flow-sheet.pdf?size={size}&amp;day={PAST}"' in html
    answer = client.get(f"/scan?code=flow:{PAST}")
    assert (answer.status_code, answer.headers["location"]) == (303, f"/flow?day={PAST}")
    assert client.get("/scan?code=flow:soon").status_code == 404
