"""The back room: a second desk in a process of its own, where what takes seconds is made.

Python runs one thing at a time in a process. A plan, a day or a forecast made beside the pages
would keep every page and every booking waiting; made here they only share the machine with them.
"""

import os
import pickle
import threading
from collections.abc import Callable
from datetime import datetime
from multiprocessing import get_context, parent_process
from multiprocessing.managers import BaseManager
from pathlib import Path
from typing import Any, NamedTuple

from pacewright.office.desk import Desk, Tables
from pacewright.office.errors import CallError

GIVES_WAY = 10
"""By so much it leaves the processor to pages and bookings (``nice`` of POSIX)."""

_ENDED = (EOFError, ConnectionError)
"""How a process that is there no more answers."""


class _Answer(NamedTuple):
    made: Any
    error: Exception | None


class SecondDesk:
    """The desk in the other process; the record is opened for reading only.

    Parameters
    ----------
    database : of the record; empty: a file beside the works.
    tables : those the first desk has, which may be others than those of the folder by now.
    """

    def __init__(self, works_path: Path, database: str, tables: Tables) -> None:
        self._desk = Desk(works_path, database, read_only=True, tables=tables)

    def take(self, tables: Tables) -> None:
        """Other tables hold from now on."""
        self._desk.take(tables)

    def do(self, now: datetime, make: Callable[..., Any], given: tuple[Any, ...]) -> _Answer:
        """Make something; what goes wrong on the way is answered, not raised.

        Parameters
        ----------
        now : works time of the first desk, which holds here too.
        make : function of a module, given this desk and what else it needs.
        """
        self._desk.set_time(now)
        try:
            return _Answer(make(self._desk, *given), None)
        except Exception as error:
            return _Answer(None, _fit_to_send(error))


def _fit_to_send(error: Exception) -> Exception:
    try:
        if str(pickle.loads(pickle.dumps(error))) == str(error):
            return error
    except Exception:
        # Whatever keeps it from being sent, what it says can be.
        pass
    return RuntimeError(f"{type(error).__name__}: {error}")


class _Room(BaseManager):
    pass


_Room.register("SecondDesk", SecondDesk, exposed=("take", "do"))


class BackRoom:
    """Makes things for one desk in the other process; threads may share it.

    Parameters
    ----------
    works_path, database : as of the first desk.
    """

    def __init__(self, works_path: Path, database: str = "") -> None:
        self._where = works_path, database
        self._turn = threading.Lock()
        self._room: _Room | None = None
        self._second: Any = None
        self._tables: Tables | None = None
        self._closed = False

    def make(self, desk: Desk, make: Callable[..., Any], given: tuple[Any, ...]) -> Any:
        """What ``make(second desk, *given)`` returns; the calling thread waits for it.

        A process that has ended (killed for want of memory, say) is begun anew once.

        Raises
        ------
        Exception : whatever making it raised; CallError: the process ended twice.
        """
        for _ in range(2):
            second = self._open(desk)
            try:
                answer: _Answer = second.do(desk.now(), make, given)
            except _ENDED:
                self._end(second)
                continue
            if answer.error is not None:
                raise answer.error
            return answer.made
        raise CallError(
            "The process in which plans and days are made ended twice. It may lack memory; the "
            "pages go on with what was made last. Look at the machine, then start the server anew."
        )

    def close(self) -> None:
        """End the process."""
        self._closed = True
        self._end(self._second)

    def _open(self, desk: Desk) -> Any:
        with self._turn:
            if self._closed:
                raise CallError("The server is being stopped. Ask again when it is back.")
            tables = desk.tables
            if self._second is not None and tables is not self._tables:
                try:
                    self._second.take(tables)
                except _ENDED:
                    # It ended while it had nothing to do.
                    self._give_up()
            if self._second is None:
                self._room = _Room(ctx=get_context("spawn"))
                self._room.start(_begin)
                self._second = self._room.SecondDesk(*self._where, tables)  # type: ignore[attr-defined]
            self._tables = tables
            return self._second

    def _end(self, second: Any) -> None:
        with self._turn:
            if self._second is second:
                self._give_up()

    def _give_up(self) -> None:
        room, self._room, self._second = self._room, None, None
        if room is not None:
            room.shutdown()


def _begin() -> None:
    if hasattr(os, "nice"):
        os.nice(GIVES_WAY)
    threading.Thread(target=_end_with_the_server, daemon=True).start()


def _end_with_the_server() -> None:
    server = parent_process()
    if server is not None:
        # A server that was killed can tell it nothing any more.
        server.join()
        os._exit(0)
