"""What stops a record, said so that the user knows what to do."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from pacewright.base.faults import CallError


class RecordError(CallError):
    """The record cannot be opened, read or written; nothing was lost and nothing half done."""


NOTHING_KEPT = "Nothing of what was handed in was kept."
SEND_AGAIN = (
    "It is not known whether what was handed in last was kept: hand it in again under the same "
    "ids; what is kept already is not kept twice."
)

READS_WRONG = (
    ArithmeticError,
    AttributeError,
    LookupError,
    TypeError,
    ValueError,
    SQLAlchemyError,
    sqlite3.Error,
)
"""In how many ways what was checked when it was kept can fail to be read when it is damaged."""

_SQLITE = {
    "SQLITE_FULL": "the disk is full. A record needs room to grow. Make room, then try again.",
    "SQLITE_READONLY": "it can only be read. A record that is written must be writable, and its "
    "folder too. Give the right to write, or open it for reading only.",
    "SQLITE_BUSY": "it was locked too long by another writer. Writers take turns, each a moment. "
    "Try again; if it lasts, see which process holds it.",
    "SQLITE_LOCKED": "it was locked too long by another writer. Writers take turns, each a moment. "
    "Try again; if it lasts, see which process holds it.",
    "SQLITE_CANTOPEN": "it cannot be opened. File and folder must exist, with the right to read "
    "and write both (a record in use keeps two files beside it). Check the path and the rights.",
    "SQLITE_CORRUPT": "the file is damaged. A record is never mended by hand. Keep the file, and "
    "restore the latest backup: pacewright record restore.",
    "SQLITE_NOTADB": "it is no record: not a database file, or damaged. Check the path, or restore "
    "the latest backup: pacewright record restore.",
    "SQLITE_IOERR": "the disk could not be read or written (full, beyond a limit of size, or "
    "failing). Check the disk, then try again.",
    "SQLITE_PERM": "access is not permitted. Check the rights on file and folder.",
}
"""Code of the database, or what it begins with -> what was found, the rule, the remedy."""

_POSTGRESQL = {
    "53": "the server has no room or memory left. A record needs room to grow. Make room there.",
    "25006": "the database can only be read. A record that is written must be writable. Ask who "
    "runs the server.",
    "55P03": "it was locked too long by another writer. Writers take turns, each a moment. Try "
    "again; if it lasts, see which session holds it.",
    "42501": "the user may not do this there. Grant the right, or use another user.",
    "XX001": "the server says that data are damaged. Restore the latest backup: pacewright record "
    "restore.",
}
"""State of the server, or what it begins with -> what was found, the rule, the remedy."""

_LOST = "the connection to the database server was lost, or could not be made. Check that it runs "
_LOST += "and can be reached, then try again."


@contextmanager
def plainly(where: str, outcome: str = NOTHING_KEPT) -> Iterator[None]:
    """Turn what the database says into words for the user.

    Parameters
    ----------
    where : the record, as the user knows it.
    outcome : what holds now for what was handed in; empty when nothing was.

    Raises
    ------
    RecordError : the database could not do what was asked.
    """
    try:
        yield
    except (SQLAlchemyError, sqlite3.Error, UnicodeDecodeError) as error:
        raise RecordError(" ".join(filter(None, (f"{where}: {_said(error)}", outcome)))) from error


@contextmanager
def readable(where: str) -> Iterator[None]:
    """Say of what was kept and cannot be read that the record is damaged.

    Raises
    ------
    RecordError : it is damaged, or the database could not read it.
    """
    with plainly(where, ""):
        try:
            yield
        except (SQLAlchemyError, sqlite3.Error):
            raise
        except READS_WRONG as error:
            raise RecordError(
                f"{where}: what is kept cannot be read or folded ({str(error)[:200]}). A record "
                "holds only what was checked, so it is damaged, or of a newer Pacewright. "
                "See pacewright record verify."
            ) from error


def _said(error: Exception) -> str:
    cause = getattr(error, "orig", None) or error
    name = getattr(cause, "sqlite_errorname", None)
    if isinstance(error, UnicodeDecodeError):
        # Damage so deep that what SQLite says of it cannot be read either.
        name = "SQLITE_CORRUPT"
    if name:
        return _longest(_SQLITE, name) or f"the database says: {cause} ({name})."
    state = getattr(cause, "sqlstate", None)
    if isinstance(error, DBAPIError) and (error.connection_invalidated or not state):
        detail = str(cause).strip().splitlines()
        return f"{_LOST} ({detail[0]})" if detail else _LOST
    return _longest(_POSTGRESQL, state or "") or f"the database says: {str(cause).strip()}."


def _longest(messages: dict[str, str], code: str) -> str:
    fitting = [start for start in messages if code.startswith(start)]
    return messages[max(fitting, key=len)] if fitting else ""
