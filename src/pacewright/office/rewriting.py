"""Accepted figures written into the tables of a works folder, all of them or none."""

import os
from collections.abc import Sequence
from pathlib import Path

from pacewright.base.faults import CallError, WorksFaultyError
from pacewright.files.one_cell import NewCell, rewritten
from pacewright.files.read import read_works
from pacewright.files.sheet import UnreadableError
from pacewright.files.write import cell_text
from pacewright.plans.learned import Proposal
from pacewright.works import TABLES


class Rewritten:
    """The tables with accepted figures in them; as before unless ``stay`` is called.

    Parameters
    ----------
    folder : works folder; it was read without fault.
    accepted : what is to be written, with the sample where the table keeps one.

    Raises
    ------
    WorksFaultyError : on entering: a cell cannot be found, or the works would be faulty.
    CallError : on entering: a table cannot be written.
    """

    def __init__(self, folder: Path, accepted: Sequence[Proposal]) -> None:
        self._folder, self._accepted = folder, accepted
        self._before: dict[Path, bytes] = {}
        self._stays = False

    def stay(self) -> None:
        """The new figures hold."""
        self._stays = True

    def __enter__(self) -> "Rewritten":
        try:
            after = {
                path: rewritten(path, [cell for one in lines for cell in _cells(one)])
                for path, lines in self._by_file().items()
            }
        except UnreadableError as error:
            raise WorksFaultyError(error.faults) from error
        try:
            for path, content in after.items():
                self._before[path] = path.read_bytes()
                _put(path, content)
            if after:
                read_works(self._folder)
        except OSError as error:
            self._put_back()
            raise CallError(f"{self._folder}: {error}. The tables are as they were.") from error
        except BaseException:
            self._put_back()
            raise
        return self

    def __exit__(self, *_: object) -> None:
        if not self._stays:
            self._put_back()

    def _by_file(self) -> dict[Path, list[Proposal]]:
        files: dict[Path, list[Proposal]] = {}
        for one in self._accepted:
            files.setdefault(self._folder / f"{one.table}.csv", []).append(one)
        return files

    def _put_back(self) -> None:
        for path, content in self._before.items():
            if path.read_bytes() != content:
                _put(path, content)


def _put(path: Path, content: bytes) -> None:
    """The whole file or the old one: written beside it, then put in its place."""
    beside = path.with_name(f".{path.name}.new")
    try:
        with beside.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)


def _cells(one: Proposal) -> list[NewCell]:
    key = _KEYS[one.table]
    row = dict(zip(key, one.row.split(" "), strict=True))
    cells = [NewCell(row, one.column, cell_text(one.proposed))]
    if (one.table, one.column) == ("operations", "occurrence_share"):
        cells.append(NewCell(row, "sample", cell_text(one.new_sample)))
    return cells


_KEYS: dict[str, tuple[str, ...]] = {model.TABLE: model.KEY for model in TABLES}  # type: ignore[attr-defined]
