"""What the script of a page keeps: drafts, bookings made while the connection is down."""

import re
import time
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from web_booking import VEHICLE, let_in
from web_browser import chromium, enter, free_port, served, signed_in
from web_desk import open_desk


class Bench:
    """A works, its server that can be stopped, and a browser."""

    def __init__(self, desk: Desk, browser: Browser) -> None:
        self.desk, self.browser, self.port = desk, browser, free_port()
        self.address = f"http://127.0.0.1:{self.port}"
        self._serving: object = None

    def start(self) -> None:
        """Start the server, at the same port as before."""
        self.desk.closing = False
        self._serving = served(self.desk, self.port)
        self._serving.__enter__()

    def stop(self) -> None:
        """Stop the server; the works stays open, pages that listen for news are told."""
        self.desk.closing = True
        if self._serving is not None:
            self._serving.__exit__(None, None, None)  # type: ignore[attr-defined]
        self._serving = None

    def places(self) -> int:
        """How many events are recorded."""
        return self.desk.ledger.head().place


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    """A tram inside, a server, a browser."""
    desk = open_desk(tmp_path_factory.mktemp("outbox"))
    let_in(desk)
    with chromium() as browser:
        made = Bench(desk, browser)
        made.start()
        yield made
        made.stop()
    desk.close()


@pytest.fixture
def context(bench: Bench) -> Iterator[BrowserContext]:
    """A browser without memory; it must not have said anything wrong at the end."""
    made = bench.browser.new_context()
    wrong: list[str] = []
    made.on("weberror", lambda error: wrong.append(str(error.error)))
    made.on(
        "console",
        lambda said: (
            wrong.append(said.text)
            if said.type == "error"
            and "Failed to load resource" not in said.text
            and "net::ERR" not in said.text
            else None
        ),
    )
    yield made
    made.close()
    assert not wrong


@pytest.fixture
def planner(bench: Bench, context: BrowserContext) -> Page:
    """A planner's page."""
    return signed_in(context, bench.address, Role.PLANNER)


def hold(page: Page, address: str, reason: str) -> None:
    """Fill in that the tram stands."""
    page.goto(f"{address}/book/held?piece=vehicle:{VEHICLE}")
    page.select_option("#f-cause", "people")
    page.fill("#f-reason", reason)


def test_a_booking_leads_to_what_was_booked(bench: Bench, planner: Page) -> None:
    """Pressed twice quickly, it is booked once, and the page says what was booked."""
    before = bench.places()
    hold(planner, bench.address, "twice")
    planner.dblclick("button:has-text('Book')")
    planner.wait_for_url("**/record/*")
    expect(planner.locator("#said")).to_contain_text("twice")
    assert bench.places() == before + 1


def test_a_refusal_stands_above_the_form_and_nothing_is_lost(bench: Bench, planner: Page) -> None:
    """The faults come without leaving the page; what was typed stays."""
    planner.goto(f"{bench.address}/book/admitted?vehicle_id=P0002")
    planner.fill("#reference", "docket 9")
    planner.click("button:has-text('Book')")
    expect(planner.locator("[data-answer].faulty")).to_contain_text("P0002")
    assert planner.input_value("#reference") == "docket 9"


def test_a_draft_is_there_again_and_belongs_to_its_address(bench: Bench, planner: Page) -> None:
    """What was typed comes back after a reload, also over a restart of the server; another
    piece's form does not get it.
    """
    hold(planner, bench.address, "half typed")
    bench.stop()
    bench.start()
    planner.reload()
    assert planner.input_value("#f-reason") == "half typed"
    assert planner.input_value("#f-cause") == "people"
    assert planner.input_value("#f-piece") == f"vehicle:{VEHICLE}"
    planner.goto(f"{bench.address}/book/held?piece=vehicle:P0002")
    assert planner.input_value("#f-reason") == ""
    assert planner.input_value("#f-piece") == "vehicle:P0002"
    planner.goto(f"{bench.address}/book/held?piece=vehicle:{VEHICLE}")
    planner.click("text=Empty the form")
    planner.reload()
    assert planner.input_value("#f-reason") == ""


def test_what_is_booked_without_a_connection_waits_and_is_sent_once(
    bench: Bench, planner: Page
) -> None:
    """It waits in sight, over a reload of the page as well, and is sent once when it can."""
    hold(planner, bench.address, "offline")
    before = bench.places()
    bench.stop()
    planner.click("button:has-text('Book')")
    box = planner.locator("#outbox")
    expect(box).to_contain_text("1 booking waits for the connection: Held")
    assert planner.input_value("#f-reason") == ""
    bench.start()
    expect(box).to_contain_text("Booked: Held", timeout=15_000)
    planner.reload()
    expect(box).to_be_hidden()
    assert bench.places() == before + 1
    last = next(iter(bench.desk.ledger.entries(newest_first=True, limit=1))).entry
    assert (last.event.reason, last.recorded_by) == ("offline", "planner")  # type: ignore[attr-defined]


def test_an_answer_that_was_lost_books_nothing_twice(bench: Bench, planner: Page) -> None:
    """The server took it but the answer did not come: sending again is known."""
    hold(planner, bench.address, "lost answer")
    before = bench.places()
    lost = []

    def take_and_lose(route: object) -> None:
        if not lost:
            lost.append(route.fetch())  # type: ignore[attr-defined]
            route.abort()  # type: ignore[attr-defined]
        else:
            route.continue_()  # type: ignore[attr-defined]

    planner.route("**/book/held", take_and_lose)
    planner.click("button:has-text('Book')")
    expect(planner.locator("#outbox")).to_contain_text("Booked: Held", timeout=15_000)
    assert bench.places() == before + 1


def test_what_is_refused_after_waiting_stays_in_sight(bench: Bench, planner: Page) -> None:
    """The record's reason is shown until it was read, and the form opens filled in again."""
    planner.goto(f"{bench.address}/book/admitted?vehicle_id=P0002")
    planner.fill("#reference", "docket 12")
    bench.stop()
    planner.click("button:has-text('Book')")
    box = planner.locator("#outbox")
    expect(box).to_contain_text("waits")
    bench.start()
    expect(box).to_contain_text("Not booked: Admitted", timeout=15_000)
    planner.goto(f"{bench.address}/record")
    expect(box).to_contain_text("P0002")
    planner.click("#outbox a")
    assert planner.input_value("#reference") == "docket 12"
    planner.click("#outbox button:has-text('Read')")
    expect(box).to_be_hidden()
    planner.reload()
    expect(box).to_be_hidden()


def test_what_waits_for_one_person_is_not_sent_by_the_next(bench: Bench, planner: Page) -> None:
    """On a shared tablet another's waiting booking is neither shown nor sent."""
    hold(planner, bench.address, "mine")
    before = bench.places()
    bench.stop()
    planner.click("button:has-text('Book')")
    expect(planner.locator("#outbox")).to_contain_text("waits")
    planner.context.clear_cookies()
    bench.start()
    enter(planner, bench.address, Role.SHOP)
    planner.goto(f"{bench.address}/record")
    expect(planner.locator("#outbox")).to_be_hidden()
    planner.wait_for_timeout(4500)
    assert bench.places() == before
    planner.context.clear_cookies()
    enter(planner, bench.address, Role.PLANNER)
    until = time.monotonic() + 15
    while bench.places() == before and time.monotonic() < until:
        planner.wait_for_timeout(100)
    assert bench.places() == before + 1


def test_a_password_is_never_put_by(bench: Bench, planner: Page) -> None:
    """A form with a second person's password is not kept in the browser."""
    planner.goto(f"{bench.address}/book/robbed")
    for name in ("unit", "off", "to", "second_approval"):
        planner.fill(f"#f-{name}", "motor:M-1" if name != "second_approval" else "engineer")
    planner.fill("input[type=password]", "a secret of mine")
    bench.stop()
    planner.click("button:has-text('Book')")
    expect(planner.locator("[data-answer]")).to_contain_text("A password is not kept")
    assert "a secret of mine" not in planner.evaluate("JSON.stringify({...localStorage})")
    expect(planner.locator("#outbox")).to_be_hidden()
    bench.start()


def test_an_inspection_is_sent_item_by_item_and_the_rest_stays(
    bench: Bench, context: BrowserContext
) -> None:
    """Sent is the item whose button was pressed; the others are drafts still, and Enter sends
    nothing.
    """
    page = signed_in(context, bench.address, Role.INSPECTOR)
    page.goto(f"{bench.address}/inspection/{VEHICLE}")
    free = page.locator(".itemform:has(fieldset)")
    count, before = free.count(), bench.places()
    assert count > 3
    free.nth(0).locator("label:has(input[value=repair])").click()
    free.nth(1).locator("label:has(input[value=use])").click()
    name = free.nth(1).locator("input[value=use]").get_attribute("name")
    free.nth(0).locator("button").click()
    page.wait_for_url("**booked=*")
    expect(page.locator("#said")).to_contain_text("verdict repair")
    assert bench.places() == before + 1
    assert free.count() == count - 1
    assert page.locator(f'input[name="{name}"][value=use]').is_checked()
    page.locator("#inspect-at").press("Enter")
    page.wait_for_timeout(300)
    assert bench.places() == before + 1
    page.click("button:has-text('Send all')")
    page.wait_for_url(re.compile(r"booked=\d+\+"))
    assert page.locator(".itemform").count() == count - 2


def test_an_item_that_waits_is_not_sent_again_with_the_rest(
    bench: Bench, context: BrowserContext
) -> None:
    """Without a connection the item sent is put aside; sending all afterwards leaves it out."""
    page = signed_in(context, bench.address, Role.INSPECTOR)
    page.goto(f"{bench.address}/inspection/{VEHICLE}")
    items = page.locator(".itemform")
    fixed = items.filter(has=page.locator("input[type=hidden]"))
    if not fixed.count():
        fixed = items
        fixed.nth(0).locator("label:has(input[value=repair])").click()
    mark = fixed.nth(0).locator("button").get_attribute("value")
    bench.stop()
    fixed.nth(0).locator("button").click()
    expect(page.locator("#outbox")).to_contain_text("waits")
    assert page.locator(f'input[name="verdict {mark}"]:enabled').count() == 0
    before = bench.places()
    bench.start()
    expect(page.locator("#outbox")).to_contain_text("Booked", timeout=15_000)
    assert bench.places() == before + 1
