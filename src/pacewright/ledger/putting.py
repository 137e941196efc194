"""Rows put into a table by the driver itself: half the time of the library above it."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Table


def put_rows(link: Connection, table: Table, rows: Sequence[tuple[Any, ...]]) -> None:
    """Insert rows.

    Parameters
    ----------
    rows : values in the order of the columns of ``table``.
    """
    if not rows:
        return
    names = [one.name for one in table.columns]
    if link.dialect.name == "sqlite":
        mark, given = "?", [tuple(map(_as_sqlite, row)) for row in rows]
    else:
        mark, given = "%s", [tuple(row) for row in rows]
    marks = ", ".join([mark] * len(names))
    statement = f"INSERT INTO {table.name} ({', '.join(names)}) VALUES ({marks})"
    link.exec_driver_sql(statement, given)


def _as_sqlite(cell: Any) -> Any:
    # As the library writes and reads moments in SQLite, which has no type for them.
    return cell.isoformat(" ", "microseconds") if isinstance(cell, datetime) else cell
