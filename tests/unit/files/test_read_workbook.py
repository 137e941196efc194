"""A workbook is read as the folder it stands for; what would pass for a blank is a fault."""

import re
import zipfile
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
import xlsxwriter

from pacewright.base.faults import Fault, WorksFaultyError
from pacewright.files import read_works, write_workbook
from small_works import small_tables, small_works

DAYS = {"in_service", "last_overhaul", "licence_expiry", "withdraw_on", "gate_in", "read_on"}
DAYS |= {"first", "last"}
SETTINGS = {
    "name": "Lindmoor Works",
    "distance_unit": "km",
    "calendar.working_weekdays.1": "mon",
    "calendar.working_weekdays.2": "tue",
    "calendar.working_weekdays.3": "wed",
    "calendar.working_weekdays.4": "thu",
    "calendar.working_weekdays.5": "fri",
    "calendar.holidays.1": date(2026, 4, 3),
    "calendar.holidays.2": "2026-12-25",
    "calendar.shifts.1.name": "day",
    "calendar.shifts.1.starts": "07:00",
    "calendar.shifts.1.ends": "15:30",
    "calendar.shifts.1.break_minutes": 30,
    "calendar.shutdowns.1.name": "summer",
    "calendar.shutdowns.1.first": "2026-08-03",
    "calendar.shutdowns.1.last": "2026-08-14",
    "plan.today": date(2026, 3, 2),
    "plan.start": "2026-03-09",
    "plan.horizon_weeks": 104,
    "plan.firm_weeks": 13,
    "plan.planned_weeks": 52,
    "plan.pace.1.starts": "2026-03-02",
    "plan.pace.1.vehicles_a_week": 1,
}
Grid = list[list[Any]]
Sheets = dict[str, Grid]


def kept_by_hand() -> Sheets:
    """The small works as a planner's workbook: numbers, dates and ticks in cells of their kind."""
    sheets: Sheets = {"works": [["setting", "value"], *([k, v] for k, v in SETTINGS.items())]}
    for table, rows in small_tables().items():
        names = list(rows[0])
        grid: Grid = [list(names)]
        grid += [[by_kind(name, row[name]) for name in names] for row in rows]
        sheets[table] = grid
    return sheets


def by_kind(column: str, cell: str) -> Any:
    """A cell as a spreadsheet user has it."""
    if cell and column in DAYS:
        return date.fromisoformat(cell)
    if cell in ("yes", "no"):
        return cell == "yes"
    return float(cell) if re.fullmatch(r"[0-9.]+", cell) else cell


def save(path: Path, sheets: Sheets) -> Path:
    """Save the sheets; a cell ``("=", formula, value)`` is a formula with its stored value."""
    book = xlsxwriter.Workbook(path)
    day = book.add_format({"num_format": "dd.mm.yyyy"})
    for name, grid in sheets.items():
        sheet = book.add_worksheet(name)
        for row, cells in enumerate(grid):
            for place, cell in enumerate(cells):
                if isinstance(cell, tuple):
                    sheet.write_formula(row, place, cell[1], None, cell[2])
                elif isinstance(cell, date):
                    sheet.write_datetime(row, place, cell, day)
                elif cell != "":
                    sheet.write(row, place, cell)
    book.close()
    return path


def faults_of(path: Path) -> tuple[Fault, ...]:
    with pytest.raises(WorksFaultyError) as caught:
        read_works(path)
    return caught.value.faults


def test_a_workbook_kept_by_hand_is_the_same_works(tmp_path: Path) -> None:
    """Number ids, date cells in any format, ticks: the same works as from the CSV tables."""
    assert read_works(save(tmp_path / "w.xlsx", kept_by_hand())) == small_works()


def test_own_sheets_and_formulas_do_no_harm(tmp_path: Path) -> None:
    """Sheets beginning with _ are passed over; a formula counts with its value."""
    sheets = kept_by_hand()
    sheets["_pivot"] = [[1, 2], ["#", "x"]]
    depots = sheets["depots"]
    depots[1][3] = ("=", "=1/2", 0.5)
    depots[2][1] = ("=", '="South"&" depot"', "South depot")
    depots.insert(2, ["", "", "", ""])
    assert read_works(save(tmp_path / "w.xlsx", sheets)) == small_works()


def change(table: str, row: int, place: int, cell: Any) -> Callable[[Sheets], None]:
    def spoil(sheets: Sheets) -> None:
        grid = sheets[table]
        if row == len(grid):
            grid.append([""] * len(grid[0]))
        grid[row][place] = cell

    return spoil


BAD = [
    ("works missing", lambda s: s.pop("works"), ("works", 0, "", "is missing")),
    ("sheet missing", lambda s: s.pop("depots"), ("depots", 0, "", "is missing")),
    ("stray sheet", lambda s: s.update(Sheet1=[[1]]), ("Sheet1", 0, "", "no known table")),
    ("empty sheet", lambda s: s.update(depots=[]), ("depots", 0, "", "is empty")),
    ("serial number", change("vehicles", 1, 4, 43221), ("vehicles", 2, "in_service", "'43221'")),
    (
        "day with an hour",
        change("vehicles", 1, 4, datetime(2018, 5, 1, 7, 30)),
        ("vehicles", 2, "in_service", "'2018-05-01 07:30:00'"),
    ),
    (
        "id made a date",
        change("depots", 1, 0, date(2026, 1, 3)),
        ("depots", 2, "depot_id", "'2026-01-03'"),
    ),
    ("tick for a number", change("depots", 1, 3, True), ("depots", 2, "travel_days", "'yes'")),
    (
        "error cell",
        change("depots", 2, 2, ("=", "=1/0", "#DIV/0!")),
        ("depots", 3, "away_limit", "holds the error #DIV/0!"),
    ),
    (
        "formula without value",
        change("depots", 2, 2, ("=", "=1+1", "")),
        ("depots", 3, "away_limit", "never worked out"),
    ),
    ("setting's heading", change("works", 0, 0, "what"), ("works", 1, "", "lacks its headings")),
    (
        "setting unknown",
        change("works", 20, 0, "plan.firm_week"),
        ("works", 21, "plan.firm_week", "is not a setting"),
    ),
    (
        "setting's value",
        change("works", 19, 1, "many"),
        ("works", 20, "plan.horizon_weeks", "'many'"),
    ),
    (
        "value without setting",
        change("works", 1, 0, ""),
        ("works", 2, "", "'Lindmoor Works'"),
    ),
    (
        "setting below a setting",
        change("works", 20, 0, "name.first"),
        ("works", 21, "name.first", "stands twice"),
    ),
    (
        "shutdown ends before it begins",
        change("works", 16, 1, "2026-01-01"),
        ("works", 15, "calendar.shutdowns.1", "does not fit together"),
    ),
]


@pytest.mark.parametrize(("spoil", "wanted"), [b[1:] for b in BAD], ids=[b[0] for b in BAD])
def test_bad_cells_are_told(
    tmp_path: Path, spoil: Callable[[Sheets], None], wanted: tuple[str, int, str, str]
) -> None:
    """The fault names the sheet, its row and column, and what was found."""
    sheets = kept_by_hand()
    spoil(sheets)
    faults = faults_of(save(tmp_path / "w.xlsx", sheets))
    sheet, row, column, found = wanted
    place = (f"w.xlsx sheet {sheet}", row, column)
    hits = [one for one in faults if (one.file, one.row, one.column) == place]
    assert hits, faults
    assert any(found in one.found for one in hits), hits


def test_a_setting_given_twice(tmp_path: Path) -> None:
    """The second row of a setting is told."""
    sheets = kept_by_hand()
    sheets["works"].append(["name", "Another"])
    (fault,) = faults_of(save(tmp_path / "w.xlsx", sheets))
    assert (fault.row, fault.column, fault.found) == (len(SETTINGS) + 2, "name", "stands twice")


def test_merged_cells_are_told(tmp_path: Path) -> None:
    """Merged cells would leave blanks that nobody sees."""
    path = tmp_path / "w.xlsx"
    write_workbook(small_works(), path)
    tampered = tmp_path / "merged.xlsx"
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(tampered, "w") as new:
        for name in old.namelist():
            part = old.read(name)
            if name == "xl/worksheets/sheet3.xml":
                merged = b'<mergeCells count="1"><mergeCell ref="C2:C3"/></mergeCells>'
                part = part.replace(b"</sheetData>", b"</sheetData>" + merged)
            new.writestr(name, part)
    (fault,) = faults_of(tampered)
    assert (fault.row, fault.column) == (2, "away_limit")
    assert "merged" in fault.found


@pytest.mark.parametrize(
    "content",
    [b"", b"PK\x03\x04 cut short", b"vehicle_id,name\n1,2\n", b"\xd0\xcf\x11\xe0" + b"\0" * 600],
    ids=["empty", "damaged", "csv renamed", "old binary book"],
)
def test_what_is_no_workbook_is_told(tmp_path: Path, content: bytes) -> None:
    """A file that only bears the name of a workbook is one clear fault."""
    path = tmp_path / "w.xlsx"
    path.write_bytes(content)
    (fault,) = faults_of(path)
    assert "cannot be read as an XLSX workbook" in fault.found
    assert "save it again" in fault.remedy


def test_a_workbook_that_cannot_be_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Closed to the user, or open elsewhere: a fault with the system's reason."""
    path = save(tmp_path / "w.xlsx", {"works": [["setting", "value"]]})

    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    (fault,) = faults_of(path)
    assert "Permission denied" in fault.found


def test_settings_may_be_bare(tmp_path: Path) -> None:
    """A settings sheet with headings only misses every needed part."""
    sheets = kept_by_hand() | {"works": [["setting", "value"]]}
    found = {one.column for one in faults_of(save(tmp_path / "w.xlsx", sheets))}
    assert found == {"name", "calendar", "plan"}
