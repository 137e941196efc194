"""Pages in states that no address alone leads to: refused, half filled, waiting, empty, shut."""

import time
from collections.abc import Callable
from pathlib import Path
from unittest.mock import patch

from playwright.sync_api import BrowserContext, FilePayload, Page, expect

from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from pacewright.office.whatif_desk import trials_of
from planner_desk import NOW, empty_desk, story_desk
from web_browser import signed_in
from web_desk import browser, quick_hashing
from web_visits import DESK

State = Callable[[BrowserContext, str], Page]
"""Brings a new browser to a state of the server at an address."""

CALL = "/book/called"


_PAST_CHECKS = """(one) => {
  one.noValidate = true;
  const folded = one.closest("details");
  if (folded) folded.open = true;
}"""


def _opened(context: BrowserContext, address: str, path: str, role: Role | None) -> Page:
    page = context.new_page() if role is None else signed_in(context, address, role)
    page.set_viewport_size({"width": DESK, "height": 900})
    page.goto(address + path)
    return page


def at(path: str, role: Role | None = None) -> State:
    """The state is a page as it is."""
    return lambda context, address: _opened(context, address, path, role)


def sent(path: str, role: Role | None, form: str, **cells: str) -> State:
    """A form sent as it must not be, past the checks of the browser; its faults are shown."""

    def state(context: BrowserContext, address: str) -> Page:
        page = _opened(context, address, path, role)
        page.eval_on_selector(form, _PAST_CHECKS)
        for name, text in cells.items():
            page.fill(f"{form} [name={name}]", text)
        page.locator(f"{form} button:not([type=button])").last.click()
        expect(page.locator("main .faulty p").first).to_be_visible()
        return page

    return state


def _fails(context: BrowserContext, address: str) -> Page:
    page = _opened(context, address, "/works", Role.VIEWER)
    with patch("pacewright.web.sheet_pages.made", side_effect=RuntimeError("meant to fail")):
        page.goto(address + "/works")
    return page


def _draft(context: BrowserContext, address: str) -> Page:
    page = _opened(context, address, CALL, Role.PLANNER)
    page.fill("[name=vehicle_id]", "half filled")
    page.reload()
    expect(page.locator(".draft")).to_be_visible()
    return page


def _waits(context: BrowserContext, address: str) -> Page:
    page = _opened(context, address, CALL, Role.PLANNER)
    context.set_offline(True)
    page.eval_on_selector("form[data-book]", _PAST_CHECKS)
    page.fill("[name=vehicle_id]", "no such vehicle")
    page.click("form[data-book] button.main")
    expect(page.locator("#outbox button")).to_have_count(1)
    return page


def _refused_later(context: BrowserContext, address: str) -> Page:
    page = _waits(context, address)
    context.set_offline(False)  # and what waits is sent by itself
    expect(page.locator("#outbox a")).to_be_visible()
    return page


def _throttled(context: BrowserContext, address: str) -> Page:
    page = _opened(context, address, "/sign-in", None)
    for _ in range(7):
        page.fill("#name", "nobody")
        page.fill("#password", "not the password")
        page.click("form:has(#name) button")
        page.wait_for_load_state()
    expect(page.locator(".faulty")).to_contain_text("Too many wrong tries")
    return page


def _import_faults(context: BrowserContext, address: str) -> Page:
    page = _opened(context, address, "/import", Role.PLANNER)
    bad = FilePayload(name="moved.csv", mimeType="text/csv", buffer=b"piece,stage_id\nx,y\n")
    page.set_input_files("#files", bad)
    page.click("form:has(#files) button")
    page.wait_for_load_state()
    return page


FULL: dict[str, State] = {
    "sign-in": at("/sign-in"),
    "sign-in-refused": sent("/sign-in", None, "form:has(#name)", name="nobody", password="wrong"),
    "sign-in-shut": _throttled,
    "fault-403": at("/people", Role.VIEWER),
    "fault-404": at("/vehicles/none-such", Role.VIEWER),
    "fault-409": at("/book/corrected", Role.PLANNER),
    "fault-422": at("/record?before=yesterday", Role.VIEWER),
    "fault-500": _fails,
    "book-faults": sent(CALL, Role.PLANNER, "form[data-book]", vehicle_id=""),
    "people-faults": sent(
        "/people", Role.ADMINISTRATOR, "#open form", name="X!", shown=" ", password="short"
    ),
    "tokens-faults": sent("/tokens", Role.PLANNER, "#make form", note="", days="many"),
    "whatif-faults": sent("/whatif", Role.PLANNER, "form.whatif", name="x", positions="lots"),
    "import-faults": _import_faults,
    "book-draft": _draft,
    "outbox-waits": _waits,
    "outbox-refused": _refused_later,
}
"""Name -> what brings a page of the example to it."""

FIRST: dict[str, State] = {
    "first-start": at("/sign-in"),
    "first-start-faults": sent(
        "/sign-in", None, "main form", name="X!", shown="Who", password="short"
    ),
}
"""The same of a works nobody has an account of."""

EMPTY = (
    *("/today", "/programme", "/vehicles", "/shops", "/parts", "/shortages", "/shortages/allot"),
    *("/flow", "/papers", "/whatif", "/learning", "/inspection", "/record", "/works"),
)
"""Pages of a works in whose record nothing stands yet."""


def first_start(folder: Path) -> Desk:
    """A works nobody has an account of."""
    return empty_desk(folder, ())


def read_only(folder: Path) -> Desk:
    """A works with a story, opened for looking alone."""
    made = story_desk(folder)
    made.close()
    with quick_hashing():
        return Desk(made.path, read_only=True, clock=lambda: NOW)


def run_small(desk: Desk, replications: str = "10", weeks: str = "4", *, wait: bool = True) -> str:
    """Let the planner run a change, to its end if that is waited for; address of its page."""
    stage = desk.works.stages[0].stage_id
    form = {"name": "One more", "stage": stage, "positions": "4", "start": "now"}
    form |= {"replications": replications, "weeks": weeks}
    answer = browser(desk, Role.PLANNER).post("/whatif", data=form)
    assert answer.status_code == 303, answer.text
    address = answer.headers["location"]
    number, ends = int(address.rsplit("/", 1)[1]), time.monotonic() + 60
    while wait and not trials_of(desk).one(number).state.is_over:
        assert time.monotonic() < ends, "the run is not over after a minute"
        time.sleep(0.05)
    return str(address)
