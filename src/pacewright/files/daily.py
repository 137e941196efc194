"""The clerk's spreadsheet of a day, read into the events it tells, with every fault in it."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from pacewright.base.columns import columns
from pacewright.base.faults import Fault, NameHint, WorksFaultyError
from pacewright.events.registry import KIND_OF
from pacewright.events.things import Event
from pacewright.files import daily_floor, daily_gate, daily_units
from pacewright.files.csvfile import read_csv
from pacewright.files.read import PASSED_OVER
from pacewright.files.rows import read_table
from pacewright.files.sheet import Sheet, UnreadableError
from pacewright.files.workbook import Workbook

SHEETS: tuple[Any, ...] = (
    daily_gate.Call,
    daily_gate.Arrival,
    daily_gate.Admission,
    daily_gate.OdometerReading,
    daily_gate.Promise,
    daily_floor.Move,
    daily_floor.Work,
    daily_floor.Assembled,
    daily_floor.Inspection,
    daily_units.Removal,
    daily_units.Order,
    daily_units.Receipt,
    daily_units.Rejection,
    daily_units.Issue,
    daily_units.Fitting,
    daily_floor.Test,
    daily_floor.Hold,
    daily_floor.Breakdown,
    daily_gate.Modification,
    daily_gate.Attendance,
    daily_gate.Release,
)
"""Every daily sheet, in the order of its page; a row model names its sheet in ``TABLE``."""

ORDER = (
    "called",
    "odometer_read",
    "arrived",
    "admitted",
    "promised",
    "put_into_use",
    "freed",
    "work_ended",
    "failed",
    "rectified",
    "tested",
    "found",
    "unit_found",
    "removed",
    "unit_entered",
    "ordered",
    "purchased",
    "sent",
    "received",
    "cleared",
    "reconditioned",
    "quarantined",
    "scrapped",
    "issued",
    "fitted",
    "modified",
    "stage_finished",
    "stripped",
    "parted",
    "married",
    "stored",
    "moved",
    "work_started",
    "held",
    "put_out_of_use",
    "attended",
    "released",
)
"""What comes first of what happened in the same minute: things end before others begin."""

_RANK = {kind: place for place, kind in enumerate(ORDER)}


class DailyRow(NamedTuple):
    """One thing a daily sheet tells.

    Parameters
    ----------
    event : what happened.
    where : file, sheet and row that tell it.
    """

    event: Event
    where: str


def read_daily(paths: Sequence[Path]) -> list[DailyRow]:
    """Everything some daily files tell, in order of time.

    Parameters
    ----------
    paths : CSV files, each named for its sheet (``moves.csv``, ``moves-2026-03-02.csv``), and
        XLSX workbooks whose sheets are named so.

    Returns
    -------
    What happened; within a minute in the order of ``ORDER``, then of files and rows.

    Raises
    ------
    WorksFaultyError : with every fault of every file; then nothing can be relied on.
    """
    rows: list[DailyRow] = []
    faults: list[Fault] = []
    for path in paths:
        try:
            for sheet, model in _sheets(path, faults):
                rows += _rows(sheet, model, faults)
        except UnreadableError as error:
            faults += error.faults
    if faults:
        raise WorksFaultyError(faults)
    return sorted(rows, key=lambda one: (one.event.at, _RANK[KIND_OF[type(one.event)]]))


def sheet_named(name: str) -> Any | None:
    """The row model of a file or sheet by its name; what follows the sheet's name is free."""
    word = name.strip().casefold()
    for model in SHEETS:
        table: str = model.TABLE
        if word == table or (word.startswith(table) and not word[len(table)].isalpha()):
            return model
    return None


def _sheets(path: Path, faults: list[Fault]) -> Iterator[tuple[Sheet, Any]]:
    if not path.is_file():
        rule, remedy = "A daily sheet is a file.", "Check its folder and name."
        faults.append(Fault(path.name, 0, "", "there is no such file", rule, remedy))
        return
    if path.suffix.casefold() == ".xlsx":
        book = Workbook(path)
        for name in book.names:
            if name.startswith(PASSED_OVER):
                continue
            model = _model(name, book.file(name), faults)
            if model is not None:
                try:
                    yield book.sheet(name, _headings(model)), model
                except UnreadableError as error:
                    faults += error.faults
        return
    if path.suffix.casefold() != ".csv":
        rule = "A daily sheet is a CSV file or stands in an XLSX workbook."
        remedy = "Save it as 'CSV UTF-8' or as 'Excel workbook (.xlsx)'."
        faults.append(Fault(path.name, 0, "", "is neither CSV nor XLSX", rule, remedy))
        return
    model = _model(path.stem, path.name, faults)
    if model is not None:
        yield read_csv(path, _headings(model)), model


def _model(name: str, file: str, faults: list[Fault]) -> Any | None:
    model = sheet_named(name)
    if model is None:
        names = [one.TABLE for one in SHEETS]
        rule = f"A file or sheet is named for what it holds: {', '.join(names)}."
        remedy = (
            f"Name it so; a mark and more may follow (moves-2026-03-02). In a workbook, begin the "
            f"name with {PASSED_OVER} to have a sheet passed over.{NameHint(names)(name)}"
        )
        faults.append(Fault(file, 0, "", "holds no known sheet", rule, remedy))
    return model


def _headings(model: Any) -> tuple[str, ...]:
    return tuple(column.name for column in columns(model))


def _rows(sheet: Sheet, model: Any, faults: list[Fault]) -> Iterator[DailyRow]:
    read = read_table(sheet, model)
    faults += read.faults
    for row, number in zip(read.rows, read.numbers, strict=True):
        muddles = row.muddles()
        faults += [Fault(read.file, number, *one) for one in muddles]
        if not muddles:
            for event in row.events():
                yield DailyRow(event, f"{read.file} row {number}")
