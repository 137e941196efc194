"""A PostgreSQL server private to the tests, on loopback, gone when they end."""

import os
import shutil
import socket
import subprocess
import tempfile
from pathlib import Path


class NoServerError(Exception):
    """No server can be started here; says what to install."""


def binaries() -> Path:
    """Folder of the newest server programs of this machine."""
    found = sorted(
        Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda one: int(one.parts[4])
    )
    on_path = shutil.which("initdb")
    if not found and not on_path:
        raise NoServerError(
            "No PostgreSQL server was found. The tests of the record need one. "
            "Install it (on Debian: apt-get install postgresql)."
        )
    return found[-1].parent if found else Path(str(on_path)).resolve().parent


class Server:
    """A server with a folder of its own.

    Parameters
    ----------
    safe : True writes through to the disk before a commit is answered, as a real one does.
    """

    def __init__(self, *, safe: bool = False) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="pw-postgresql-"))
        self.port = _free_port()
        self._bin = binaries()
        self._safe = safe
        # The server refuses to run as root; Debian's package comes with a user for it.
        self._as = ["su", "postgres", "-s", "/bin/sh", "-c"] if os.getuid() == 0 else ["sh", "-c"]
        if os.getuid() == 0:
            shutil.chown(self.folder, "postgres")
        self._run(f"initdb -D {self.folder}/data -U works -A trust -E UTF8 --locale=C --no-sync")
        self.start()

    def start(self) -> None:
        """Start it and wait until it answers."""
        fast = "" if self._safe else "-c fsync=off -c full_page_writes=off "
        options = (
            f"-c listen_addresses=127.0.0.1 -c unix_socket_directories={self.folder} "
            f"-c max_connections=200 -p {self.port} {fast}"
        )
        self._run(f"pg_ctl -D {self.folder}/data -l {self.folder}/log -o '{options}' -w start")

    def stop(self, mode: str = "immediate") -> None:
        """Stop it; ``immediate``: as if it were killed."""
        self._run(f"pg_ctl -D {self.folder}/data -m {mode} -w stop")

    def end(self) -> None:
        """Stop it for good and remove its folder."""
        self.stop()
        # A child of the server may still be clearing up after it.
        shutil.rmtree(self.folder, ignore_errors=True)

    def address(self, name: str = "postgres") -> str:
        """Address of one of its databases."""
        return f"postgresql+psycopg://works@127.0.0.1:{self.port}/{name}"

    def new_database(self, name: str) -> str:
        """Make an empty database; its address."""
        self.sql(f'CREATE DATABASE "{name}"')
        return self.address(name)

    def new_schema(self, name: str) -> str:
        """Make room of its own in the first database, far quicker than a database; its address."""
        self.sql(f'CREATE SCHEMA "{name}"')
        return f"{self.address()}?options=-csearch_path%3D{name}"

    def sql(self, statement: str, name: str = "postgres") -> list[tuple[object, ...]]:
        """Run one statement by itself."""
        import psycopg

        address = self.address(name).replace("+psycopg", "")
        with psycopg.connect(address, autocommit=True) as link:
            done = link.execute(statement)  # type: ignore[call-overload]
            return list(done.fetchall()) if done.description else []

    def _run(self, command: str) -> None:
        done = subprocess.run(
            [*self._as, f"{self._bin}/{command}"], capture_output=True, text=True, check=False
        )
        if done.returncode:
            raise NoServerError(
                f"{command.split(maxsplit=1)[0]} failed: {done.stdout}{done.stderr}"
            )


def _free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])
