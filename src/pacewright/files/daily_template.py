"""Empty daily sheets to fill in: one CSV file each, and one workbook with all of them."""

import csv
from collections.abc import Iterable, Mapping
from io import BytesIO, StringIO
from typing import Any

import xlsxwriter

from pacewright.base.columns import Column, columns
from pacewright.files.daily import SHEETS

WORKBOOK = "daily.xlsx"


def templates() -> dict[str, bytes]:
    """File name -> content of every empty sheet."""
    files = {f"{model.TABLE}.csv": _headings(model) for model in SHEETS}
    return files | {WORKBOOK: _workbook()}


def filled(table: str, rows: Iterable[Mapping[str, str]]) -> bytes:
    """One daily sheet as CSV, with some cells filled in; the others are blank."""
    model = next(one for one in SHEETS if table == one.TABLE)
    text = StringIO(newline="")
    names = [one.name for one in columns(model)]
    writer = csv.DictWriter(text, names, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue().encode()


def _headings(model: Any) -> bytes:
    return (",".join(one.name for one in columns(model)) + "\n").encode()


def _workbook() -> bytes:
    content = BytesIO()
    book = xlsxwriter.Workbook(content, {"in_memory": True})
    heading = book.add_format({"bold": True, "bottom": 1})
    # Codes and ids are text, or the spreadsheet makes dates and numbers of them.
    text = book.add_format({"num_format": "@"})
    kinds = {
        "date": book.add_format({"num_format": "yyyy-mm-dd"}),
        "time": book.add_format({"num_format": "hh:mm"}),
    }
    for model in SHEETS:
        sheet = book.add_worksheet(model.TABLE)
        sheet.freeze_panes(1, 0)
        for place, column in enumerate(columns(model)):
            is_number = "number" in column.rule.rule.casefold()
            cells = kinds.get(column.name, None if is_number else text)
            sheet.set_column(place, place, max(12, len(column.name) + 2), cells)
            sheet.write_string(0, place, column.name, heading)
            sheet.write_comment(0, place, _told(column))
    book.close()
    return content.getvalue()


def _told(column: Column) -> str:
    needed = "Needed." if column.required else "May be blank."
    return f"{column.meaning}. {column.rule.rule} {needed}"
