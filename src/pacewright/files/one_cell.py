"""One cell of a CSV table rewritten; every other byte of the file stays as it was."""

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from pacewright.base.faults import Fault
from pacewright.files.csvfile import read_text
from pacewright.files.sheet import UnreadableError


class NewCell(NamedTuple):
    """What is to stand in a cell: the row by its key columns, the column, and the text."""

    key: Mapping[str, str]
    column: str
    text: str


class _Field(NamedTuple):
    """Where a cell stands in the text of the file, and what it says."""

    first: int
    end: int
    says: str


def rewritten(path: Path, cells: Sequence[NewCell]) -> bytes:
    """The bytes of a CSV file with some cells changed.

    Parameters
    ----------
    path : a table that was read without fault.
    cells : what is to stand where; the text needs no quotes.

    Raises
    ------
    UnreadableError : the file cannot be read, or has no such column or row, or the row twice.
    """
    text = read_text(path)
    bom = path.read_bytes().startswith(b"\xef\xbb\xbf")
    lines = [line for line in _lines(text) if any(field.says for field in line)]
    heading = {field.says: place for place, field in enumerate(lines[0])}
    changes = {}
    for cell in cells:
        field = _find(path.name, heading, lines[1:], cell)
        changes[field.first, field.end] = cell.text
    for (first, end), new in sorted(changes.items(), reverse=True):
        text = text[:first] + new + text[end:]
    return (b"\xef\xbb\xbf" if bom else b"") + text.encode()


def _find(
    file: str, heading: Mapping[str, int], lines: Sequence[Sequence[_Field]], cell: NewCell
) -> _Field:
    for column in (*cell.key, cell.column):
        if column not in heading:
            raise UnreadableError(
                _fault(file, column, "the table has no such column", f"Add a column {column}.")
            )
    wanted = [(heading[column], says) for column, says in cell.key.items()]
    place = heading[cell.column]
    rows = [
        line
        for line in lines
        if all(at < len(line) and line[at].says == says for at, says in wanted)
    ]
    named = " ".join(cell.key.values())
    if len(rows) != 1:
        raise UnreadableError(
            _fault(file, cell.column, f"{len(rows)} rows of {named}", "Keep one row of it.")
        )
    if place >= len(rows[0]):
        raise UnreadableError(
            _fault(file, cell.column, f"the row of {named} ends before it", "Fill up the row.")
        )
    return rows[0][place]


def _fault(file: str, column: str, found: str, remedy: str) -> Fault:
    return Fault(file, 0, column, found, "One cell is rewritten where it stands.", remedy)


def _lines(text: str) -> Iterator[list[_Field]]:
    """The cells of each line with their places; quotes as RFC 4180 has them."""
    line: list[_Field] = []
    first = place = 0
    quoted = False
    while place < len(text):
        sign = text[place]
        if sign == '"':
            quoted = not quoted
        elif not quoted and sign in ",\r\n":
            line.append(_Field(first, place, _unquoted(text[first:place])))
            if sign == "\r" and text[place + 1 : place + 2] == "\n":
                place += 1
            if sign != ",":
                yield line
                line = []
            first = place + 1
        place += 1
    if first < len(text) or line:
        line.append(_Field(first, len(text), _unquoted(text[first:])))
        yield line


def _unquoted(raw: str) -> str:
    says = raw.strip()
    if len(says) > 1 and says[0] == says[-1] == '"':
        says = says[1:-1].replace('""', '"').strip()
    return says
