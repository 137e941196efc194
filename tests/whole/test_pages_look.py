"""Every page in a real browser: accessible, quiet, self-sufficient, readable at three widths.

Accessibility is judged by axe-core (rules of WCAG 2.0 to 2.2, levels A and AA) in light and dark,
and by keyboard walks, for a tool sees only a part of it.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from web_browser import chromium, free_port, served, signed_in
from web_example import open_example, write_example
from web_visits import CONTROLS, REACHABLE, Visit, Visitor, addresses, walk

WALKED = 45
"""Controls that Tab is followed through on a page: frame, filters, forms, the first rows."""


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The example with a month of its record."""
    folder = tmp_path_factory.mktemp("pages")
    made = open_example(write_example(folder), folder)
    yield made
    made.close()


@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    """One browser for all."""
    with chromium() as one:
        yield one


@pytest.fixture(scope="module")
def address(desk: Desk) -> Iterator[str]:
    """The example, served."""
    with served(desk, free_port()) as one:
        yield one


@pytest.fixture(scope="module")
def pages(desk: Desk) -> list[tuple[str, Role]]:
    """Every page with something in it, and who looks at it."""
    return addresses(desk)


@pytest.fixture(scope="module")
def visits(chrome: Browser, address: str, pages: list[tuple[str, Role]]) -> list[Visit]:
    """Every page, seen."""
    visitor = Visitor(chrome, address)
    seen = [visitor.visit(path, role) for path, role in pages]
    visitor.close()
    return seen


def found(visits: list[Visit], what: str) -> str:
    """What was found on the pages, a line each."""
    return "\n".join(f"{one.path}: {line}" for one in visits for line in getattr(one, what))


def test_every_area_is_seen(visits: list[Visit]) -> None:
    """The walk goes over all there is: each page has its own title and a question at its head."""
    assert len(visits) > 25
    assert all(one.question and one.title for one in visits)
    firsts = {one.path.split("?")[0].split("/")[1] for one in visits}
    assert {"today", "programme", "vehicles", "shops", "shortages", "record", "people"} <= firsts


def test_no_page_breaks_a_rule_of_accessibility(visits: list[Visit]) -> None:
    """WCAG 2.2 A and AA as far as axe-core sees them, light and dark, desk, tablet and phone."""
    wrong = found(visits, "axe")
    assert not wrong, wrong


def test_no_page_asks_for_anything_elsewhere(visits: list[Visit]) -> None:
    """With the network cut to everything but the server, nothing is missing."""
    wrong = found(visits, "foreign")
    assert not wrong, wrong


def test_no_page_complains_in_the_console(visits: list[Visit]) -> None:
    """No error and no warning: no script fails, nothing breaks the policy, no file is missing."""
    wrong = found(visits, "said")
    assert not wrong, wrong


def test_no_page_is_wider_than_its_window(visits: list[Visit]) -> None:
    """On tablet and phone only tables and drawings scroll sideways, in their own frames."""
    wrong = found(visits, "wide")
    assert not wrong, wrong


def test_tab_reaches_every_control_and_is_seen(
    chrome: Browser, address: str, pages: list[tuple[str, Role]]
) -> None:
    """By keyboard alone: in the order of the page, none left out, the focus always seen."""
    wrong = []
    people = {role: chrome.new_context() for role in {role for _, role in pages}}
    seats = {role: signed_in(context, address, role) for role, context in people.items()}
    for path, role in pages:
        page = seats[role]
        page.goto(address + path)
        steps = list(walk(page, WALKED))
        # What scrolls and is no control may be reached besides; it has no number.
        reached = [one["number"] for one in steps if one["number"] >= 0]
        wanted = [one for one in page.evaluate(REACHABLE, CONTROLS) if one <= max(reached)]
        left = page.evaluate(
            "(missing) => missing.map((one) => window.controls[one].outerHTML.slice(0, 90))",
            [one for one in wanted if one not in reached],
        )
        wrong += [f"{path}: not reached {one}" for one in left]
        if reached != sorted(reached):
            wrong.append(f"{path}: not in the order of the page: {reached}")
        wrong += [f"{path}: focus not seen on {one['html']}" for one in steps if not one["seen"]]
    for context in people.values():
        context.close()
    assert not wrong, "\n".join(wrong)


def test_pages_read_without_script(
    chrome: Browser, address: str, pages: list[tuple[str, Role]]
) -> None:
    """With scripts off every page shows its question and what it has to say."""
    wrong = []
    for role in {role for _, role in pages}:
        context = chrome.new_context(java_script_enabled=False)
        page = signed_in(context, address, role)
        for path in [path for path, seer in pages if seer is role]:
            page.goto(address + path)
            if not page.locator("h1").first.is_visible():
                wrong.append(f"{path}: no question")
            if len(page.locator("main").inner_text()) < 120:
                wrong.append(f"{path}: hardly a word")
        context.close()
    assert not wrong


def test_pictures_are_kept_when_asked_for(visits: list[Visit], tmp_path: Path) -> None:
    """With a folder named each page is there at three widths and in the dark."""
    import web_visits

    if web_visits.PICTURES:
        kept = list(Path(web_visits.PICTURES).glob("*.png"))
        assert len(kept) >= 4 * len({one.path.split("?")[0] for one in visits}) - 4
    else:
        assert not list(tmp_path.glob("*.png"))
