"""One table as a CSV file that opens right in a spreadsheet and harms nobody who opens it."""

import csv
from datetime import date
from io import StringIO

from pacewright.reports.table import Cell, Table

_STARTS_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def csv_bytes(table: Table) -> bytes:
    """The table as RFC 4180 lines in UTF-8 with a byte-order mark; dates in ISO 8601.

    Text that a spreadsheet would run as a formula gets an apostrophe before it. The mark at the
    start makes common spreadsheets read names with accents rightly.
    """
    out = StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow([column.name for column in table.columns])
    writer.writerows([_written(cell) for cell in row] for row in table.rows)
    return b"\xef\xbb\xbf" + out.getvalue().encode("utf-8")


def _written(cell: Cell) -> str | int | float:
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, str):
        return "'" + cell if cell.startswith(_STARTS_FORMULA) else cell
    return cell
