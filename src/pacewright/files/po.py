"""Texts in another language as a PO file (GNU gettext manual, "The Format of PO Files").

Read is what that manual describes, but for plurals and contexts, which are not used here; written
is what its own tools and every editor for translators read. Lines are never broken.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from pacewright.base.faults import Fault, WorksFaultyError

HEAD = "Content-Type: text/plain; charset=UTF-8\nContent-Transfer-Encoding: 8bit\nLanguage: {}\n"
_LINE = re.compile(r'(?:(msgid|msgstr)\s+)?"((?:[^"\\]|\\.)*)"\s*$')
_ENDS = re.compile(r"\r\n|\n|\r")
"""Ends of lines; other signs that part lines may stand within a text."""
_ESCAPE = re.compile(r"\\(.)")
_READ = {"n": "\n", "t": "\t", "r": "\r"}
_WRITTEN = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t", "\r": "\\r"}


@dataclass(frozen=True, slots=True)
class Entry:
    """One text and what it is in the other language.

    Parameters
    ----------
    text : English; empty: the head of the file.
    said : in the language; empty: not yet.
    files : where the text stands in the source.
    notes : remarks of the translator.
    unsure : to be looked at again (``fuzzy``); not used until then.
    was : English text ``said`` was made for; empty: this one.
    gone : the text is no longer used; kept for the day it comes back.
    row : line of the file at which the text begins.
    """

    text: str
    said: str = ""
    files: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    unsure: bool = False
    was: str = ""
    gone: bool = False
    row: int = 0


def read_po(content: bytes, file: str) -> tuple[Entry, ...]:
    """The entries of a PO file, its head among them.

    Raises
    ------
    WorksFaultyError : with every line that cannot be read, and every text that stands twice.
    """
    try:
        lines = _ENDS.split(content.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        row = content[: error.start].count(b"\n") + 1
        rule = "A file of texts is written in UTF-8."
        raise WorksFaultyError([Fault(file, row, "", "no UTF-8", rule, "Save it so.")]) from None
    faults: list[Fault] = []
    entries: list[Entry] = []
    seen: dict[str, int] = {}
    for row, block in _blocks(lines):
        entry = _entry(row, block, file, faults)
        if entry is None:
            continue
        if entry.text in seen and not entry.gone:
            found = f"{entry.text[:60]!r} stands in line {seen[entry.text]} as well"
            faults.append(Fault(file, row, "", found, "A text stands once.", "Drop one of them."))
        if not entry.gone:
            seen[entry.text] = row
        entries.append(entry)
    if faults:
        raise WorksFaultyError(faults)
    return tuple(entries)


def _blocks(lines: Sequence[str]) -> Iterator[tuple[int, list[str]]]:
    """Lines of each entry and the number of the first: a new one begins behind a ``msgstr``."""
    block, start, told = list[str](), 1, False
    for row, line in enumerate(lines, 1):
        bare = line.removeprefix("#~").strip()
        opens = told and (_remarks(line) or _opens(bare))
        if block and (opens or not bare):
            yield start, block
            block, told = [], False
        if bare:
            start = start if block else row
            block.append(line)
            told = told or bare.startswith("msgstr")
    if block:
        yield start, block


def _remarks(line: str) -> bool:
    return line.startswith("#") and not line.startswith("#~")


def _opens(line: str) -> bool:
    return line.startswith(("msgid", "msgctxt"))


def _entry(row: int, block: list[str], file: str, faults: list[Fault]) -> Entry | None:
    entry, part = Entry("", row=row), ""
    texts: dict[str, str] = {}
    for at, line in enumerate(block, row):
        bare = line.removeprefix("#~").strip()
        entry = replace(entry, gone=entry.gone or line.startswith("#~"))
        if bare.startswith("#"):
            entry = _remarked(entry, bare)
            continue
        found = _LINE.match(bare)
        if found is None or not (found[1] or part):
            faults.append(
                Fault(
                    file, at, "", f"{bare[:60]!r} is no line of a PO file",
                    'A line is msgid "...", msgstr "...", more of it in quotes, or a remark (#).',
                    "Write it so; plurals and contexts are not used here.",
                )
            )  # fmt: skip
            return None
        part = found[1] or part
        entry = replace(entry, row=at) if found[1] == "msgid" else entry
        texts[part] = texts.get(part, "") + _read(found[2])
    if not texts:
        return None  # remarks alone
    return replace(entry, text=texts.get("msgid", ""), said=texts.get("msgstr", ""))


def _remarked(entry: Entry, line: str) -> Entry:
    if line.startswith("#:"):
        return replace(entry, files=(*entry.files, *line[2:].split()))
    if line.startswith("#,"):
        return replace(entry, unsure=entry.unsure or "fuzzy" in line)
    if line.startswith("#|"):
        found = _LINE.match(line[2:].strip())
        return replace(entry, was=entry.was + _read(found[2])) if found else entry
    return (
        entry if line.startswith("#.") else replace(entry, notes=(*entry.notes, line[1:].strip()))
    )


def po_bytes(entries: Sequence[Entry]) -> bytes:
    """The entries as a PO file; those no longer used stand last."""
    blocks = [_written(one) for one in sorted(entries, key=lambda one: one.gone)]
    return ("\n\n".join(blocks) + "\n").encode()


def _written(entry: Entry) -> str:
    lines = [f"# {note}".rstrip() for note in entry.notes]
    if entry.files and not entry.gone:
        lines.append("#: " + " ".join(entry.files))
    flags = ["fuzzy"] * entry.unsure + ["python-brace-format"] * bool(
        re.search(r"\{[a-z0-9_]+\}", entry.text)
    )
    if flags:
        lines.append("#, " + ", ".join(flags))
    mark = "#~ " if entry.gone else ""
    if entry.was:
        lines.append(f"#| msgid {_quoted(entry.was)}")
    return "\n".join(
        [*lines, f"{mark}msgid {_quoted(entry.text)}", f"{mark}msgstr {_quoted(entry.said)}"]
    )


def _quoted(text: str) -> str:
    return '"' + "".join(_WRITTEN.get(sign, sign) for sign in text) + '"'


def _read(text: str) -> str:
    return _ESCAPE.sub(lambda found: _READ.get(found[1], found[1]), text)
