"""A table as it lies in a file, cell by cell, before it is known what the cells mean."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, time
from pathlib import Path

from pacewright.base.faults import Fault

Cell = str | date | datetime | time
"""What one cell holds; numbers are kept as the text a CSV file would hold for them."""
Line = list[Cell] | list[str]
Rows = Callable[[], Iterator[Line]]


@dataclass(frozen=True)
class Sheet:
    """One table of a file.

    Parameters
    ----------
    file : how faults name it.
    rows : gives every row anew at each call, blank ones too, so that the count stays that of
        the spreadsheet (first row 1).
    ragged : True when a row may be shorter or longer than the headings (CSV).
    """

    file: str
    rows: Rows
    ragged: bool


class UnreadableError(Exception):
    """A file or sheet of which not one row can be told for certain."""

    def __init__(self, *faults: Fault) -> None:
        self.faults = faults
        super().__init__(*map(str, faults))


def opening_fault(path: Path, file: str, error: OSError) -> Fault:
    """The fault of a file that the system would not open."""
    if path.is_dir():
        return Fault(
            file, 0, "", "is a folder", "A table is a file.", "Move the folder, put the file there."
        )
    return Fault(
        file,
        0,
        "",
        f"cannot be opened ({error.strerror or error})",
        "It must be readable.",
        "Close it elsewhere; see to its permissions, or to the link it stands behind.",
    )
