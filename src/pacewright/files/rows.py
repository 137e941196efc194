"""From the cells of a sheet to the rows of a table; every cell that will not do is a fault."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time
from functools import cache
from itertools import islice
from typing import Any

from pydantic import TypeAdapter, ValidationError

from pacewright.base.columns import Column, columns
from pacewright.base.faults import Fault, NameHint
from pacewright.files.sheet import Cell, Line, Sheet, UnreadableError

CHUNK = 20_000
"""Rows validated in one go: large enough to be quick, small enough to keep memory low."""

_SERIAL = re.compile(r"[1-7][0-9]{4}(\.[0-9]+)?$")
_MARKED_NUMBER = re.compile(r"[-+]?[0-9][0-9 .,'\u00a0\u202f]*$")
_SHOWN = 60


@dataclass
class TableRead:
    """What came of reading one table.

    Parameters
    ----------
    rows : the rows that are sound.
    numbers : for each of them, its row in the spreadsheet.
    keys : first key column of every row, sound or not; None when it could not be told.
    faults : all that is wrong with the cells.
    """

    file: str
    rows: list[Any] = field(default_factory=list)
    numbers: list[int] = field(default_factory=list)
    keys: set[str] | None = None
    faults: list[Fault] = field(default_factory=list)


@dataclass(frozen=True)
class _Heading:
    """Which cell of a row belongs to which column."""

    model: type
    places: tuple[tuple[int, str], ...]
    width: int
    key_place: int | None


def read_table(sheet: Sheet, model: type) -> TableRead:
    """The rows of a table and all faults of its cells.

    Parameters
    ----------
    sheet : the cells.
    model : row model of the table; its columns say what each cell must hold.
    """
    table = TableRead(sheet.file)
    try:
        lines = enumerate(sheet.rows(), start=1)
        _, first = next(lines, (1, []))
        heading = _heading(first, model, table)
        if heading is None:
            return table
        table.keys = set() if heading.key_place is not None else None
        whole = _whole_rows(lines, heading, table, sheet.ragged)
        while chunk := list(islice(whole, CHUNK)):
            _take(chunk, heading, table)
    except UnreadableError as error:
        table.faults += error.faults
        table.keys = None
    return table


def _heading(cells: Line, model: type, table: TableRead) -> _Heading | None:
    """Match the headings with the columns; faults when they do not fit."""
    known = {column.name: column for column in columns(model)}
    names = [str(cell).strip() for cell in cells]
    while names and not names[-1]:
        names.pop()
    before = len(table.faults)
    hint = NameHint(known)
    for name in dict.fromkeys(names):
        if not name:
            rule, remedy = "Each column has a heading.", "Name the column, or delete it."
            table.faults.append(Fault(table.file, 1, "", "a heading is blank", rule, remedy))
        elif name not in known:
            rule = f"The columns are {', '.join(known)}."
            remedy = "Correct the heading, or delete the column." + hint(name)
            table.faults.append(Fault(table.file, 1, name, "is not a column", rule, remedy))
        elif names.count(name) > 1:
            rule, remedy = "A column stands once.", "Delete or rename the other."
            table.faults.append(Fault(table.file, 1, name, "stands twice", rule, remedy))
    for column in known.values():
        if column.required and column.name not in names:
            rule = f"The column is needed: {column.meaning}."
            table.faults.append(
                Fault(table.file, 1, column.name, "is missing", rule, "Add the column.")
            )
    if len(table.faults) > before:
        return None
    places = tuple((place, name) for place, name in enumerate(names))
    key = model.KEY[0]  # type: ignore[attr-defined]
    return _Heading(model, places, len(names), names.index(key) if key in names else None)


def _whole_rows(
    lines: Iterator[tuple[int, Line]], heading: _Heading, table: TableRead, ragged: bool
) -> Iterator[tuple[int, Line]]:
    """The rows that are not blank and as long as the headings; note the key of each."""
    width, key_place, keys = heading.width, heading.key_place, table.keys
    for number, cells in lines:
        if len(cells) > width and not any(cells[width:]):
            cells = cells[:width]  # noqa: PLW2901 - blank cells beyond the table say nothing
        if all(_blank(cell) for cell in cells if cell):
            continue
        if keys is not None and key_place is not None and key_place < len(cells):
            keys.add(str(cells[key_place]).strip())
        if len(cells) == width or (not ragged and len(cells) < width):
            yield number, cells
            continue
        found = f"has {len(cells)} cells where the headings have {width}"
        rule = "Each row has a cell for each heading."
        remedy = "Quote a cell that holds a comma; write no comma in numbers; add what is missing."
        table.faults.append(Fault(table.file, number, "", found, rule, remedy))


def _take(chunk: list[tuple[int, Line]], heading: _Heading, table: TableRead) -> None:
    """Validate some rows: the sound ones into the table, faults of the others too."""
    adapter = _adapter(heading.model)
    places = heading.places
    given = [
        {name: cell for place, name in places if (cell := cells[place]) and not _blank(cell)}
        for _, cells in chunk
    ]
    numbers = [number for number, _ in chunk]
    try:
        table.rows += adapter.validate_python(given)
    except ValidationError as error:
        wrong = error.errors(include_url=False, include_context=False)
        table.faults += _cell_faults(wrong, numbers, heading.model, table.file)
        faulty = {one["loc"][0] for one in wrong}
        sound = [index for index in range(len(given)) if index not in faulty]
        table.rows += adapter.validate_python([given[index] for index in sound])
        numbers = [numbers[index] for index in sound]
    table.numbers += numbers


def read_row(given: dict[str, Any], model: type, file: str) -> tuple[Any, list[Fault]]:
    """One row from its cells by column, or None with all that is wrong with them (row 0)."""
    try:
        return _adapter(model).validate_python([given])[0], []
    except ValidationError as error:
        wrong = error.errors(include_url=False, include_context=False)
        return None, list(_cell_faults(wrong, [0], model, file))


def _blank(cell: Cell) -> bool:
    return isinstance(cell, str) and cell.isspace()


@cache
def _adapter(model: type) -> TypeAdapter[list[Any]]:
    return TypeAdapter(list[model])  # type: ignore[valid-type]


def _cell_faults(
    wrong: Sequence[Any], numbers: list[int], model: type, file: str
) -> Iterator[Fault]:
    """What the validation library found, in words of the column concerned."""
    known = {column.name: column for column in columns(model)}
    for one in wrong:
        index, name = one["loc"][0], str(one["loc"][1])
        column = known[name]
        if one["type"] in ("missing", "missing_argument"):
            rule, remedy = f"It is needed: {column.meaning}.", "Fill it in."
            yield Fault(file, numbers[index], name, "is blank", rule, remedy)
            continue
        cell, rule = one["input"], column.rule.rule
        remedy = column.rule.remedy + _reason(cell, column)
        if one["type"] == "less_than_equal" and column.most is not None:
            rule = f"At most {column.most:.15g} is taken as meant: {column.meaning}."
            remedy = "Correct it; see to its unit."
        yield Fault(file, numbers[index], name, shown(cell), rule, remedy)


def _reason(cell: Any, column: Column) -> str:
    """What more can be said of a cell that will not do, to help find the cause."""
    wants_date = "date" in column.rule.rule
    if isinstance(cell, str) and wants_date and _SERIAL.match(cell.strip()):
        return " A bare number may be a date the spreadsheet has lost: format the cells as dates."
    if isinstance(cell, date | datetime | time) and not wants_date:
        return " The spreadsheet made a date of it: format the column as text and type it again."
    if isinstance(cell, str) and "umber" in column.rule.rule and _MARKED_NUMBER.match(cell.strip()):
        return " Commas, blanks and apostrophes in numbers are not guessed."
    return ""


def shown(cell: Cell | Any) -> str:
    """A cell as faults quote it."""
    text = str(cell)
    return f"'{text[:_SHOWN]}...'" if len(text) > _SHOWN else f"'{text}'"
