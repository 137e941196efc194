"""The files a works is made of, and every version of them that was kept."""

import csv
import re
from dataclasses import dataclass
from pathlib import Path

from pacewright.base.faults import CallError
from pacewright.office.desk import Desk
from pacewright.office.errors import NotFoundError
from pacewright.works import TABLES

VERSIONS, LIST = "versions", "replaced.csv"
HEADS = ("at", "table", "kept_as", "by", "reason", "sha256_before", "sha256_after")
_NAME = re.compile(r"[0-9]{8}T[0-9]{6}-[a-z_]{1,40}(-[0-9]{1,3})?\.(csv|toml|xlsx)")
SETTINGS, WORKBOOK = "settings", "workbook"
"""What works.toml and a whole workbook are called beside the tables."""


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


@dataclass(frozen=True, slots=True)
class File:
    """A file the works is made of.

    Parameters
    ----------
    key : the table it holds, ``settings``, or ``workbook``.
    path : where it lies; it may not be there.
    """

    key: str
    path: Path

    @property
    def name(self) -> str:
        """Its name in the folder."""
        return self.path.name

    @property
    def media_type(self) -> str:
        """What it is, for whoever fetches it."""
        return media_type(self.name)

    def content(self) -> bytes | None:
        """What it holds; None: it is not there."""
        return self.path.read_bytes() if self.path.is_file() else None


_MEDIA = {
    ".csv": "text/csv; charset=utf-8",
    ".toml": "application/toml",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


def media_type(name: str) -> str:
    """What a file is, by its name, for whoever fetches it."""
    return _MEDIA[Path(name).suffix.lower()]


def files_of(desk: Desk) -> tuple[File, ...]:
    """Every file that may be replaced: settings and tables of a folder, or the one workbook."""
    if not desk.path.is_dir():
        return (File(WORKBOOK, desk.path),)
    tables = (File(name, desk.path / f"{name}.csv") for name in table_names())
    return (File(SETTINGS, desk.path / "works.toml"), *tables)


def file_of(desk: Desk, key: str) -> File:
    """The file of a table, of the settings, or the workbook.

    Raises
    ------
    NotFoundError : this works has no such file.
    """
    for one in files_of(desk):
        if key == one.key:
            return one
    if key in table_names() and not desk.path.is_dir():
        raise CallError(
            f"table {key}: the works is kept in a workbook. A table is replaced in a folder of "
            "CSV files. Replace the workbook itself."
        )
    known = ", ".join(one.key for one in files_of(desk))
    raise NotFoundError(f"{key[:40]}: there is no such part of the works. Choose one of: {known}.")


def file_named(desk: Desk, name: str) -> File:
    """A file by its name in the folder.

    Raises
    ------
    NotFoundError : this works has no such file.
    """
    for one in files_of(desk):
        if name == one.name:
            return one
    known = ", ".join(one.name for one in files_of(desk))
    raise NotFoundError(f"{name[:60]}: the works has no such file. Its files are {known}.")


def kept_in(desk: Desk) -> Path:
    """The folder of the versions: within the works folder, or beside the workbook."""
    if desk.path.is_dir():
        return desk.path / VERSIONS
    return desk.path.with_name(f"{desk.path.stem}.{VERSIONS}")


def versions(desk: Desk) -> tuple[Version, ...]:
    """Every replacement, the newest first."""
    path = kept_in(desk) / LIST
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
    return (kept_in(desk) / name).read_bytes()
