"""Every page in a real browser: accessible, quiet, self-sufficient, readable at three widths.

Accessibility is judged by axe-core (rules of WCAG 2.0 to 2.2, levels A and AA) in light and dark,
and by keyboard walks, for a tool sees only a part of it.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, expect

import web_visits
from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from planner_desk import empty_desk
from web_browser import chromium, free_port, served, signed_in
from web_desk import browser
from web_example import open_example, write_example
from web_states import EMPTY, FIRST, FULL, State, first_start, read_only, run_small
from web_visits import DESK, PHONE, TABLET, Visit, Visitor, addresses, look_at
from web_walk import faults_of_walk


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


def look(chrome: Browser, name: str, state: State, address: str) -> Visit:
    """A state, seen by somebody new."""
    context = chrome.new_context()
    context.set_default_timeout(20_000)
    seen = look_at(state(context, address), Visit(name, Role.VIEWER))
    context.close()
    return seen


@pytest.fixture(scope="module")
def states(
    chrome: Browser, address: str, desk: Desk, tmp_path_factory: pytest.TempPathFactory
) -> list[Visit]:
    """Every state that no address alone leads to, seen."""
    done = run_small(desk)
    seen = [look(chrome, name, state, address) for name, state in FULL.items()]
    seen += seen_by_planner(chrome, address, {"whatif-done": done, "whatif-beside": "/whatif"})
    where = tmp_path_factory.mktemp("states")
    shut = first_start(where / "first")
    with served(shut, free_port()) as other:
        seen += [look(chrome, name, state, other) for name, state in FIRST.items()]
    for made, name, paths in (
        (read_only(where / "only"), "read-only", ("/today", "/book")),
        (empty_desk(where / "empty"), "empty", EMPTY),
    ):
        with served(made, free_port()) as other:
            seen += seen_by_planner(chrome, other, {name + path: path for path in paths})
        made.close()
    shut.close()
    return seen


def seen_by_planner(chrome: Browser, address: str, paths: dict[str, str]) -> list[Visit]:
    """Pages of a server in a state of its own; name of the state -> path."""
    visitor = Visitor(chrome, address)
    seen = [visitor.visit(path, Role.PLANNER, name) for name, path in paths.items()]
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


def test_no_state_breaks_a_rule_of_accessibility(states: list[Visit]) -> None:
    """Refusals, faults shown, drafts, the outbox, first start, an empty works: held to the same."""
    assert len(states) > 35
    wrong = found(states, "axe") + found(states, "wide")
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


@pytest.mark.parametrize("width", [DESK, TABLET, PHONE])
def test_tab_walks_every_page_to_its_end(
    chrome: Browser, address: str, pages: list[tuple[str, Role]], width: int
) -> None:
    """By keyboard alone: every control in the order of the page, in sight, large enough, ringed."""
    wrong = []
    look: dict[str, Any] = {"viewport": {"width": width, "height": 800}, "reduced_motion": "reduce"}
    people = {role: chrome.new_context(**look) for role in {role for _, role in pages}}
    seats = {role: signed_in(context, address, role) for role, context in people.items()}
    for path, role in pages:
        seats[role].goto(address + path)
        wrong += [f"{path}: {one}" for one in faults_of_walk(seats[role])]
    for context in people.values():
        context.close()
    assert not wrong, "\n".join(wrong)


def test_the_walk_finds_what_is_wrong(chrome: Browser) -> None:
    """A page made badly: each of its faults is told, and nothing else."""
    page = chrome.new_page(reduced_motion="reduce")
    page.set_content(BAD)
    told = faults_of_walk(page)
    page.close()
    assert [one.split(":")[0] for one in sorted(told)] == sorted(
        [
            "focus not seen",
            "ring of contrast 1.16",
            "only 12 x 12 px",
            "hidden with the focus",
            "not in the order of the page",
            "not reached",
        ]
    ), told


BAD = """<!doctype html><style>
  * { margin: 4px; } button { width: 40px; height: 40px; border: 1px solid; }
  :focus { outline: 3px solid #000; }
  #blind:focus { outline: none; } #pale:focus { outline-color: #eee; }
  #small { width: 12px; height: 12px; padding: 0; }
  #cover { position: fixed; bottom: 0; left: 0; width: 100%; height: 80px; background: #ddd; }
  #under { position: fixed; bottom: 10px; left: 10px; }
</style><button id="blind">a</button><button id="pale">b</button><button id="small">c</button>
<button id="under">d</button><button tabindex="1">first</button><div id="cover"></div>
<button onfocus="this.blur()">e</button>"""
"""A control that takes no focus, one out of order, one under another, one small, two unseen."""


def test_the_skip_link_leads_past_the_frame(chrome: Browser, address: str) -> None:
    """The first step of a page leads to its content; the next control is the content's first."""
    context = chrome.new_context()
    page = signed_in(context, address, Role.PLANNER)
    page.goto(f"{address}/vehicles")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("() => document.activeElement.closest('main') !== null")
    context.close()


def test_a_long_table_opens_and_the_focus_goes_on(chrome: Browser, address: str) -> None:
    """Twelve rows, then all; the focus stands on the thirteenth; a search looks through all."""
    context = chrome.new_context()
    page = signed_in(context, address, Role.PLANNER)
    page.goto(f"{address}/today")
    # The same table throughout, though the plan may come between two looks and bring others.
    name = page.locator(".cut table[data-search]").first.get_attribute("data-name")
    cut = page.locator(f'.cut:has(table[data-name="{name}"])')
    shown = "(rows) => rows.filter((one) => one.checkVisibility()).length"
    rows = cut.locator("tbody tr")
    assert rows.evaluate_all(shown) == 12 < rows.count()
    cut.locator(".whole > summary").focus()
    page.keyboard.press("Enter")
    page.wait_for_function("() => document.activeElement.closest('tbody tr') !== null")
    assert rows.evaluate_all(shown) == rows.count()
    assert page.evaluate("() => document.activeElement.closest('tr').sectionRowIndex") == 12
    page.reload()
    cut.locator("input[type=search]").fill(rows.nth(15).locator("td").nth(1).inner_text())
    assert rows.nth(15).is_visible()
    page.emulate_media(media="print")
    page.reload()
    assert rows.nth(15).is_visible() and not cut.locator(".whole").is_visible()
    context.close()


def test_a_part_renewed_by_itself_keeps_the_focus(
    chrome: Browser, address: str, desk: Desk
) -> None:
    """While a run goes on its part is renewed: who stands on a button there stays on it."""
    context = chrome.new_context()
    page = signed_in(context, address, Role.PLANNER)
    run_small(desk, replications="200", weeks="52", wait=False)
    page.goto(f"{address}/whatif")
    stop = page.locator("#going button")
    stop.focus()
    same = stop.element_handle()
    page.wait_for_function("(was) => !was.isConnected", arg=same)
    assert page.evaluate("() => document.activeElement.id").startswith("stop-")
    browser(desk, Role.PLANNER).post(page.locator("#going form").get_attribute("action") or "")
    expect(stop).to_have_count(0, timeout=30_000)
    page.wait_for_function("() => document.activeElement.id === 'going'")
    context.close()


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


def test_the_looks_find_what_is_wrong(
    chrome: Browser, address: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A page made badly in each way that is looked for: told; and kept as a picture, four times."""
    monkeypatch.setattr(web_visits, "PICTURES", str(tmp_path))
    visitor = Visitor(chrome, address)
    page = visitor.page(Role.VIEWER)
    page.route("**/works", lambda route: route.fulfill(body=UGLY, content_type="text/html"))
    seen = visitor.visit("/works", Role.VIEWER)
    visitor.close()
    told = found([seen], "axe")
    for look in ("light, desk: html-has-lang", "light, desk: image-alt", "dark, desk: color-contr",
                 "tablet: label", "phone: label"):  # fmt: skip
        assert look in told, told
    assert "meant to be said" in seen.said
    assert any("meant to fail" in one for one in seen.said)
    assert seen.foreign == ["http://elsewhere.invalid/x.png"]
    assert {one.split(":")[0] for one in seen.wide} == {"tablet", "phone"}
    kept = {one.name for one in tmp_path.glob("*.png")}
    assert kept == {f"works.{look}.png" for look in ("desk", "desk-dark", "tablet", "phone")}


UGLY = """<!doctype html><title>Ugly</title><main><h1>Ugly</h1>
<img src="http://elsewhere.invalid/x.png"><p style="color:#ccc;background:#fff">pale</p>
<input><div style="width:3000px;background:#fff">wide</div></main>
<script>console.warn("meant to be said"); throw new Error("meant to fail");</script>"""
"""No language, no text for a picture, pale, a field without a name, wide; asks elsewhere."""
