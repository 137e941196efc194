"""Cells of a workbook whose value a reader would take for blank though the user sees something.

An error (``#N/A``), a formula that was never worked out, and all but the first of merged cells
come through the spreadsheet reader as blank; a blank is often allowed, so they are looked up here.
The parts of a workbook read here are laid down in ECMA-376-1 (SpreadsheetML): ``c`` cells with
type ``t``, formula ``f``, value ``v``; ``mergeCell``; sheets found through relationships.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import PurePosixPath
from xml.etree import ElementTree
from zipfile import ZipFile

_CELL = re.compile(rb"<(?:\w+:)?c\s([^>]*[^/>])>(.*?)</(?:\w+:)?c>", re.DOTALL)
_REFERENCE = re.compile(rb'\br="([A-Z]{1,3})([0-9]{1,7})"')
_ERROR = re.compile(rb'\bt="e"')
_FORMULA = re.compile(rb"<(?:\w+:)?f[\s/>]")
_VALUE = re.compile(rb"<(?:\w+:)?v(?:\s[^>]*)?>([^<]*)<")
_MERGED = re.compile(rb'<(?:\w+:)?mergeCell\s[^>]*ref="([A-Z]{1,3})([0-9]{1,7}):')
_RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"


@dataclass(frozen=True, slots=True)
class DeadCell:
    """A cell that would be read as blank; ``what`` stands there in fact."""

    row: int
    letters: str
    what: str


def sheet_parts(book: ZipFile) -> dict[str, str]:
    """Sheet name -> the part of the workbook that holds its cells."""
    targets = {
        one.get("Id", ""): one.get("Target", "")
        for one in ElementTree.fromstring(book.read("xl/_rels/workbook.xml.rels"))
    }
    parts = {}
    for one in ElementTree.fromstring(book.read("xl/workbook.xml")).iter():
        target = targets.get(one.get(_RELATION, ""))
        if one.tag.endswith("}sheet") and target:
            # A joined absolute path replaces "/xl", a relative one continues it.
            parts[one.get("name", "")] = str(PurePosixPath("/xl") / target)[1:]
    return parts


def dead_cells(book: ZipFile, part: str) -> Iterator[DeadCell]:
    """The dead cells of one sheet."""
    content = book.read(part)
    for merged in _MERGED.finditer(content):
        yield DeadCell(int(merged[2]), merged[1].decode(), "is merged with others")
    if not (_ERROR.search(content) or _FORMULA.search(content)):
        return
    for cell in _CELL.finditer(content):
        attributes, inside = cell.groups()
        what = _dead(attributes, inside)
        place = _REFERENCE.search(attributes)
        if what and place:
            yield DeadCell(int(place[2]), place[1].decode(), what)


def _dead(attributes: bytes, inside: bytes) -> str:
    value = _VALUE.search(inside)
    if _ERROR.search(attributes):
        return f"holds the error {value[1].decode(errors='replace') if value else '#?'}"
    if _FORMULA.search(inside) and not (value and value[1]) and b't="str"' not in attributes:
        return "holds a formula that was never worked out"
    return ""
