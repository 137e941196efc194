"""Every page seen in a real browser once, and what was found on the way."""

import os
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Page

from pacewright.events.scan import code_of
from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from pacewright.web.app import create_app
from web_browser import signed_in
from web_desk import browser
from web_routes import routes_of

AXE = Path(__file__).parent / "data" / "axe-core" / "axe.min.js"
TAGS = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice")
DESK, TABLET, PHONE = 1280, 1024, 420
SEERS = (Role.PLANNER, Role.INSPECTOR, Role.ENGINEER, Role.ADMINISTRATOR)
"""A page is looked at by the first of them who may see it."""
NO_PAGES = ("/api/", "/static/", "/live", "/csv/")
"""What answers with something else than a page."""
PICTURES = os.environ.get("PACEWRIGHT_PICTURES", "")
"""Folder in which each page is kept as pictures for people to look at; empty: not kept."""


@dataclass
class Visit:
    """One page as it was seen.

    Parameters
    ----------
    axe : findings of axe-core, each with its rule, place and what the page looked like then.
    said : errors and warnings of the console, and scripts that failed.
    foreign : addresses elsewhere that were asked for.
    wide : what reaches beyond the window, by width of the window in pixels.
    """

    path: str
    role: Role
    title: str = ""
    question: str = ""
    axe: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    foreign: list[str] = field(default_factory=list)
    wide: list[str] = field(default_factory=list)


def addresses(desk: Desk) -> list[tuple[str, Role]]:
    """Every page with something in it, and who looks at it."""
    given = _things(desk)
    clients = {role: browser(desk, role) for role in SEERS}
    found = []
    for route in routes_of(create_app(desk)):
        if route.method != "GET" or route.path in ("/", "/scan") or route.path.startswith(NO_PAGES):
            continue
        if "/csv/" in route.path:
            continue
        address = route.at(**given) + _ASKED.get(route.path, "").format(**given)
        for role in SEERS:
            answer = clients[role].get(address)
            if answer.status_code != 403:
                whole = answer.status_code == 200 and answer.text.startswith("<!doctype html>")
                if whole and route.path != "/sign-in":
                    found.append((address, role))
                break
    kinds = ("released", "robbed", "found", "fitted")
    seen = (Role.INSPECTOR, Role.PLANNER, Role.INSPECTOR, Role.SHOP)
    return found + [(f"/book/{kind}", role) for kind, role in zip(kinds, seen, strict=True)]


_ASKED = {
    "/serial": "?code={unit}",
    "/shortages/rob": "?unit={unit}&to=vehicle:{vehicle_id}",
    "/book/{kind}": "?vehicle_id={vehicle_id}",
}
"""What an address needs to show something."""


def _things(desk: Desk) -> dict[str, str]:
    works = desk.works
    with desk.standing() as standing:
        inside = sorted(one.vehicle_id for one in standing.inside())
        unit = next(code_of(one) for one, known in standing.units.items() if known.onto)
    assert inside, "the example has nothing inside: its pages would show little"
    return {
        "vehicle_id": inside[0],
        "shop_id": works.stages[0].shop_id,
        "unit_kind_id": works.unit_kinds[0].unit_kind_id,
        "place": str(desk.ledger.head().place),
        "table": "stages",
        "unit": unit,
    }


class Visitor:
    """Walks through the pages as people of several roles, and keeps what was found."""

    def __init__(self, browser: Browser, address: str) -> None:
        self.browser, self.address = browser, address
        self._pages: dict[Role, Page] = {}
        self._now: Visit | None = None

    def visit(self, path: str, role: Role, name: str = "") -> Visit:
        """Look at one page at three widths, light and dark; a name for it instead of its path."""
        page = self.page(role)
        self._now = Visit(name or path, role)
        page.set_viewport_size({"width": DESK, "height": 900})
        page.goto(self.address + path, wait_until="load")
        return look_at(page, self._now, thorough=not name)

    def close(self) -> None:
        """Leave."""
        for page in self._pages.values():
            page.context.close()

    def page(self, role: Role) -> Page:
        """The page of a role, which it is signed in at."""
        if role not in self._pages:
            context = self.browser.new_context(bypass_csp=False)
            self._listen(context)
            self._pages[role] = signed_in(context, self.address, role)
        return self._pages[role]

    def _listen(self, context: BrowserContext) -> None:
        def said(text: str) -> None:
            if self._now is not None:
                self._now.said.append(text)

        def asked(url: str) -> None:
            if self._now is not None and not url.startswith((self.address, "data:")):
                self._now.foreign.append(url)

        context.on(
            "console",
            lambda one: said(one.text) if one.type in ("error", "warning") else None,
        )
        context.on("weberror", lambda one: said(str(one.error)))
        context.on("request", lambda one: asked(one.url))


def look_at(page: Page, one: Visit, *, thorough: bool = True) -> Visit:
    """Judge what a page shows at three widths, light and dark, and keep its pictures.

    What shows the same parts as another page, only emptier, need not be judged at every width.
    """
    one.title, one.question = page.title(), page.locator("h1").first.inner_text()
    one.axe += axe_findings(page, "light, desk")
    _keep(page, one.path, "desk")
    page.emulate_media(color_scheme="dark")
    one.axe += axe_findings(page, "dark, desk", only=("color-contrast",))
    _keep(page, one.path, "desk-dark")
    page.emulate_media(color_scheme="light")
    for width, name in ((TABLET, "tablet"), (PHONE, "phone")):
        page.set_viewport_size({"width": width, "height": 900})
        one.wide += [f"{name}: {found}" for found in page.evaluate(_TOO_WIDE)]
        if thorough:
            one.axe += axe_findings(page, name, only=_BY_WIDTH)
        _keep(page, one.path, name)
    page.set_viewport_size({"width": DESK, "height": 900})
    return one


_BY_WIDTH = ("target-size", "scrollable-region-focusable", "meta-viewport", "region", "label")
"""Rules whose answer can change with the width of the window."""

_TOO_WIDE = """() => {
  const wide = document.documentElement.clientWidth;
  if (document.documentElement.scrollWidth <= wide + 1) return [];
  const scrolls = (one) => {
    for (let up = one.parentElement; up; up = up.parentElement)
      if (["auto", "scroll", "hidden"].includes(getComputedStyle(up).overflowX)) return true;
    return false;
  };
  return [...document.body.querySelectorAll("*")]
    .filter((one) => one.getBoundingClientRect().right > wide + 1 && !scrolls(one))
    .slice(0, 3)
    .map((one) => one.outerHTML.slice(0, 120)).concat("page wider than the window");
}"""


def axe_findings(page: Page, look: str, only: tuple[str, ...] = ()) -> list[str]:
    """What axe-core finds wrong: rule, page's look, first places."""
    if not page.evaluate("() => Boolean(window.axe)"):
        # Through the debugger, past the policy of the page, which forbids it rightly.
        page.evaluate(AXE.read_text(encoding="utf-8") + ";0")
    asked: dict[str, Any] = {"resultTypes": ["violations"], "iframes": False}
    asked["runOnly"] = (
        {"type": "rule", "values": list(only)} if only else {"type": "tag", "values": list(TAGS)}
    )
    # Of a long table all rows are judged once, in full; its other looks go by the first ones.
    judged = {"include": ["html"], "exclude": ["tbody tr:nth-child(n+16)"]} if only else "html"
    found = page.evaluate("([where, asked]) => axe.run(where, asked)", [judged, asked])
    return [
        f"{look}: {one['id']} at {' | '.join(str(node['target'][0]) for node in one['nodes'][:3])}"
        f" ({len(one['nodes'])} places): {one['nodes'][0]['failureSummary'][:300]}"
        for one in found["violations"]
    ]


def _keep(page: Page, path: str, look: str) -> None:
    if PICTURES:
        name = "-".join(part for part in path.split("?", maxsplit=1)[0].split("/") if part)
        Path(PICTURES).mkdir(parents=True, exist_ok=True)
        page.screenshot(path=Path(PICTURES) / f"{name}.{look}.png", full_page=True)
