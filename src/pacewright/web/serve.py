"""The server: one works, for the works' own network."""

import gc
import logging
import sys
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from threading import Thread

import uvicorn

from pacewright.office.backroom import BackRoom
from pacewright.office.desk import Desk
from pacewright.office.sheets.today_paper import day_paper
from pacewright.web.app import create_app
from pacewright.web.guard.patience import PatientConnection

GRACE_SECONDS = 5
"""How long open pages may finish when the server stops; live news would keep it for ever."""

SILENCE_SECONDS = 20
"""A connection that says nothing between two requests for so long is closed."""

TURN_SECONDS = 0.0005
"""How long one thread works before another gets its turn: a page asks the record a dozen times and
waits for its turn after each; with ten times as much pages took twice as long under load."""

MOST_AT_ONCE = 400
"""Connections served at once; more are told to come again."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where the server listens.

    Parameters
    ----------
    host, port : address and port; ``0.0.0.0`` is every network of this machine.
    names : names under which it is reached besides this machine's own.
    certificate, key : files for an encrypted connection; empty: none.
    language : of every page; empty: of those that are there, the one the browser asks for.
    """

    host: str = "127.0.0.1"
    port: int = 8400
    names: Sequence[str] = ()
    certificate: str = ""
    key: str = ""
    language: str = ""


def serve(desk: Desk, place: Place) -> None:
    """Serve until it is told to stop."""
    make_ready(desk)
    _Server(config_of(desk, place), desk).run()


def make_ready(desk: Desk) -> None:
    """Have what takes seconds made in a process of its own, and begin with the day."""
    desk.elsewhere = BackRoom(desk.path, desk.database)
    # Pages of three days at once are read, rarely more: their copies are made now.
    copies = [desk.copied() for _ in range(3)]
    del copies
    # What is held now stays: to go through all of it for what nobody holds any more would stop
    # every page for half a second where the record is long.
    gc.collect()
    gc.freeze()
    sys.setswitchinterval(TURN_SECONDS)
    Thread(target=_begin_the_day, args=(desk,), daemon=True).start()


def _begin_the_day(desk: Desk) -> None:
    # Who opens the first page after a start does not wait for all of it. What goes wrong is told
    # on that page.
    with suppress(Exception):
        day_paper(desk)


def config_of(desk: Desk, place: Place) -> uvicorn.Config:
    """How the server of a works runs."""
    return uvicorn.Config(
        create_app(desk, [*place.names, place.host], place.language),
        http=PatientConnection,
        host=place.host,
        port=place.port,
        log_level=logging.WARNING,
        timeout_graceful_shutdown=GRACE_SECONDS,
        timeout_keep_alive=SILENCE_SECONDS,
        limit_concurrency=MOST_AT_ONCE,
        ssl_certfile=place.certificate or None,
        ssl_keyfile=place.key or None,
        server_header=False,
        date_header=True,
    )


class _Server(uvicorn.Server):
    def __init__(self, config: uvicorn.Config, desk: Desk) -> None:
        super().__init__(config)
        self._desk = desk

    def handle_exit(self, sig: int, frame: object) -> None:
        # Live pages ask the desk whether it closes; told first, they end by themselves.
        self._desk.closing = True
        super().handle_exit(sig, frame)  # type: ignore[arg-type]
