"""Replace a table of the works: judged with the whole works first, every version kept."""

import csv
import os
import re
import secrets
import shutil
import tempfile
import threading
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path

from pacewright.base.faults import Fault, WorksFaultyError
from pacewright.control.as_recorded import as_recorded
from pacewright.control.still_known import no_longer_known
from pacewright.ledger.people.store import Access as Logged
from pacewright.office.access import Person
from pacewright.office.desk import Desk
from pacewright.office.errors import CallError, NotFoundError
from pacewright.office.folder import open_works
from pacewright.works import TABLES

MOST_BYTES = 32 * 1024 * 1024
"""Largest table taken; 100,000 vehicles are some 8 MB."""

VERSIONS, LIST = "versions", "replaced.csv"
HEADS = ("at", "table", "kept_as", "by", "reason", "sha256_before", "sha256_after")
_NAME = re.compile(r"[0-9]{8}T[0-9]{6}-[a-z_]{1,40}(-[0-9]{1,3})?\.csv")


@dataclass(frozen=True, slots=True)
class Version:
    """One replacement.

    Parameters
    ----------
    at : when, UTC, ISO 8601. ``kept_as`` : file in which the table before it is kept; empty:
        there was none. ``sha256_before``, ``sha256_after`` : of the files.
    """

    at: str
    table: str
    kept_as: str
    by: str
    reason: str
    sha256_before: str
    sha256_after: str


def table_names() -> tuple[str, ...]:
    """Every table a works may have."""
    return tuple(str(model.TABLE) for model in TABLES)  # type: ignore[attr-defined]


def checked_name(table: str) -> str:
    """The name, when there is such a table.

    Raises
    ------
    NotFoundError : there is none.
    """
    if table not in table_names():
        raise NotFoundError(
            f"table {table[:40]}: there is none. Choose one of: {', '.join(table_names())}."
        )
    return table


def table_file(desk: Desk, table: str) -> bytes:
    """The table as it lies in the folder.

    Raises
    ------
    NotFoundError : there is no such table, or its file is not there.
    """
    path = desk.path / f"{checked_name(table)}.csv"
    if not path.is_file():
        raise NotFoundError(f"table {table}: this works has no file of it.")
    return path.read_bytes()


def versions(desk: Desk) -> tuple[Version, ...]:
    """Every replacement, the newest first."""
    path = desk.path / VERSIONS / LIST
    if not path.is_file():
        return ()
    with path.open(encoding="utf-8", newline="") as file:
        rows = [Version(**{name: row.get(name) or "" for name in HEADS})
                for row in csv.DictReader(file)]  # fmt: skip
    return tuple(reversed(rows))


def version_file(desk: Desk, name: str) -> bytes:
    """A version kept.

    Raises
    ------
    NotFoundError : there is none of that name.
    """
    if not _NAME.fullmatch(name) or name not in {one.kept_as for one in versions(desk)}:
        raise NotFoundError(f"version {name[:60]}: there is none. Choose one of the list.")
    return (desk.path / VERSIONS / name).read_bytes()


def replace_table(desk: Desk, person: Person, table: str, content: bytes, reason: str) -> Version:
    """Put a table in the place of the one there is, when the whole works is sound with it.

    Raises
    ------
    WorksFaultyError : with every fault the works would have; nothing was changed.
    CallError : this server only shows, the works is a workbook, no reason is given, the table is
        too large or the same as before, or the folder cannot be written; nothing was changed.
    NotFoundError : there is no such table.
    """
    name, reason = checked_name(table), " ".join(reason.split())[:400]
    with desk.paper("replacing", threading.Lock, ("once",)):
        path = desk.path / f"{name}.csv"
        _refuse_wrong(desk, path, content, reason)
        _try_with(desk, name, content)
        try:
            made = _put(desk.path, path, content, (name, person.name, reason))
        except OSError as error:
            raise CallError(f"{path.name}: {error}. Nothing was replaced.") from error
    what = f"replaced table {name}: {reason}"
    desk.access.people.log(Logged(datetime.now(UTC), person.name, what, ""))
    desk.look_again(at_once=True)
    return made


def _refuse_wrong(desk: Desk, path: Path, content: bytes, reason: str) -> None:
    where = f"table {path.stem}"
    if desk.read_only:
        raise CallError("This server only shows. No table is replaced here.")
    if not desk.path.is_dir():
        raise CallError(
            f"{where}: the works is kept in a workbook. A table is replaced in a folder of CSV "
            "files. Replace the workbook itself."
        )
    if not reason:
        raise CallError(f"{where}: no reason given. Every version is kept with its reason. Say it.")
    if len(content) > MOST_BYTES:
        raise CallError(f"{where}: {len(content):,} bytes. At most {MOST_BYTES:,} are taken.")
    if path.is_file() and path.read_bytes() == content:
        raise CallError(f"{where}: the file is the same as the one there is. Nothing to replace.")


def _try_with(desk: Desk, table: str, content: bytes) -> None:
    """Read the whole works anew with the table, and hold it against the record."""
    with tempfile.TemporaryDirectory() as room:
        trial = Path(room) / "works"
        trial.mkdir()
        for one in (*desk.path.glob("*.csv"), *desk.path.glob("*.toml")):
            if one.is_file() and one.stem != table:
                shutil.copyfile(one, trial / one.name)
        (trial / f"{table}.csv").write_bytes(content)
        works, _ = open_works(trial)
    with desk.standing() as standing:
        lost = no_longer_known(works, standing)
        if not lost and standing.events:
            as_recorded(works, standing, desk.now())
    if lost:
        raise WorksFaultyError(
            Fault(f"{one.table}.csv", 0, one.column, one.found, one.rule, one.remedy)
            for one in lost
        )


def _put(folder: Path, path: Path, content: bytes, told: tuple[str, str, str]) -> Version:
    name, by, reason = told
    now = datetime.now(UTC)
    kept = folder / VERSIONS
    kept.mkdir(exist_ok=True)
    before = path.read_bytes() if path.is_file() else None
    kept_as = _keep(kept, f"{now:%Y%m%dT%H%M%S}-{name}", before) if before is not None else ""
    made = Version(
        f"{now:%Y-%m-%dT%H:%M:%SZ}",
        name,
        kept_as,
        by,
        reason,
        sha256(before).hexdigest() if before is not None else "",
        sha256(content).hexdigest(),
    )
    new = path.with_name(f"{path.name}.new-{secrets.token_hex(4)}")
    try:
        _write(new, content)
        # Told before it is put: killed in between, a version too many is told and none is lost.
        _tell(kept / LIST, made)
        new.replace(path)
    finally:
        new.unlink(missing_ok=True)
    return made


def _keep(kept: Path, stem: str, content: bytes) -> str:
    place = 0
    while True:
        name = f"{stem}{f'-{place}' if place else ''}.csv"
        try:
            _write(kept / name, content)
        except FileExistsError:
            place += 1
            continue
        return name


def _tell(path: Path, made: Version) -> None:
    is_new = not path.exists()
    with path.open("a", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        if is_new:
            writer.writerow(HEADS)
        writer.writerow([getattr(made, name) for name in HEADS])
        file.flush()
        os.fsync(file.fileno())


def _write(path: Path, content: bytes) -> None:
    with path.open("xb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
