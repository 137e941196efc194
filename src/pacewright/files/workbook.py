"""One XLSX workbook: a sheet for each table, and a sheet ``works`` with the settings."""

import string
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from zipfile import ZipFile

from python_calamine import CalamineWorkbook, SheetTypeEnum

from pacewright.base.faults import Fault
from pacewright.base.settings import Settings
from pacewright.files.deadcells import DeadCell, dead_cells, sheet_parts
from pacewright.files.settings import read_settings_sheet
from pacewright.files.sheet import Cell, Line, Sheet, UnreadableError, opening_fault

_MIDNIGHT = time(0)


class Workbook:
    """A workbook opened for reading; ``names`` are its sheets.

    Raises
    ------
    UnreadableError : it cannot be opened, or is no XLSX workbook.
    """

    settings_name = "works"

    def __init__(self, path: Path) -> None:
        self.path = path
        try:
            path.open("rb").close()
        except OSError as error:
            raise UnreadableError(opening_fault(path, path.name, error)) from error
        with _proved_whole(path.name), ZipFile(path) as archive:
            self._parts = sheet_parts(archive)
            self._book = CalamineWorkbook.from_path(path)
        known = self._book.sheets_metadata
        self.names = tuple(one.name for one in known if one.typ == SheetTypeEnum.WorkSheet)

    def name_of(self, table: str) -> str:
        """The name under which a table is kept."""
        return table

    def file(self, name: str) -> str:
        """How faults call what is kept under ``name``."""
        return f"{self.path.name} sheet {name}"

    def settings(self) -> Settings:
        """The settings of the works."""
        return read_settings_sheet(self.sheet(self.settings_name, ("setting", "value")))

    def setting_row(self, name: str) -> int:
        """Row in which a setting stands; its sheet names the setting itself: 0."""
        return 0

    def sheet(self, table: str, headings: tuple[str, ...]) -> Sheet:
        """The cells of one sheet, as a CSV file would hold them.

        Raises
        ------
        UnreadableError : the sheet is damaged, or holds errors, merged cells or formulas that
            were never worked out, which would pass for blanks.
        """
        file = self.file(table)
        with _proved_whole(file), ZipFile(self.path) as archive:
            lines = self._book.get_sheet_by_name(table).to_python(skip_empty_area=False)
            dead = list(dead_cells(archive, self._parts[table]))
        if dead:
            first = lines[0] if lines else []
            raise UnreadableError(*(_dead_fault(file, cell, first) for cell in dead))
        if not lines:
            rule, remedy = "A table begins with its headings.", "Fill the sheet in, or delete it."
            raise UnreadableError(Fault(file, 0, "", "is empty", rule, remedy))
        return Sheet(file, lambda: _as_csv(lines), ragged=False)


@contextmanager
def _proved_whole(file: str) -> Iterator[None]:
    """Turn whatever a damaged workbook makes the readers raise into a fault."""
    try:
        yield
    except BaseException as error:
        # A damaged file may even make the compiled reader panic, which is no Exception.
        if isinstance(error, KeyboardInterrupt | SystemExit | GeneratorExit | UnreadableError):
            raise
        found = f"cannot be read as an XLSX workbook ({str(error) or type(error).__name__})"
        rule = "A workbook is whole, without a password, in XLSX form."
        remedy = "Open it in the spreadsheet and save it again as 'Excel workbook (.xlsx)'."
        raise UnreadableError(Fault(file, 0, "", found, rule, remedy)) from error


def _as_csv(lines: list[list[Any]]) -> Iterator[Line]:
    for cells in lines:
        yield [_plain(cell) for cell in cells]


def _plain(cell: Any) -> Cell:
    """A cell as the CSV of the same sheet would hold it, only that dates stay dates."""
    if isinstance(cell, str):
        return cell
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, int | float):
        return str(int(cell)) if cell == cell // 1 and abs(cell) < 1e15 else repr(cell)
    if isinstance(cell, datetime):
        return cell.date() if cell.time() == _MIDNIGHT else cell
    if isinstance(cell, date | time):
        return cell
    return str(cell) if isinstance(cell, timedelta) else ""


def _dead_fault(file: str, cell: DeadCell, headings: list[Any]) -> Fault:
    place = _place(cell.letters)
    heading = str(headings[place]) if place < len(headings) else ""
    return Fault(
        file,
        cell.row,
        heading or f"cell {cell.letters}{cell.row}",
        cell.what,
        "A cell holds a value of its own.",
        "Mend the formula, or type the value; unmerge merged cells.",
    )


def _place(letters: str) -> int:
    place = 0
    for letter in letters:
        place = place * 26 + string.ascii_uppercase.index(letter) + 1
    return place - 1
