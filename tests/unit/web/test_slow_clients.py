"""A client that dawdles is cut off; one that is merely slow, or only listens, is not."""

import contextlib
import socket
import threading
import time
from collections.abc import Iterator

import pytest
import uvicorn

from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from pacewright.web.guard import patience
from pacewright.web.serve import Place, config_of
from pacewright.web.who import COOKIE
from web_browser import free_port
from web_desk import PASSWORD, open_desk

PATIENCE, LOOK, LEAST = 0.5, 0.1, 500


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """A small works with one account a role."""
    made = open_desk(tmp_path_factory.mktemp("slow"))
    yield made
    made.close()


@pytest.fixture(scope="module")
def port(desk: Desk) -> Iterator[int]:
    """The server as it is served, with less patience, so that the tests need little."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(patience, "PATIENCE_SECONDS", PATIENCE)
        patch.setattr(patience, "LOOK_SECONDS", LOOK)
        where = free_port()
        config = config_of(desk, Place(port=where))
        config.lifespan = "off"
        server = uvicorn.Server(config)
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        until = time.monotonic() + 20
        while not server.started:
            assert time.monotonic() < until, "the server did not start"
            time.sleep(0.02)
        yield where
        desk.closing = server.should_exit = True
        thread.join(20)


@contextlib.contextmanager
def caller(port: int, reads: int = 0) -> Iterator[socket.socket]:
    """A plain connection; ``reads``: bytes the machine takes in for it, 0: as usual."""
    with socket.socket() as one:
        if reads:
            one.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, reads)
        one.settimeout(5)
        one.connect(("127.0.0.1", port))
        yield one


def cut_off_after(one: socket.socket, drips: Iterator[bytes]) -> float:
    """Seconds until the server ends the connection, while drips are sent ten a second."""
    began = time.monotonic()
    one.settimeout(0.1)
    while time.monotonic() - began < 8:
        try:
            one.sendall(next(drips, b""))
            if one.recv(4096) == b"":
                break
        except TimeoutError:
            continue
        except OSError:
            break
    return time.monotonic() - began


def head(path: str, **more: str) -> bytes:
    """A request's head."""
    lines = [f"{name.replace('_', '-')}: {value}" for name, value in more.items()]
    method = "POST" if "content_length" in more else "GET"
    return "\r\n".join([f"{method} {path} HTTP/1.1", "host: localhost", *lines, "", ""]).encode()


def drip(text: bytes) -> Iterator[bytes]:
    """A byte at a time, for ever."""
    while True:
        for number in range(len(text)):
            yield text[number : number + 1]


@pytest.mark.parametrize(
    "first",
    [
        b"",
        b"GET /sign-in HTTP/1.1\r\nx-more: ",
        head("/sign-in", origin="http://localhost", content_length="5000",
             content_type="application/x-www-form-urlencoded"),
    ],
    ids=["nothing", "head", "body"],
)  # fmt: skip
def test_a_byte_at_a_time_is_cut_off(port: int, first: bytes) -> None:
    """Whoever sends a request by single bytes, its head or its body, loses the connection."""
    with caller(port) as one:
        one.sendall(first)
        seconds = cut_off_after(one, drip(b"a") if first else iter(()))
    assert PATIENCE - LOOK < seconds < 4


def test_a_second_request_is_watched_as_the_first(port: int) -> None:
    """A connection that behaved well once may not dawdle afterwards."""
    with caller(port) as one:
        one.sendall(head("/static/mark.svg"))
        assert b"200 OK" in one.recv(4096)
        one.sendall(b"GET /sign-in HTTP/1.1\r\nx-more: ")
        assert cut_off_after(one, drip(b"a")) < 4


def test_who_asks_and_never_reads_is_cut_off(port: int, desk: Desk) -> None:
    """Answers that nobody takes do not stay in the server's memory."""
    with caller(port, reads=4096) as one:
        with contextlib.suppress(TimeoutError, OSError):
            one.settimeout(0.5)
            one.sendall(head("/static/htmx.js") * 400)
        time.sleep(PATIENCE * 3)
        one.settimeout(5)
        came = 0
        with contextlib.suppress(OSError):
            while some := one.recv(1 << 16):
                came += len(some)
    assert came < 400 * 50_000 / 2


def test_a_slow_but_honest_client_is_served(port: int) -> None:
    """A body that takes several times the patience, but moves, is taken whole."""
    body = b"name=viewer&password=" + b"x" * 1000
    form = {"content_type": "application/x-www-form-urlencoded", "origin": "http://localhost"}
    with caller(port) as one:
        one.sendall(head("/sign-in", content_length=str(len(body)), **form))
        for number in range(0, len(body), 80):
            one.sendall(body[number : number + 80])
            time.sleep(0.1)
        assert b"401" in one.recv(4096)


def test_who_listens_for_news_is_kept(port: int, desk: Desk) -> None:
    """A live page says nothing for hours and is not cut off."""
    key = desk.access.sign_in(Role.VIEWER.value, PASSWORD, "here")
    with caller(port) as one:
        one.sendall(head("/live", cookie=f"{COOKIE}={key}"))
        came = b""
        while b"retry" not in came:
            came += one.recv(4096)
        time.sleep(PATIENCE * 4)
        one.settimeout(0.2)
        with pytest.raises(TimeoutError):
            one.recv(4096)


def test_a_dawdler_keeps_no_place(port: int) -> None:
    """While many dawdle, others are served."""
    with contextlib.ExitStack() as many:
        for _ in range(100):
            many.enter_context(caller(port)).sendall(b"GET / HTTP/1.1\r\n")
        with caller(port) as one:
            one.sendall(head("/static/mark.svg"))
            assert b"200 OK" in one.recv(4096)
