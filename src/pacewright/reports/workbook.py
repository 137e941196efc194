"""The plan as one workbook: a front sheet with the figures, then one sheet a table."""

from collections.abc import Sequence
from datetime import UTC, date, datetime
from io import BytesIO
from typing import Any

import xlsxwriter

from pacewright.plans.forecast import Forecast
from pacewright.plans.plan import Plan
from pacewright.reports.figures import key_figures, verdict
from pacewright.reports.simulation.answer import answer_figures, answer_sentences
from pacewright.reports.table import Cell, Kind, Table, TableColumn
from pacewright.reports.written import day

HEAD_ROWS = 2
"""Row 1 says what a column means, row 2 is its name and carries the filter."""

MOST_ROWS = 20_000
"""Rows of one sheet: above, opening it helps nobody and writing it takes longer than the plan."""

_INK, _RULE, _SHADE = "#1B2733", "#C9CED6", "#EEF1F4"
_FORMATS: dict[Kind, dict[str, Any]] = {
    Kind.TEXT: {},
    Kind.WHOLE: {"num_format": "#,##0"},
    Kind.NUMBER: {"num_format": "#,##0.0##"},
    Kind.SHARE: {"num_format": "0.0%"},
    Kind.DATE: {"num_format": "yyyy-mm-dd", "align": "left"},
    Kind.YES_NO: {},
}
_WIDTHS = {
    Kind.TEXT: (9, 52),
    Kind.WHOLE: (8, 14),
    Kind.NUMBER: (9, 16),
    Kind.SHARE: (9, 16),
    Kind.DATE: (11, 12),
    Kind.YES_NO: (6, 10),
}


def plan_workbook(tables: Sequence[Table], plan: Plan, forecast: Forecast | None = None) -> bytes:
    """The workbook as bytes; the same plan gives the same bytes.

    A table longer than MOST_ROWS is cut and says where the whole of it stands. With a forecast
    its answer stands on the front sheet as well.

    Text is always written as text, so that no cell can become a formula or a link; dates are
    dates, shares are shown as per cent, and every column says what it means above its name.
    """
    out = BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    with xlsxwriter.Workbook(out, options) as book:
        noon = datetime(plan.today.year, plan.today.month, plan.today.day, 12, tzinfo=UTC)
        book.set_properties(
            {"title": f"{plan.works_name}: plan", "created": noon.replace(tzinfo=None)}
        )
        look = _looks(book)
        _front(book.add_worksheet("Front"), plan, (tables, forecast), look)
        for table in tables:
            _sheet(book.add_worksheet(table.name[:31]), table, look)
    return out.getvalue()


def _looks(book: Any) -> dict[str, Any]:
    base = {"font_name": "Arial", "font_size": 10, "font_color": _INK, "valign": "top"}
    looks = {kind.value: book.add_format(base | extra) for kind, extra in _FORMATS.items()}
    looks["title"] = book.add_format(base | {"bold": True, "font_size": 16})
    looks["wrap"] = book.add_format(base | {"text_wrap": True})
    looks["big"] = book.add_format(base | {"bold": True, "font_size": 13, "align": "left"})
    looks["meaning"] = book.add_format(
        base | {"italic": True, "font_size": 8, "text_wrap": True, "font_color": "#56606B"}
    )
    looks["head"] = book.add_format(base | {"bold": True, "bg_color": _SHADE, "bottom": 1,
                                            "bottom_color": _RULE, "text_wrap": True})  # fmt: skip
    return looks


def _front(
    sheet: Any, plan: Plan, held: tuple[Sequence[Table], Forecast | None], look: dict[str, Any]
) -> None:
    tables, forecast = held
    sentences, figures = verdict(plan), key_figures(plan)
    if forecast is not None:
        sentences += answer_sentences(forecast)
        figures += answer_figures(forecast)
    sheet.hide_gridlines(2)
    for place, width in enumerate((30, 16, 30, 72)):
        sheet.set_column(place, place, width)
    sheet.write_string(0, 0, plan.works_name, look["title"])
    sheet.write_string(
        1, 0, f"Plan of {day(plan.today)}, from {day(plan.start)} on. Inputs {plan.inputs_hash},"
        f" version {plan.version}.", look["text"],
    )  # fmt: skip
    row = 3
    for sentence in sentences:
        sheet.merge_range(row, 0, row, 3, "", look["wrap"])
        sheet.write_string(row, 0, sentence, look["wrap"])
        row += 1
    row = _front_head(sheet, row + 1, ("Figure", "Value", "Unit", "Where it comes from"), look)
    for figure in figures:
        sheet.write_string(row, 0, figure.label, look["wrap"])
        sheet.write_string(row, 1, figure.value, look["big"])
        sheet.write_string(row, 2, figure.unit, look["wrap"])
        sheet.write_string(row, 3, f"{figure.source} {figure.how}", look["wrap"])
        row += 1
    row = _front_head(sheet, row + 1, ("Sheet", "Rows", "Title", "What it is"), look)
    for table in tables:
        sheet.write_url(row, 0, f"internal:'{table.name[:31]}'!A1", look["text"], table.name)
        sheet.write_number(row, 1, len(table.rows), look[Kind.WHOLE.value])
        sheet.write_string(row, 2, table.title, look["wrap"])
        sheet.write_string(row, 3, f"{table.about} {_cut(table)}".strip(), look["wrap"])
        row += 1
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)


def _cut(table: Table) -> str:
    if len(table.rows) <= MOST_ROWS:
        return ""
    return f"First {MOST_ROWS:,} of {len(table.rows):,} rows; all in tables/{table.name}.csv."


def _front_head(sheet: Any, row: int, names: Sequence[str], look: dict[str, Any]) -> int:
    for place, name in enumerate(names):
        sheet.write_string(row, place, name, look["head"])
    return row + 1


def _sheet(sheet: Any, table: Table, look: dict[str, Any]) -> None:
    rows = table.rows[:MOST_ROWS]
    for place, column in enumerate(table.columns):
        unit = f" [{column.unit}]" if column.unit else ""
        sheet.write_string(0, place, column.meaning + unit, look["meaning"])
        sheet.write_string(1, place, column.name, look["head"])
        sheet.set_column(place, place, _width(column, place, rows))
        _column(sheet, place, column.kind, rows, look[column.kind.value])
    sheet.set_row(0, 48)
    if _cut(table):
        sheet.write_string(0, 0, _cut(table), look["meaning"])
    sheet.freeze_panes(HEAD_ROWS, 1)
    sheet.repeat_rows(0, HEAD_ROWS - 1)
    if rows:
        sheet.autofilter(1, 0, len(rows) + 1, len(table.columns) - 1)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)


def _column(
    sheet: Any, place: int, kind: Kind, rows: Sequence[tuple[Cell, ...]], form: Any
) -> None:
    write = {
        Kind.TEXT: sheet.write_string,
        Kind.DATE: sheet.write_datetime,
        Kind.YES_NO: sheet.write_string,
    }.get(kind, sheet.write_number)
    for row, cells in enumerate(rows, HEAD_ROWS):
        cell = cells[place]
        if cell is None:
            continue
        if kind is Kind.YES_NO:
            cell = "yes" if cell else "no"
        write(row, place, cell, form)


def _width(column: TableColumn, place: int, rows: Sequence[tuple[Cell, ...]]) -> float:
    least, most = _WIDTHS[column.kind]
    longest = max((_length(row[place]) for row in rows[:200]), default=0)
    return float(min(most, max(least, longest + 1, min(len(column.name) + 3, 20))))


def _length(cell: Cell) -> int:
    return 10 if cell is None or isinstance(cell, date | float) else len(str(cell))
