"""A server in a thread and a real browser at it, for what only a browser can show."""

import shutil
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import uvicorn
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from pacewright.web.serve import Place, config_of
from web_desk import PASSWORD


def free_port() -> int:
    """A port nobody listens at."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


@contextmanager
def served(desk: Desk, port: int) -> Iterator[str]:
    """A server over a desk at a port; its address. The desk stays open when it stops."""
    config = config_of(desk, Place(port=port))
    # The desk is the test's: it stays open, and the server waits for no page that listens.
    config.lifespan, config.timeout_graceful_shutdown = "off", 1
    config.log_level = "critical"
    config.configure_logging()
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    until = time.monotonic() + 20
    while not server.started:
        assert time.monotonic() < until, "the server did not start"
        time.sleep(0.02)
    try:
        yield f"http://127.0.0.1:{port}"
    finally:
        server.should_exit = True
        thread.join(20)


@contextmanager
def chromium() -> Iterator[Browser]:
    """Debian's Chromium without a window."""
    path = shutil.which("chromium")
    assert path, "chromium is not there. The tests of pages need it. Install Debian's chromium."
    with sync_playwright() as play:
        one = play.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield one
        one.close()


def signed_in(context: BrowserContext, address: str, role: Role) -> Page:
    """A page of a person of a role."""
    page = context.new_page()
    enter(page, address, role)
    return page


def enter(page: Page, address: str, role: Role) -> None:
    """Sign in."""
    page.goto(f"{address}/sign-in")
    page.fill("#name", role.value)
    page.fill("#password", PASSWORD)
    page.click("form:has(#name) button")
    page.wait_for_url(lambda url: "/sign-in" not in url)
