"""A page's content without its frame: one question, the answer, then tables and drawings.

The same sheet makes the page on the screen, its CSV and its REST answer, so that none of the
three can say what the others do not.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.table import Cell, Table


@dataclass(frozen=True, slots=True)
class Figure:
    """One headline figure.

    Parameters
    ----------
    name : what it is; ``value`` as people read it; ``unit`` after it.
    how : what it is and how it is computed, a sentence or two.
    """

    name: str
    value: str
    unit: str
    how: str


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo kept in the record.

    Parameters
    ----------
    digest : its SHA-256, by which it is found.
    caption : what it shows, as people read it.
    """

    digest: str
    caption: str


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a sheet under a heading of its own.

    Parameters
    ----------
    key : short name, unique in the sheet; the part's address on the page and in REST.
    heading : as people read it.
    how : what is shown and how it is computed.
    table, drawing : what is shown; at least one of them.
    links : column of the table -> address with ``{}`` for the cell, for cells that lead on.
    columns : columns shown on the page, in order; empty: all. Files hold all.
    empty : what is said when the table has no rows, and what that means.
    photos : shown on the page below table and drawing; the table names their digests.
    folded : on the page the table is folded away, for long ones under a drawing that says the same.
    """

    key: str
    heading: str
    how: str
    table: Table | None = None
    drawing: Drawing | None = None
    links: Mapping[str, str] = field(default_factory=dict)
    columns: tuple[str, ...] = ()
    empty: str = "Nothing."
    folded: bool = False
    photos: tuple[Photo, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """The content of one page.

    Parameters
    ----------
    key : stable name, the last part of its address.
    title : the page's name.
    question : the question it answers, as a sentence.
    answer : the answer in a few sentences.
    figures : headline figures, at most four.
    parts : what stands below.
    caution : safety lines that matter here.
    basis : what the figures rest on: record up to which event, plan of which inputs.
    up_to : last event of the record that it knows; 0: all there are.
    awaited : what it shows is still being made; the page shows it by itself when it is there.
    """

    key: str
    title: str
    question: str
    answer: tuple[str, ...]
    parts: tuple[Part, ...]
    figures: tuple[Figure, ...] = ()
    caution: tuple[str, ...] = ()
    basis: tuple[str, ...] = ()
    up_to: int = 0
    awaited: bool = False

    def part(self, key: str) -> Part | None:
        """A part by its key; None: there is none."""
        return next((one for one in self.parts if one.key == key), None)


def sheet_data(sheet: Sheet) -> dict[str, Any]:
    """The sheet as plain values for REST: answer, figures, and every table whole.

    Returns
    -------
    A mapping that JSON can hold; dates as ISO 8601 text, an unknown cell as null.
    """
    return {
        "sheet": sheet.key,
        "title": sheet.title,
        "question": sheet.question,
        "answer": list(sheet.answer),
        "figures": [
            {"name": one.name, "value": one.value, "unit": one.unit, "how": one.how}
            for one in sheet.figures
        ],
        "tables": {
            part.key: table_data(part.table) for part in sheet.parts if part.table is not None
        },
        "caution": list(sheet.caution),
        "basis": list(sheet.basis),
        "awaited": sheet.awaited,
    }


def table_data(table: Table) -> dict[str, Any]:
    """A table as plain values: what each column means, and a mapping for each row."""
    names = [column.name for column in table.columns]
    return {
        "title": table.title,
        "about": table.about,
        "columns": [
            {"name": one.name, "meaning": one.meaning, "unit": one.unit, "kind": one.kind.value}
            for one in table.columns
        ],
        "rows": [dict(zip(names, map(_plain, row), strict=True)) for row in table.rows],
    }


def _plain(cell: Cell) -> str | int | float | bool | None:
    return cell.isoformat() if isinstance(cell, date) else cell
