"""Files that came over the network, proved to be what they say before anything reads them."""

import re
import zlib
from io import BytesIO
from pathlib import Path, PurePosixPath
from zipfile import BadZipFile, ZipFile

from pacewright.base.faults import CallError

MOST_BYTES = 8 * 1024 * 1024
"""Largest upload, all its files together; a day's sheets have some kilobytes."""

MOST_FILES = 30
MOST_UNPACKED = 64 * 1024 * 1024
"""A workbook that unpacks to more is a bomb, or no day's sheet."""

MOST_WORKBOOK = 512 * 1024 * 1024
"""So far the workbook of a whole works may unpack; 100,000 vehicles come to some 100 MB."""

_STRANGE = re.compile(r"[^A-Za-z0-9._ -]")
_ZIP = b"PK\x03\x04"


def plain_name(said: str) -> str:
    r"""The last part of a file's name, without anything a path or a shell could make of it.

    Examples
    --------
    >>> plain_name("../../etc/moves.csv"), plain_name("C:\\day\\moves 2.csv"), plain_name("..")
    ('moves.csv', 'moves 2.csv', 'file')
    """
    last = PurePosixPath(said.replace("\\", "/")).name[-80:]
    return _STRANGE.sub("_", last).lstrip(". ") or "file"


def checked(files: list[tuple[str, bytes]]) -> list[tuple[str, bytes]]:
    """Files under plain names, each a CSV text or an XLSX workbook by name and by content.

    Raises
    ------
    CallError : none, too many, too large, or not what the name says; with every fault.
    """
    faults = []
    if not files:
        faults.append("No file came. CSV files or XLSX workbooks are wanted. Choose them.")
    if len(files) > MOST_FILES:
        faults.append(f"{len(files)} files came, at most {MOST_FILES}. Send less at a time.")
    if sum(len(content) for _, content in files) > MOST_BYTES:
        faults.append(
            f"The files have more than {MOST_BYTES // 2**20} MB together. Send less at a time."
        )
    named = [(plain_name(said), content) for said, content in files]
    faults += [fault for name, content in named if (fault := _not_as_named(name, content))]
    if faults:
        raise CallError("\n".join(faults))
    return named


def laid_down(files: list[tuple[str, bytes]], folder: Path) -> list[Path]:
    """Write checked files into a folder, each in one of its own so that none hides another."""
    paths = []
    for number, (name, content) in enumerate(files):
        path = folder / str(number) / name
        path.parent.mkdir()
        path.write_bytes(content)
        paths.append(path)
    return paths


def _not_as_named(name: str, content: bytes) -> str:
    sort = Path(name).suffix.casefold()
    if sort == ".csv":
        if content.startswith(_ZIP) or b"\0" in content[:4096]:
            return f"{name}: it is no text. A CSV file is text. Save it as 'CSV UTF-8'."
        return ""
    if sort == ".xlsx":
        return _no_workbook(name, content)
    return (
        f"{name}: it is neither CSV nor XLSX. Daily sheets are. Save it as 'CSV UTF-8' or as "
        "'Excel workbook (.xlsx)'."
    )


def checked_workbook(name: str, content: bytes) -> None:
    """Prove that a file is an XLSX workbook before anything reads it.

    Raises
    ------
    CallError : it is none, or a bomb.
    """
    fault = _no_workbook(name, content, MOST_WORKBOOK)
    if fault:
        raise CallError(fault)


def _no_workbook(name: str, content: bytes, most: int = MOST_UNPACKED) -> str:
    wrong = f"{name}: it is no XLSX workbook. Save it as 'Excel workbook (.xlsx)'."
    if not content.startswith(_ZIP):
        return wrong
    try:
        with ZipFile(BytesIO(content)) as archive:
            names = {one.filename for one in archive.infolist()}
            unpacked = sum(one.file_size for one in archive.infolist())
            if unpacked <= most:
                # The sizes it tells may be wrong; unpacking says how large it is.
                unpacked = _unpacked(archive, most)
    except (BadZipFile, OSError, ValueError, RuntimeError, NotImplementedError, zlib.error):
        return wrong
    if "xl/workbook.xml" not in names:
        return wrong
    if unpacked > most:
        return f"{name}: it unpacks to more than {most // 2**20} MB. Send less at a time."
    return ""


def _unpacked(archive: ZipFile, most: int) -> int:
    size = 0
    for one in archive.infolist():
        with archive.open(one) as part:
            while size <= most and (some := part.read(1 << 20)):
                size += len(some)
    return size
