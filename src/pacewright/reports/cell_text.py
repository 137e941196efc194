"""A cell of a table as plain text for the terminal."""

from datetime import date

from pacewright.reports.table import Cell, Kind, TableColumn
from pacewright.reports.written import NONE, number, share


def cell_text(cell: Cell, column: TableColumn) -> str:
    """The cell as people read it; dates in ISO 8601.

    Examples
    --------
    >>> cell_text(0.25, TableColumn("chance", "chance", kind=Kind.SHARE))
    '25 %'
    """
    if cell is None or cell == "":
        return NONE
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, str):
        return cell
    return share(float(cell)) if column.kind is Kind.SHARE else number(float(cell), column.digits)
