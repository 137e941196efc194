"""What every request passes before a page sees it."""

from collections.abc import Iterator

import pytest

from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from pacewright.web.guard.size import FORM_BYTES
from web_desk import PASSWORD, browser, open_desk


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """A small works with one account a role."""
    made = open_desk(tmp_path_factory.mktemp("guard"))
    yield made
    made.close()


def test_every_answer_has_a_strict_policy(desk: Desk) -> None:
    """Pages, refusals and files alike forbid foreign and inline scripts."""
    client = browser(desk, Role.VIEWER)
    for path in ("/record", "/nothing", "/static/web.css", "/api/record", "/sign-in"):
        policy = client.get(path).headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert client.get(path).headers["x-content-type-options"] == "nosniff"


def test_pages_hold_nothing_inline(desk: Desk) -> None:
    """No page has a script or style the policy would refuse."""
    client = browser(desk, Role.ADMINISTRATOR)
    for path in ("/record", "/people"):
        html = client.get(path).text
        assert "<style" not in html
        assert " style=" not in html
        assert " onclick=" not in html
        assert html.count("<script") == html.count('<script src="/static/')


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://elsewhere.example"},
        {"origin": "null"},
        {"origin": "http://testserver", "sec-fetch-site": "cross-site"},
        {"origin": "http://testserver", "sec-fetch-site": "same-site"},
    ],
)
def test_writes_from_other_sites_are_refused(desk: Desk, headers: dict[str, str]) -> None:
    """A form on another site cannot act for a signed-in person, nor sign one in."""
    client = browser(desk, Role.VIEWER)
    assert client.post("/sign-out", headers=headers).status_code == 403
    assert client.get("/record").status_code == 200
    signing = {"name": "viewer", "password": PASSWORD}
    assert client.post("/sign-in", data=signing, headers=headers).status_code == 403


def test_a_write_that_hides_its_page_is_refused(desk: Desk) -> None:
    """Without origin, fetch metadata or token a write is not taken."""
    client = browser(desk, Role.VIEWER)
    del client.headers["origin"]
    assert client.post("/sign-out").status_code == 403


def test_unknown_hosts_are_refused(desk: Desk) -> None:
    """A name that is not the server's own leads nowhere (DNS rebinding)."""
    assert browser(desk).get("/sign-in", headers={"host": "evil.example"}).status_code == 400


def test_huge_bodies_are_refused(desk: Desk) -> None:
    """A body is refused by its length, said or counted."""
    client = browser(desk)
    huge = {"name": "x" * (FORM_BYTES + 1)}
    assert client.post("/sign-in", data=huge).status_code == 413

    def parts() -> Iterator[bytes]:
        yield b"name="
        for _ in range(FORM_BYTES // 1000 + 2):
            yield b"x" * 1000

    form = {"content-type": "application/x-www-form-urlencoded"}
    assert client.post("/sign-in", content=parts(), headers=form).status_code == 413
    assert client.post("/sign-in", headers={"content-length": "lots"}).status_code == 413


@pytest.mark.parametrize("then", ["//evil.example", "http://evil.example", "/\\evil.example"])
def test_signing_in_leads_nowhere_else(desk: Desk, then: str) -> None:
    """The address to go on to is a path of this server."""
    signing = {"name": "viewer", "password": PASSWORD, "then": then}
    answer = browser(desk).post("/sign-in", data=signing)
    assert answer.headers["location"] == "/"


def test_cookie_is_out_of_reach_of_scripts(desk: Desk) -> None:
    """The session's cookie is HttpOnly and SameSite=Strict."""
    signing = {"name": "viewer", "password": PASSWORD}
    cookie = browser(desk).post("/sign-in", data=signing).headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie


@pytest.mark.parametrize("name", ["..%2f..%2fapp.py", "../texts.py", "web.css%00", "missing.js"])
def test_only_listed_files_are_given(desk: Desk, name: str) -> None:
    """A name that is not of the list leads nowhere."""
    assert browser(desk).get(f"/static/{name}").status_code == 404


def test_nobody_sees_nothing(desk: Desk) -> None:
    """Without signing in a page leads to the door, and REST says so."""
    client = browser(desk)
    assert client.get("/record").headers["location"].startswith("/sign-in?then=/record")
    answer = client.get("/api/record")
    assert answer.status_code == 401
    assert answer.json()["status"] == "refused"
