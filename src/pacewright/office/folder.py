"""Open a works, from a folder of tables or a workbook."""

from dataclasses import fields
from pathlib import Path

from pacewright.files.read import read_works
from pacewright.works import Works
from pacewright.works_checks import notes


def open_works(path: Path) -> tuple[Works, tuple[str, ...]]:
    """Read and cross-check a works; also what had to be assumed in it.

    Raises
    ------
    WorksFaultyError : with every fault found.
    """
    works = read_works(path)
    return works, notes(works)


def what_is_in(works: Works) -> dict[str, int]:
    """Table -> number of rows."""
    return {
        table.name: len(rows)
        for table in fields(works)
        if isinstance(rows := getattr(works, table.name), tuple)
    }
