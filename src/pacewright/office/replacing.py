"""Replace a file of the works: judged with the whole works first, every version kept."""

import csv
import os
import secrets
import shutil
import tempfile
from contextlib import suppress
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path

from pacewright.base.faults import Fault, WorksFaultyError
from pacewright.control.as_recorded import as_recorded
from pacewright.control.still_known import no_longer_known
from pacewright.ledger.people.store import Access as Logged
from pacewright.office.access import Person
from pacewright.office.desk import Desk
from pacewright.office.differing import Difference, differences
from pacewright.office.errors import CallError
from pacewright.office.folder import open_works
from pacewright.office.uploads import checked_workbook
from pacewright.office.works_files import (
    HEADS,
    LIST,
    SETTINGS,
    WORKBOOK,
    File,
    Version,
    kept_in,
)
from pacewright.works import Works

MOST_BYTES = 32 * 1024 * 1024
"""Largest table taken; 100,000 vehicles are some 8 MB."""


class AnotherThereError(CallError):
    """The file there is not the one that was to be replaced."""


def mark_of(content: bytes | None) -> str:
    """By what a file is known again: SHA-256 of what it holds; empty: it is not there."""
    return sha256(content).hexdigest() if content is not None else ""


def replace_file(
    desk: Desk,
    person: Person,
    one: File,
    content: bytes,
    reason: str,
    *,
    over: str | None = None,
) -> Version:
    """Put a file in the place of the one there is, when the whole works is sound with it.

    Parameters
    ----------
    over : ``mark_of`` the file that is to be replaced; None: whatever is there.

    Raises
    ------
    AnotherThereError : another file is there by now; nothing was changed.
    WorksFaultyError : with every fault the works would have; nothing was changed.
    CallError : this server only shows, no reason is given, the file is too large or the same as
        before, or it cannot be written; nothing was changed.
    """
    # No database keeps a control character in a text.
    reason = " ".join("".join(one if one.isprintable() else " " for one in reason).split())[:400]
    with desk.files_turn:
        if over not in (None, mark_of(one.content())):
            raise AnotherThereError(
                f"{one.name}: the file there is another than the one looked at. Somebody replaced "
                "it. Read it anew and put your change into it."
            )
        refuse_wrong(desk, one, content, reason)
        tried_with(desk, one, content)
        try:
            made = _put(kept_in(desk), one.path, content, (one.key, person.name, reason))
        except OSError as error:
            raise CallError(f"{one.name}: {error}. Nothing was replaced.") from error
    what = f"replaced {_spoken(one)}: {reason}"
    desk.access.people.log(Logged(datetime.now(UTC), person.name, what, ""))
    # It is done: a fault that came into another file meanwhile is no reason to say it was not.
    with suppress(WorksFaultyError):
        desk.look_again(at_once=True)
    return made


def _spoken(one: File) -> str:
    return one.key if one.key in (SETTINGS, WORKBOOK) else f"table {one.key}"


def refuse_wrong(desk: Desk, one: File, content: bytes, reason: str) -> None:
    """Refuse what is wrong whatever the file holds.

    Raises
    ------
    CallError : this server only shows, no reason is given, or the file is the same as before.
    """
    where = _spoken(one)
    if desk.read_only:
        raise CallError("This server only shows. Nothing of the works is replaced here.")
    if not reason:
        raise CallError(f"{where}: no reason given. Every version is kept with its reason. Say it.")
    if one.content() == content:
        raise CallError(f"{where}: the file is the same as the one there is. Nothing to replace.")


def tried_with(desk: Desk, one: File, content: bytes) -> Works:
    """The whole works read anew with a file in a room of its own, and held against the record.

    Raises
    ------
    WorksFaultyError : with every fault it would have. CallError : the file is too large.
    """
    if len(content) > MOST_BYTES:
        raise CallError(
            f"{_spoken(one)}: {len(content):,} bytes. At most {MOST_BYTES:,} are taken."
        )
    if one.key == WORKBOOK:
        checked_workbook(one.name, content)
    with tempfile.TemporaryDirectory() as room:
        works, _ = open_works(_laid_out(desk, one, content, Path(room)))
    with desk.standing() as standing:
        lost = no_longer_known(works, standing)
        if not lost and standing.events:
            as_recorded(works, standing, desk.now())
    if lost:
        raise WorksFaultyError(
            Fault(_file_of(desk, row.table), 0, row.column, row.found, row.rule, row.remedy)
            for row in lost
        )
    return works


def what_differs(desk: Desk, one: File, content: bytes) -> tuple[Difference, ...]:
    """Every row and setting that a file would change against the works in use.

    Raises
    ------
    As ``tried_with``.
    """
    return differences(desk.works, tried_with(desk, one, content))


def _laid_out(desk: Desk, one: File, content: bytes, room: Path) -> Path:
    if one.key == WORKBOOK:
        path = room / one.name
        path.write_bytes(content)
        return path
    trial = room / "works"
    trial.mkdir()
    for other in (*desk.path.glob("*.csv"), *desk.path.glob("*.toml")):
        if other.is_file() and other != one.path:
            shutil.copyfile(other, trial / other.name)
    (trial / one.name).write_bytes(content)
    return trial


def _file_of(desk: Desk, table: str) -> str:
    return f"{table}.csv" if desk.path.is_dir() else f"{desk.path.name} sheet {table}"


def _put(kept: Path, path: Path, content: bytes, told: tuple[str, str, str]) -> Version:
    name, by, reason = told
    now = datetime.now(UTC)
    kept.mkdir(exist_ok=True)
    before = path.read_bytes() if path.is_file() else None
    stem, suffix = f"{now:%Y%m%dT%H%M%S}-{name}", path.suffix.lower()
    kept_as = _keep(kept, (stem, suffix), before) if before is not None else ""
    made = Version(
        f"{now:%Y-%m-%dT%H:%M:%SZ}",
        name,
        kept_as,
        by,
        reason,
        mark_of(before),
        mark_of(content),
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


def _keep(kept: Path, named: tuple[str, str], content: bytes) -> str:
    stem, suffix = named
    place = 0
    while True:
        name = f"{stem}{f'-{place}' if place else ''}{suffix}"
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
