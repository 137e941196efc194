"""The main day of each role in a real browser, and days on which something goes wrong.

The works is an invented one with a month of its record; what is done on the pages is looked up in
the record afterwards, by another way than the pages.
"""

import re
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, FilePayload, Page, expect

from pacewright.events.registry import KIND_OF
from pacewright.events.scan import code_of
from pacewright.events.stages import Moved, WorkEnded
from pacewright.events.things import Piece
from pacewright.events.units import Robbed
from pacewright.files.photo import PHOTO_BYTES
from pacewright.ledger.entry import Entry, Kept
from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from pacewright.office.sheets.shortages_rob_book import refused_now
from web_browser import chromium, free_port, served, signed_in
from web_desk import PASSWORD
from web_example import open_example, write_example

LONGEST = 2560
"""Dots of the longer side to which the page makes a large photo smaller."""


class Works:
    """The example, served at a port, and a browser at it."""

    def __init__(self, desk: Desk, browser: Browser) -> None:
        self.desk, self.browser, self.port = desk, browser, free_port()
        self.address = f"http://127.0.0.1:{self.port}"
        self._serving = served(desk, self.port)

    def start(self) -> None:
        """Start the server, at the same port as before."""
        self._serving = served(self.desk, self.port)
        self._serving.__enter__()

    def stop(self) -> None:
        """Stop the server; the works stays as it is."""
        self._serving.__exit__(None, None, None)

    def place(self) -> int:
        """Place of the last event."""
        return self.desk.ledger.head().place

    def told_since(self, place: int) -> list[tuple[str, str]]:
        """What was recorded after a place: kind and who recorded it."""
        return [
            (kind_of(one), one.entry.recorded_by) for one in self.desk.ledger.entries(after=place)
        ]


def kind_of(kept: Kept) -> str:
    """Kind of a kept event."""
    return KIND_OF[type(kept.entry.event)]


@pytest.fixture(scope="module")
def works(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Works]:
    """The example with a month of its record, served."""
    folder = tmp_path_factory.mktemp("days")
    desk = open_example(write_example(folder), folder)
    with chromium() as browser:
        made = Works(desk, browser)
        made.start()
        yield made
        made.stop()
    desk.close()


@pytest.fixture
def context(works: Works) -> Iterator[BrowserContext]:
    """A browser without memory; no script of a page may have failed at the end."""
    made = works.browser.new_context(viewport={"width": 1024, "height": 800})
    wrong: list[str] = []
    made.on("weberror", lambda error: wrong.append(str(error.error)))
    yield made
    made.close()
    assert not wrong


def come_in(works: Works, context: BrowserContext, role: Role) -> Page:
    """Sign in as a role."""
    return signed_in(context, works.address, role)


def in_stage(works: Works) -> tuple[str, str]:
    """The whole vehicle that has come farthest and stands on a position, and the stage."""
    with works.desk.standing() as standing:
        found = [
            (len(one.done), one.piece.serial, one.stage_id)
            for one in standing.pieces.values()
            if one.piece.assembly_id == "vehicle" and one.stands and not one.finished
        ]
    return max(found)[1:]


def to_be_inspected(works: Works) -> str:
    """A vehicle being stripped: the last that came in."""
    with works.desk.standing() as standing:
        inside = [(one.came_in, one.piece.serial) for one in standing.pieces.values() if one.stands
                  and one.piece.assembly_id == "vehicle"]  # fmt: skip
    return max(inside)[1]


# -- a day of each role --------------------------------------------------------------------------


def test_a_day_of_the_planner(works: Works, context: BrowserContext) -> None:
    """Today, the shortages, a vehicle that needs a new promise: promised, and told so."""
    page, before = come_in(works, context, Role.PLANNER), works.place()
    expect(page).to_have_url(re.compile("/today$"))
    page.click("nav.areas >> text=Shortages")
    expect(page.locator("h1")).to_be_visible()
    number, _ = in_stage(works)
    page.fill("#scan", f"vehicle:{number}")
    page.press("#scan", "Enter")
    page.wait_for_url(f"**/vehicles/{number}")
    page.locator("a[href^='/book/promised']").first.click()
    day = works.desk.now().date() + timedelta(days=30)
    page.locator("input[type=date]").first.fill(day.isoformat())
    page.click("button.main:has-text('Book')")
    page.wait_for_url("**booked=*")
    expect(page.locator("#said")).to_contain_text(number)
    assert works.told_since(before) == [("promised", "planner")]
    with works.desk.standing() as standing:
        assert standing.vehicles[number].promise == day


def test_a_day_of_the_inspector(works: Works, context: BrowserContext) -> None:
    """The strip inspection comes first; one item is judged on a tablet and stands in the record."""
    page, before = come_in(works, context, Role.INSPECTOR), works.place()
    expect(page).to_have_url(re.compile("/inspection$"))
    number = to_be_inspected(works)
    page.locator(f"main a[href='/inspection/{number}']").first.click()
    item = page.locator(".itemform:has(fieldset)").first
    item.locator("label:has(input[value=repair])").click()
    after = page.locator(".itemform").nth(1).locator("button[name=only]").get_attribute("value")
    item.locator("button[name=only]").click()
    page.wait_for_url("**booked=*")
    expect(page.locator("#said")).to_contain_text("verdict repair")
    # The page stands at the item after the one that was sent.
    following = page.locator(f".itemform:has(button[value='{after}'])")
    expect(following).to_be_in_viewport()
    expect(following.locator(":focus")).to_have_count(1)
    assert works.told_since(before) == [("found", "inspector")]


def test_a_day_of_the_stores(works: Works, context: BrowserContext) -> None:
    """What the allotment proposes is ticked and issued, both units at once."""
    page, before = come_in(works, context, Role.STORES), works.place()
    page.goto(f"{works.address}/shortages/allot")
    ticks = page.locator("form input[type=checkbox]")
    wait_for(page, "form input[type=checkbox]")  # it may still be worked out, and says so
    ticks.nth(0).check()
    ticks.nth(1).check()
    page.click("form button.main")
    page.wait_for_url("**booked=*")
    assert works.told_since(before) == [("issued", "stores")] * 2


def test_a_day_of_the_shop(works: Works, context: BrowserContext) -> None:
    """Work is ended, then the stage finished, never the other way; two scans book the move."""
    page, before = come_in(works, context, Role.SHOP), works.place()
    number, stage = in_stage(works)
    page.goto(f"{works.address}/book/stage_finished?piece=vehicle:{number}&stage_id={stage}")
    page.click("button.main:has-text('Book')")
    expect(page.locator("[data-answer].faulty")).to_contain_text("at work on it: painter")
    page.goto(f"{works.address}/book/work_ended?piece=vehicle:{number}&stage_id={stage}")
    page.select_option("[name=trade_id]", "painter")
    page.click("button.main:has-text('Book')")
    page.wait_for_url("**booked=*")
    page.goto(f"{works.address}/vehicles/{number}")
    page.locator(f"a[href*='stage_finished'][href*='stage_id={stage}']").first.click()
    page.click("button.main:has-text('Book')")
    page.wait_for_url("**booked=*")
    follows = next(one.stage_id for one in works.desk.works.stages if stage in one.follows)
    page.fill("#scan", f"vehicle:{number} stage:{follows}")
    page.press("#scan", "Enter")
    page.wait_for_url("**/book/moved?*")
    assert page.input_value("[name=stage_id]") == follows
    page.fill("[name=position]", "1")
    page.click("button.main:has-text('Book')")
    page.wait_for_url("**booked=*")
    kinds = ("work_ended", "stage_finished", "moved")
    assert works.told_since(before) == [(kind, "shop") for kind in kinds]


def test_a_day_of_the_engineer(works: Works, context: BrowserContext, tmp_path: Path) -> None:
    """A table is fetched, changed, looked at, and put in place of the old one, which is kept."""
    page = come_in(works, context, Role.ENGINEER)
    page.goto(f"{works.address}/works/trades")
    with page.expect_download() as coming:
        page.click("a[href='/works/files/trades.csv']")
    text = Path(coming.value.path()).read_text(encoding="utf-8-sig")
    old = works.desk.works.trades[0].name
    changed = tmp_path / "trades.csv"
    changed.write_text(text.replace(old, "Fitter of the north hall", 1), encoding="utf-8")
    page.set_input_files("#file", changed)
    page.fill("#reason", "the halls are told apart")
    page.locator("form:has(#file) button.main").click()
    expect(page.locator("#looked")).to_contain_text(f"name: {old} -> Fitter of the north hall")
    assert works.desk.works.trades[0].name == old
    page.click("#looked button.main")
    expect(page.locator("#rows")).to_contain_text("Fitter of the north hall")
    assert "Fitter of the north hall" in (works.desk.path / "trades.csv").read_text(
        encoding="utf-8"
    )
    page.goto(f"{works.address}/works")
    expect(page.locator("main")).to_contain_text("the halls are told apart")


def test_a_day_of_the_administrator(works: Works, context: BrowserContext) -> None:
    """An account is opened; the new person signs in, and what was done stands in the log."""
    page = come_in(works, context, Role.ADMINISTRATOR)
    page.click("nav.areas >> text=People and access")
    page.fill("#name", "n.quill")
    page.fill("#shown", "N. Quill")
    page.select_option("#role", "shop")
    page.fill("#password", "a new phrase of mine")
    page.click("section#open button.main")
    expect(page.locator("#said")).to_contain_text("n.quill")
    expect(page.locator("#log")).to_contain_text("opened account n.quill as shop")
    page.click("text=Sign out")
    page.fill("#name", "n.quill")
    page.fill("#password", "a new phrase of mine")
    page.click("form:has(#name) button")
    expect(page.locator(".who")).to_contain_text("N. Quill")


def test_a_day_of_a_viewer(works: Works, context: BrowserContext) -> None:
    """A depot looks for its vehicle and its promise, and is offered nothing to book."""
    page = come_in(works, context, Role.VIEWER)
    number, _ = in_stage(works)
    page.goto(f"{works.address}/vehicles")
    page.locator(f"main a[href='/vehicles/{number}']").first.click()
    expect(page.locator("h1")).to_contain_text(number)
    assert not page.locator("a[href^='/book']").count()
    page.go_back()
    expect(page).to_have_url(re.compile("/vehicles$"))


# -- two persons for one thing -------------------------------------------------------------------


def crew_stops(works: Works, number: str) -> None:
    """Nobody is at work on a vehicle any more: it could be moved."""
    with works.desk.standing() as standing:
        one = standing.whole(number)
        piece, stage, trades = one.piece, one.stage_id, list(one.trades)
    at = works.desk.now()
    ends = [Entry(f"stops-{trade}", WorkEnded(at, piece, stage, trade), "crew") for trade in trades]
    assert all(one.place for one in works.desk.book(ends))


def off_its_route(works: Works, number: str) -> str:
    """A stage to which the vehicle could be moved if only its route allowed it."""
    piece = Piece("vehicle", number)
    for stage in works.desk.works.stages:
        moved = Entry("asked only", Moved(works.desk.now(), piece, stage.stage_id, 1), "nobody")
        (answer,) = works.desk.ledger.judge([moved])
        if len(answer.reasons) == 1 and "'route'" in answer.reasons[0]:
            return stage.stage_id
    raise AssertionError("no stage from which only the route holds it back")


def move(page: Page, works: Works, number: str, stage: str) -> None:
    """Book a move as the shop does."""
    page.goto(f"{works.address}/book/moved?piece=vehicle:{number}&stage_id={stage}")
    page.fill("[name=position]", "1")
    page.click("button.main:has-text('Book')")


def test_an_engineer_sets_a_rule_aside_at_inspection(works: Works, context: BrowserContext) -> None:
    """What inspection finds sends a vehicle off its route: the engineer allows that one move.

    The shop's move is refused first; the engineer cannot judge the item, nor the inspector set a
    rule aside; the next move off the route is refused again.
    """
    number = to_be_inspected(works)
    crew_stops(works, number)
    stage = off_its_route(works, number)
    inspector, before = come_in(works, context, Role.INSPECTOR), works.place()
    inspector.goto(f"{works.address}/inspection/{number}")
    item = inspector.locator(".itemform").first
    if item.locator("fieldset").count():
        item.locator("label:has(input[value=repair])").click()
    item.locator("button[name=only]").click()
    inspector.wait_for_url("**booked=*")
    inspector.goto(f"{works.address}/vehicles/{number}")
    assert not inspector.locator("a[href^='/book/overridden']").count()
    with works.browser.new_context() as floor, works.browser.new_context() as office:
        shop = signed_in(floor, works.address, Role.SHOP)
        move(shop, works, number, stage)
        expect(shop.locator("[data-answer].faulty")).to_contain_text("route")
        engineer = signed_in(office, works.address, Role.ENGINEER)
        engineer.goto(f"{works.address}/inspection/{number}")
        assert not engineer.locator(".itemform").count()
        engineer.goto(f"{works.address}/vehicles/{number}")
        engineer.locator("a[href^='/book/overridden']").first.click()
        engineer.select_option("[name=rule]", "route")
        engineer.fill("[name=reason]", "found cracked: back for welding before anything else")
        engineer.click("button.main:has-text('Book')")
        engineer.wait_for_url("**booked=*")
        expect(engineer.locator("#said")).to_contain_text("back for welding")
        move(shop, works, number, stage)
        shop.wait_for_url("**booked=*")
    kinds = [("found", "inspector"), ("overridden", "engineer"), ("moved", "shop")]
    assert works.told_since(before) == kinds
    with works.desk.standing() as standing:
        assert standing.stands_at(number).stage_id == stage
        assert standing.stands_at(number).permits == []


def to_rob(works: Works) -> tuple[str, str]:
    """A unit, and a vehicle it may be taken for by every rule of the record."""
    desk, at = works.desk, works.desk.now()
    with desk.standing() as standing:
        units = [one for one in standing.units.values() if one.onto or one.issued_to]
        inside = [one.piece for one in standing.pieces.values() if one.stands
                  and one.piece.assembly_id == "vehicle"]  # fmt: skip
    for unit in units:
        off = unit.onto or unit.issued_to
        for to in inside:
            assert off is not None
            robbed = Robbed(at, unit.unit, off, to, "A. Able", "B. Best")
            if not refused_now(desk, robbed):
                return code_of(unit.unit), code_of(to)
    raise AssertionError("nothing could be robbed")


def wait_for(page: Page, what: str) -> None:
    """Show the page anew until the price is there and with it what may be done."""
    for _ in range(60):
        if page.locator(what).count():
            return
        page.wait_for_timeout(1000)
        page.reload()
    raise AssertionError(f"{what} did not come")


def test_two_approve_a_robbing_at_two_screens(works: Works, context: BrowserContext) -> None:
    """The planner approves and goes on; the engineer finds it on Today, sees the price, agrees."""
    (unit, to), before = to_rob(works), works.place()
    planner = come_in(works, context, Role.PLANNER)
    planner.goto(f"{works.address}/shortages/rob?unit={unit}&to={to}")
    wait_for(planner, "#ask")
    planner.fill("#ask-reason", "the other goes first")
    planner.click("#ask button.main")
    planner.wait_for_url("**/shortages?booked=*")
    expect(planner.locator("#waiting")).to_contain_text("The planner")
    works.stop()
    works.start()
    with works.browser.new_context() as other:
        engineer = signed_in(other, works.address, Role.ENGINEER)
        engineer.goto(f"{works.address}/today")
        engineer.click("text=See the price and decide")
        wait_for(engineer, "input[value=agree]")
        expect(engineer.locator("#decide")).to_contain_text("the other goes first")
        expect(engineer.locator(".figures")).to_contain_text("robbed")
        engineer.click("text=Approve as the second, and book it")
        engineer.wait_for_url("**booked=*")
    assert works.told_since(before) == [("robbing_asked", "planner"), ("robbed", "engineer")]
    with works.desk.standing() as standing:
        last = standing.robberies[-1]
    assert (last.approved_by, last.second_approval) == ("planner", "engineer")


# -- photos at inspection ------------------------------------------------------------------------

DRAWN = """async (side) => {
  const made = document.createElement("canvas"); made.width = side; made.height = side / 2;
  const on = made.getContext("2d"), dots = on.createImageData(made.width, made.height);
  const all = dots.data, most = 65536;
  for (let i = 0; i < all.length; i += most)
    crypto.getRandomValues(new Uint8Array(all.buffer, i, Math.min(most, all.length - i)));
  on.putImageData(dots, 0, 0);
  const blob = await new Promise((done) => made.toBlob(done, "image/jpeg", 0.9));
  return [...new Uint8Array(await blob.arrayBuffer())];
}"""
"""A picture of chance dots, made by the browser itself: one that does not pack well."""


def a_photo(page: Page, side: int) -> FilePayload:
    """A photo of so many dots across, as a camera would hand it over."""
    return {"name": "IMG 1.JPG", "mimeType": "image/jpeg",
            "buffer": bytes(page.evaluate(DRAWN, side))}  # fmt: skip


def test_a_photo_is_taken_at_inspection(works: Works, context: BrowserContext) -> None:
    """It is sent at once, made smaller; a reload keeps it; the finding shows it afterwards."""
    page, number = come_in(works, context, Role.INSPECTOR), to_be_inspected(works)
    page.goto(f"{works.address}/inspection/{number}")
    photo = a_photo(page, 3900)
    assert len(photo["buffer"]) > PHOTO_BYTES
    item = page.locator(".itemform:has(fieldset)").first
    item.locator("input[type=file]").first.set_input_files(photo)
    expect(item.locator(".photosaid")).to_contain_text("The photo is kept", timeout=20_000)
    page.reload()
    expect(item.locator(".photosaid img")).to_be_visible()
    item.locator("label:has(input[value=repair])").click()
    item.locator("button[name=only]").click()
    page.wait_for_url("**booked=*")
    (kept,) = works.desk.ledger.entries(kind="found", newest_first=True, limit=1)
    digest = kept.entry.event.photo  # type: ignore[attr-defined]
    content = works.desk.ledger.photo(digest)
    assert content is not None
    assert 100_000 < len(content) < len(photo["buffer"])
    page.goto(f"{works.address}/record/{kept.place}")
    shown = page.locator(f"img[src='/photos/{digest}']")
    shown.scroll_into_view_if_needed()
    expect(shown).to_have_js_property("complete", True)
    assert shown.evaluate("one => one.naturalWidth") == LONGEST


def test_a_photo_that_was_not_sent_is_chosen_again(works: Works, context: BrowserContext) -> None:
    """Without a line it is said, and the item is not sent without it unless one leaves it out."""
    page, number = come_in(works, context, Role.INSPECTOR), to_be_inspected(works)
    page.goto(f"{works.address}/inspection/{number}")
    photo, before = a_photo(page, 200), works.place()
    item = page.locator(".itemform:has(fieldset)").first
    context.set_offline(True)
    item.locator("input[type=file]").first.set_input_files(photo)
    expect(item.locator(".photosaid")).to_contain_text("choose it again")
    item.locator("label:has(input[value=repair])").click()
    item.locator("button[name=only]").click()
    expect(page.locator("[data-answer].faulty")).to_contain_text("A photo is not sent yet")
    context.set_offline(False)
    expect(item.locator(".photosaid")).to_contain_text("The photo is kept")
    page.route("**/api/photos", lambda route: route.abort())
    item.locator("input[type=file]").first.set_input_files(photo)
    expect(item.locator(".photosaid")).to_contain_text("choose it again")
    page.unroute("**/api/photos")
    page.reload()
    expect(item.locator(".photosaid")).to_contain_text("choose it again")
    assert item.locator("input[value=repair]").is_checked()
    item.locator("text=Leave the photo out").click()
    item.locator("button[name=only]").click()
    page.wait_for_url("**booked=*")
    assert works.told_since(before) == [("found", "inspector")]


# -- two at once, and lines that break -----------------------------------------------------------


def hold(page: Page, address: str, number: str, reason: str) -> None:
    """Fill in that a vehicle stands."""
    page.goto(f"{address}/book/held?piece=vehicle:{number}")
    page.select_option("[name=cause]", "people")
    page.fill("[name=reason]", reason)


def test_two_at_one_record(works: Works, context: BrowserContext) -> None:
    """What one books the other is told of, without losing what is half typed."""
    planner, number = come_in(works, context, Role.PLANNER), in_stage(works)[0]
    hold(planner, works.address, number, "half a")
    with works.browser.new_context() as other:
        shop = signed_in(other, works.address, Role.SHOP)
        hold(shop, works.address, number, "no crew")
        shop.click("button.main:has-text('Book')")
        shop.wait_for_url("**booked=*")
    expect(planner.locator("#live")).to_contain_text("1 new event: show", timeout=8000)
    assert planner.input_value("[name=reason]") == "half a"
    planner.goto(f"{works.address}/record")
    expect(planner.locator("main")).to_contain_text("no crew")


def test_both_say_the_same_thing(works: Works, context: BrowserContext) -> None:
    """Two book one arrival: the first is kept, the second is told why not, nothing is doubled."""
    with works.desk.standing() as standing:
        away = next(one for one in works.desk.works.vehicles if one.state == "running"
                    and one.vehicle_id not in standing.vehicles)  # fmt: skip
    address = f"{works.address}/book/arrived?vehicle_id={away.vehicle_id}&type_id={away.type_id}"
    here = come_in(works, context, Role.PLANNER)
    here.goto(address)
    before = works.place()
    with works.browser.new_context() as other:
        there = signed_in(other, works.address, Role.PLANNER)
        there.goto(address)
        there.click("button.main:has-text('Book')")
        there.wait_for_url("**booked=*")
    here.click("button.main:has-text('Book')")
    expect(here.locator("[data-answer].faulty")).to_contain_text(away.vehicle_id)
    assert works.told_since(before) == [("arrived", "planner")]


def test_the_server_is_started_anew_in_the_middle(works: Works, context: BrowserContext) -> None:
    """The half-filled form is there again, the session holds, and news goes on where it was."""
    page, number = come_in(works, context, Role.PLANNER), in_stage(works)[0]
    hold(page, works.address, number, "half typed")
    works.stop()
    works.start()
    with works.browser.new_context() as other:
        shop = signed_in(other, works.address, Role.SHOP)
        hold(shop, works.address, number, "after the restart")
        shop.click("button.main:has-text('Book')")
        shop.wait_for_url("**booked=*")
    expect(page.locator("#live")).to_contain_text("new event", timeout=15_000)
    page.reload()
    assert page.input_value("[name=reason]") == "half typed"
    before = works.place()
    page.click("button.main:has-text('Book')")
    page.wait_for_url("**booked=*")
    assert works.told_since(before) == [("held", "planner")]


def test_the_line_is_down_while_booking(works: Works, context: BrowserContext) -> None:
    """The booking waits in sight and is sent once when the line is there again."""
    page, number = come_in(works, context, Role.PLANNER), in_stage(works)[0]
    hold(page, works.address, number, "line down")
    before = works.place()
    context.set_offline(True)
    page.click("button.main:has-text('Book')")
    expect(page.locator("#outbox")).to_contain_text("1 booking waits for the connection")
    assert works.place() == before
    context.set_offline(False)
    expect(page.locator("#outbox")).to_contain_text("Booked", timeout=15_000)
    page.wait_for_timeout(4500)  # another round of the outbox, which must find nothing
    assert works.told_since(before) == [("held", "planner")]


def test_a_session_that_ended_asks_who_is_there(works: Works, context: BrowserContext) -> None:
    """Signed out elsewhere, the next step leads to the door, and from there back to the page."""
    page = come_in(works, context, Role.PLANNER)
    page.goto(f"{works.address}/record")
    context.clear_cookies()
    page.reload()
    expect(page).to_have_url(re.compile("/sign-in"))
    enter_here(page, Role.PLANNER)
    expect(page).to_have_url(re.compile("/record$"))


def enter_here(page: Page, role: Role) -> None:
    """Sign in on the page that asks who is there."""
    page.fill("#name", role.value)
    page.fill("#password", PASSWORD)
    page.click("form:has(#name) button")
