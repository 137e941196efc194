"""One CSV table: UTF-8 text, commas, a row of headings."""

import csv
import re
from collections.abc import Iterator
from io import StringIO
from pathlib import Path

from pacewright.base.faults import Fault
from pacewright.files.sheet import Sheet, UnreadableError, opening_fault

_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")
_SAVE_AS = "Save it again as 'CSV UTF-8 (comma delimited)'."
_AS_TEXT = "Save it again as UTF-8 text."
_UTF_16 = (b"\xff\xfe", b"\xfe\xff")
_OTHER_SEPARATORS = {";": "semicolons", "\t": "tabs", "|": "upright strokes"}


def read_text(path: Path) -> str:
    """The text of a file, proved to be clean UTF-8; a leading byte-order mark does no harm.

    Raises
    ------
    UnreadableError : it cannot be opened, is empty, or is not clean UTF-8 text.
    """
    file = path.name
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise UnreadableError(opening_fault(path, file, error)) from error
    if raw.startswith(_UTF_16):
        raise UnreadableError(_fault(file, 0, "is UTF-16 text", "Text is UTF-8."))
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        found = f"byte {raw[error.start]:#04x} is not UTF-8 text (an older code page?)"
        raise UnreadableError(_fault(file, line, found, "Text is UTF-8.")) from error
    if not text.strip():
        rule = "A table begins with its headings." if file.endswith(".csv") else "It holds text."
        raise UnreadableError(_fault(file, 0, "is empty", rule))
    if stray := _CONTROL.search(text):
        line = text.count("\n", 0, stray.start()) + 1
        found = f"holds the invisible control character {ord(stray.group()):#04x}"
        raise UnreadableError(_fault(file, line, found, "Text holds readable characters only."))
    return text


def read_csv(path: Path, headings: tuple[str, ...]) -> Sheet:
    """The table in a CSV file, split at commas and proved whole.

    Parameters
    ----------
    headings : names of the columns the table may have; they tell a wrong separator.

    Raises
    ------
    UnreadableError : not clean text, parted by something else than commas, or a quote not closed.
    """
    text = read_text(path)
    first = text.lstrip().split("\n", 1)[0]
    for mark, words in _OTHER_SEPARATORS.items():
        parts = {part.strip().strip('"') for part in first.split(mark)}
        if len(parts) > 1 and parts & set(headings) and first.count(mark) > first.count(","):
            found = f"its columns are parted by {words}"
            raise UnreadableError(_fault(path.name, 1, found, "Columns are parted by commas."))
    return Sheet(path.name, lambda: _split(path.name, text), ragged=True)


def _split(file: str, text: str) -> Iterator[list[str]]:
    reader = csv.reader(StringIO(text, newline=""), strict=True)
    row = 0
    try:
        for row, cells in enumerate(reader, start=1):  # noqa: B007
            yield cells
    except csv.Error as error:
        found = f"cannot be split into cells ({error}); a quote may not be closed"
        remedy = "Close or remove the quote; a quote inside a quoted cell is written twice."
        rule = "A cell is quoted wholly or not at all."
        raise UnreadableError(Fault(file, row + 1, "", found, rule, remedy)) from error


def _fault(file: str, row: int, found: str, rule: str) -> Fault:
    return Fault(file, row, "", found, rule, _SAVE_AS if file.endswith(".csv") else _AS_TEXT)
