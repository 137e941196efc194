"""One database, SQLite or PostgreSQL, opened so that writers take turns and nothing is lost."""

import sqlite3
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import quote

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError
from sqlalchemy.pool import QueuePool

from pacewright.ledger.errors import RecordError

_TURNS: dict[str, threading.RLock] = {}
_TURNS_GUARD = threading.Lock()
_LOCK_KEY = 0x7061_6365
"""Key of the lock by which writers on one PostgreSQL database take turns."""


class Database:
    """A database and the turns of its writers.

    Parameters
    ----------
    address : path of an SQLite file, or a database URL (``postgresql+psycopg://...``).
    read_only : True never writes to it.
    patience_seconds : how long a writer waits for its turn before it gives up.
    """

    def __init__(self, address: str | Path, *, read_only: bool, patience_seconds: float) -> None:
        self.read_only = read_only
        self.patience_seconds = patience_seconds
        self.path, url = _where(address)
        self.name = str(self.path) if self.path else url.render_as_string(hide_password=True)
        self.engine = self._sqlite() if self.path else self._postgresql(url)
        with _TURNS_GUARD:
            key = str(self.path.resolve()) if self.path else self.name
            self._turn = _TURNS.setdefault(key, threading.RLock())

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection whose every question is answered from one state of the record."""
        level = {} if self.path else {"isolation_level": "REPEATABLE READ"}
        with self.engine.connect() as link:
            yield link.execution_options(**level) if level else link

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A connection that alone may write; what is not committed at the end is undone."""
        if not self._turn.acquire(timeout=self.patience_seconds):
            raise RecordError(
                f"{self.name}: it was locked too long by another writer of this process. Writers "
                "take turns, each a moment. Try again."
            )
        try:
            with self.engine.connect() as link:
                turn = link.execution_options(writing=True)
                turn.begin()
                if not self.path:
                    turn.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_LOCK_KEY})")
                yield turn
        finally:
            self._turn.release()

    def close(self) -> None:
        """Give all connections back."""
        self.engine.dispose()

    def _sqlite(self) -> Engine:
        path = self.path
        assert path is not None

        def connect() -> sqlite3.Connection:
            mode = "ro" if self.read_only else "rwc"
            link = sqlite3.connect(
                f"file:{quote(str(path.absolute()))}?mode={mode}",
                uri=True,
                timeout=self.patience_seconds,
                isolation_level=None,
                check_same_thread=False,
            )
            try:
                link.execute("PRAGMA cache_size = -32000")
                if not self.read_only:
                    _write_ahead(link, self.patience_seconds)
            except sqlite3.Error:
                link.close()
                raise
            return link

        engine = create_engine("sqlite://", creator=connect, poolclass=QueuePool, max_overflow=40)
        event.listen(engine, "begin", _begin)
        return engine

    def _postgresql(self, url: URL) -> Engine:
        # A plan made while a table was small must not go through all of it ever after.
        options = ["-c enable_seqscan=off", f"-c lock_timeout={int(self.patience_seconds * 1000)}"]
        if self.read_only:
            options.append("-c default_transaction_read_only=on")
        given = url.query.get("options", "")
        options = [given if isinstance(given, str) else " ".join(given), *options]
        try:
            return create_engine(
                url,
                pool_pre_ping=True,
                max_overflow=40,
                connect_args={"connect_timeout": 10, "options": " ".join(options)},
            )
        except ImportError:
            raise RecordError(
                f"{self.name}: the library that speaks to PostgreSQL is missing. It comes with an "
                "extra. Install pacewright[postgresql]."
            ) from None


def _where(address: str | Path) -> tuple[Path | None, URL]:
    text = str(address)
    if "://" not in text:
        return Path(text), make_url("sqlite://")
    try:
        url = make_url(text)
    except (ArgumentError, ValueError):
        # The library's words would repeat the address, and with it the password.
        raise RecordError(
            "The address of the database cannot be read. It is a path or a URL such as "
            "postgresql+psycopg://user@host/name. Correct it."
        ) from None
    sort = url.get_backend_name()
    if sort == "sqlite" and url.database:
        return Path(url.database), url
    if sort in ("postgresql", "postgres"):
        return None, url.set(drivername="postgresql+psycopg")
    raise RecordError(
        f"{url.render_as_string(hide_password=True)}: a record is kept in SQLite or PostgreSQL. "
        "Give the path of a file, or a URL such as postgresql+psycopg://user@host/name."
    )


def _write_ahead(link: sqlite3.Connection, patience_seconds: float) -> None:
    link.execute("PRAGMA synchronous = FULL")
    until = time.monotonic() + patience_seconds
    while link.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
        # Two that open a new file at once: this statement does not wait for its turn by itself.
        try:
            link.execute("PRAGMA journal_mode = WAL")
        except sqlite3.OperationalError as error:
            busy = error.sqlite_errorname.startswith("SQLITE_BUSY")
            if not busy or time.monotonic() > until:
                raise
            time.sleep(0.01)


def _begin(link: Connection) -> None:
    writing: Any = link.get_execution_options().get("writing")
    # A plain BEGIN that reads and then writes fails when another wrote in between.
    link.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")
