"""What the script of a page does with photos that are taken one after the other."""

from pathlib import Path

from playwright.sync_api import FilePayload, Route, expect

from pacewright.files.photo import bare_photo
from pacewright.office.rights import Role
from planner_desk import story_desk
from small_photos import JPEG, png
from web_browser import chromium, free_port, served, signed_in


def test_the_photo_taken_last_is_the_one_that_is_kept(tmp_path: Path) -> None:
    """A second one taken while the first is still on its way: the second stands in the form."""
    desk = story_desk(tmp_path, roles=(Role.ADMINISTRATOR, Role.INSPECTOR))
    first = FilePayload(name="a.jpg", mimeType="image/jpeg", buffer=JPEG)
    second = FilePayload(name="b.png", mimeType="image/png", buffer=png())
    with served(desk, free_port()) as address, chromium() as browser:
        context = browser.new_context()
        page = signed_in(context, address, Role.INSPECTOR)
        page.goto(f"{address}/book/found")
        held: list[Route] = []

        def hold_the_first(route: Route) -> None:
            if held:
                route.continue_()
            held.append(route)

        page.route("**/api/photos", hold_the_first)
        box, field = page.locator("[data-photo]"), page.locator("input[name=photo]")
        with page.expect_request("**/api/photos"):
            box.locator("input[type=file]").first.set_input_files(first)
        box.locator("input[type=file]").last.set_input_files(second)
        while not held:
            page.wait_for_timeout(20)
        with page.expect_request("**/api/photos"):
            held[0].continue_()
        expect(box.locator(".photosaid")).to_contain_text("The photo is kept")
        kept = desk.ledger.photo(field.input_value())
        assert kept == bare_photo(png())
        context.close()
    desk.close()
