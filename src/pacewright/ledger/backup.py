"""A record copied while it is in use, and put back; a backup restores to either database."""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlalchemy import Connection, inspect, select

from pacewright.base.progress import Progress, silent
from pacewright.ledger.database import Database
from pacewright.ledger.entry import AS_USUAL, Head
from pacewright.ledger.errors import RecordError, plainly
from pacewright.ledger.photos import AT_ONCE as PHOTOS_AT_ONCE
from pacewright.ledger.putting import put_rows
from pacewright.ledger.reading import head_of
from pacewright.ledger.schema import bring_up
from pacewright.ledger.tables import EVENTS, METADATA, PHOTOS
from pacewright.ledger.verified import Verified
from pacewright.ledger.verify import go_through, verify

_AT_ONCE = 2_000
_PATIENCE = AS_USUAL.patience_seconds
SHOWN = 20
NOTHING_WRITTEN = "Nothing was written."


def backup(address: str | Path, path: Path, progress: Progress = silent) -> Verified:
    """Copy a record to a file of its own while writers are at work, and go through the copy.

    Parameters
    ----------
    address : the record: path of an SQLite file, or a database URL.
    path : file to write, an SQLite file from either database; it must not exist.

    Returns
    -------
    What going through the copy found; only a sound one is kept.

    Raises
    ------
    RecordError : there is such a file; it cannot be written; the record is not sound.
    """
    with _opened(address) as record, _new_file(path) as copy:
        with plainly(record.name, ""), record.reading() as link:
            progress("copying the record", 0.0)
            if record.path:
                _copy_file(link, copy)
            else:
                _copy_to_file(link, copy, progress)
        return _sound(copy, record.name, progress)


def restore(path: Path, address: str | Path, progress: Progress = silent) -> Verified:
    """Put a backup where there is no record yet, and go through it before it counts.

    Parameters
    ----------
    path : the backup.
    address : path of an SQLite file that does not exist, or URL of a database without a record.

    Raises
    ------
    RecordError : there is a record already; the backup is not sound; it cannot be written. Nothing
        was restored then.
    """
    with _opened(path) as kept:
        target = Database(address, read_only=False, patience_seconds=_PATIENCE)
        try:
            if target.path is None:
                return _restore_to_server(kept, target, progress)
        finally:
            target.close()
        with _new_file(target.path) as copy:
            with plainly(kept.name, ""), kept.reading() as link:
                progress("copying the record", 0.0)
                _copy_file(link, copy)
            return _sound(copy, kept.name, progress)


@contextmanager
def _opened(address: str | Path) -> Iterator[Database]:
    database = Database(address, read_only=True, patience_seconds=_PATIENCE)
    try:
        bring_up(database, create=False, as_it_is=True)
        yield database
    finally:
        database.close()


@contextmanager
def _new_file(path: Path) -> Iterator[Path]:
    """A file beside ``path`` that becomes it at the end, or is gone."""
    if path.exists():
        raise RecordError(
            f"{path}: there is such a file. A record or backup is never written over. "
            "Give another path, or move it away first."
        )
    part = path.with_name(f"{path.name}.part")
    try:
        part.unlink(missing_ok=True)
        yield part
        with part.open("rb") as written:
            os.fsync(written.fileno())
        part.replace(path)
    except OSError as error:
        raise RecordError(
            f"{path}: it cannot be written ({error.strerror or error}). {NOTHING_WRITTEN} "
            "See that the folder exists, may be written to and has room."
        ) from error
    finally:
        for left in path.parent.glob(f"{part.name}*"):
            left.unlink(missing_ok=True)


def _copy_file(link: Connection, copy: Path) -> None:
    source = link.connection.dbapi_connection
    assert isinstance(source, sqlite3.Connection)
    with plainly(str(copy), NOTHING_WRITTEN), closing(sqlite3.connect(copy)) as target:
        source.backup(target)
    _brought_up(copy)
    _one_file(copy)


def _brought_up(copy: Path) -> None:
    """A copy of an earlier Pacewright's record is one of this, so that it can be gone through."""
    database = Database(copy, read_only=False, patience_seconds=_PATIENCE)
    try:
        bring_up(database, create=False)
    finally:
        database.close()


def _copy_to_file(link: Connection, copy: Path, progress: Progress) -> None:
    database = Database(copy, read_only=False, patience_seconds=_PATIENCE)
    try:
        bring_up(database, create=True)
        with plainly(str(copy), NOTHING_WRITTEN), database.writing() as target:
            _copy_rows(link, target, progress)
            target.commit()
    finally:
        database.close()
    _one_file(copy)


def _one_file(copy: Path) -> None:
    """Make the copy a single file, easier to carry away than three."""
    with plainly(str(copy), NOTHING_WRITTEN), closing(sqlite3.connect(copy)) as target:
        target.execute("PRAGMA journal_mode = DELETE")


def _copy_rows(source: Connection, target: Connection, progress: Progress) -> None:
    last = head_of(source).place
    there = set(inspect(source).get_table_names())
    for table in METADATA.sorted_tables:
        if table.name not in there:
            # A record of an earlier Pacewright: it holds nothing of what this table is for.
            continue
        at_once = PHOTOS_AT_ONCE if table is PHOTOS else _AT_ONCE
        asked = select(table).order_by(*table.primary_key.columns)
        done = 0
        told = source.execute(asked.execution_options(yield_per=at_once))
        for some in told.partitions():
            put_rows(target, table, [tuple(one) for one in some])
            done += len(some)
            progress(f"copying {table.name}", done / last if table is EVENTS else 0.0)


def _restore_to_server(kept: Database, target: Database, progress: Progress) -> Verified:
    bring_up(target, create=True)
    with plainly(target.name, "Nothing was restored."), target.writing() as link:
        there: Head = head_of(link)
        if there.place:
            raise RecordError(
                f"{target.name}: there is a record of {there.place:,} events. A record is never "
                "written over. Give a database without one."
            )
        with kept.reading() as source:
            _copy_rows(source, link, progress)
        found = go_through(link, progress)
        if found.faults:
            raise _unsound(kept.name, found)
        link.commit()
        return found


def _sound(copy: Path, name: str, progress: Progress) -> Verified:
    with _opened(copy) as database:
        found = verify(database, progress)
    if found.faults:
        raise _unsound(name, found)
    return found


def _unsound(name: str, found: Verified) -> RecordError:
    lines = "\n".join(map(str, found.faults[:SHOWN]))
    return RecordError(
        f"{name}: the record is not sound ({len(found.faults)} faults), so it was not copied. "
        f"See pacewright record verify.\n{lines}"
    )
