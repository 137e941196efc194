"""A works written as its folder or as a workbook; reading it again gives the same works."""

import csv
from collections.abc import Iterator
from datetime import date, datetime, time
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any

import xlsxwriter

from pacewright.base.columns import columns
from pacewright.base.settings import Settings
from pacewright.files.folder import Folder
from pacewright.files.whole import NotOursError, write_whole, write_whole_file
from pacewright.files.workbook import Workbook
from pacewright.works import MAY_BE_ABSENT, TABLES, Works

SHEET_ROWS = 1_048_576
"""Rows an XLSX sheet can hold (ECMA-376-1, limit of the row number in use)."""


def write_works(works: Works, folder: Path) -> None:
    """Write ``works.toml`` and a CSV file for each table, with every column.

    A table that may be absent and has no rows is left out.

    Raises
    ------
    NotOursError : the place is taken by what is not ours.
    OSError : it cannot be written; what stood there still stands.
    """
    files = {Folder.settings_name: settings_toml(works.settings).encode()}
    for model, rows in _tables(works):
        files[f"{model.TABLE}.csv"] = _csv(model, rows)
    write_whole(folder, files)


def write_workbook(works: Works, path: Path) -> None:
    """Write one XLSX workbook: the sheet ``works`` with the settings, and a sheet for each table.

    Numbers keep 16 digits, as spreadsheets do.

    Raises
    ------
    NotOursError : the file exists, or a table has more rows than a sheet can hold.
    OSError : it cannot be written; nothing was left.
    """
    content = BytesIO()
    book = xlsxwriter.Workbook(content, {"in_memory": True})
    # A fixed day of making: the same works gives the same bytes.
    book.set_properties({"created": datetime.combine(works.settings.plan.today, time())})
    heading = book.add_format({"bold": True, "bottom": 1})
    day = book.add_format({"num_format": "yyyy-mm-dd"})
    sheet = _sheet(book, Workbook.settings_name, ("setting", "value"), heading)
    for row, (name, value) in enumerate(_settings_flat(works.settings), start=1):
        sheet.write_string(row, 0, name)
        _write_cell(sheet, row, 1, value, day)
    sheet.set_column(0, 1, 32)
    for model, rows in _tables(works):
        if len(rows) >= SHEET_ROWS:
            raise NotOursError(f"{model.TABLE} has {len(rows)} rows, more than a sheet can hold.")
        known = columns(model)
        sheet = _sheet(book, model.TABLE, tuple(one.name for one in known), heading)
        for place, column in enumerate(known):
            sheet.write_comment(0, place, f"{column.meaning}. {column.rule.rule}")
            sheet.set_column(place, place, max(12, len(column.name) + 2))
            for row, one in enumerate(rows, start=1):
                _write_cell(sheet, row, place, getattr(one, column.name), day)
    book.close()
    write_whole_file(path, content.getvalue())


def _tables(works: Works) -> Iterator[tuple[Any, tuple[Any, ...]]]:
    models: tuple[Any, ...] = TABLES
    for model in models:
        rows = getattr(works, model.TABLE)
        if rows or model.TABLE not in MAY_BE_ABSENT:
            yield model, rows


def _csv(model: Any, rows: tuple[Any, ...]) -> bytes:
    names = [one.name for one in columns(model)]
    text = StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(names)
    writer.writerows([cell_text(getattr(row, name)) for name in names] for row in rows)
    return text.getvalue().encode()


def cell_text(value: Any) -> str:
    """A value as a CSV cell holds it."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() else repr(value)
    if isinstance(value, tuple):
        return " ".join(map(str, value))
    return str(value)


def _sheet(book: Any, name: str, headings: tuple[str, ...], heading: Any) -> Any:
    sheet = book.add_worksheet(name)
    sheet.freeze_panes(1, 1)
    for place, one in enumerate(headings):
        sheet.write_string(0, place, one, heading)
    return sheet


def _write_cell(sheet: Any, row: int, place: int, value: Any, day: Any) -> None:
    """Write a cell with its kind; text always as text, so that nothing becomes a formula."""
    if isinstance(value, date):
        sheet.write_datetime(row, place, value, day)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        sheet.write_number(row, place, value)
    elif text := cell_text(value):
        sheet.write_string(row, place, text)


def _settings_flat(value: Any, name: str = "") -> Iterator[tuple[str, Any]]:
    """The settings as (dotted name, value), lists numbered from 1; what is left out is left out."""
    if hasattr(value, "__pydantic_fields__"):
        for part in value.__pydantic_fields__:
            yield from _settings_flat(getattr(value, part), f"{name}.{part}" if name else part)
    elif isinstance(value, tuple):
        for place, one in enumerate(value, start=1):
            yield from _settings_flat(one, f"{name}.{place}")
    elif value is not None:
        yield name, value.isoformat("minutes") if isinstance(value, time) else value


def settings_toml(settings: Settings) -> str:
    """The settings as the text of ``works.toml``."""
    calendar, plan = settings.calendar, settings.plan
    lines = [*_toml_lines(settings), "", "[calendar]", *_toml_lines(calendar)]
    for shift in calendar.shifts:
        lines += ["", "[[calendar.shifts]]", *_toml_lines(shift)]
    for shutdown in calendar.shutdowns:
        lines += ["", "[[calendar.shutdowns]]", *_toml_lines(shutdown)]
    lines += ["", "[plan]", *_toml_lines(plan)]
    for step in plan.pace:
        lines += ["", "[[plan.pace]]", *_toml_lines(step)]
    return "\n".join(lines) + "\n"


def _toml_lines(part: Any) -> list[str]:
    """The plain settings of one part; parts within it are written under their own heading."""
    lines = []
    for name in part.__pydantic_fields__:
        value = getattr(part, name)
        first = value[0] if isinstance(value, tuple) and value else value
        if value is not None and value != () and not hasattr(first, "__pydantic_fields__"):
            lines.append(f"{name} = {_toml(value)}")
    return lines


def _toml(value: Any) -> str:
    """A value in TOML (toml.io, version 1.0.0: basic strings, local dates and times, arrays)."""
    if isinstance(value, tuple):
        return f"[{', '.join(_toml(one) for one in value)}]"
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, bool):
        return f'"{cell_text(value)}"'
    if isinstance(value, int | float):
        return cell_text(float(value))
    escaped = value.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'
