"""Outputs appear whole or not at all, and never in the place of something the user made.

A folder is filled under another name beside its place and then put there by renaming; until that
moment, and after any failure, what stood there before still stands. Each folder written so holds
a list of its files with their SHA-256, ``.pacewright-files``, in the form ``sha256sum`` checks.
A folder that stands there already is replaced only when it is empty, or when that list and what
lies in it still agree: a file added or changed by hand is never lost.
"""

import os
import secrets
import shutil
from collections.abc import Mapping
from glob import escape
from hashlib import sha256
from pathlib import Path, PurePosixPath

LIST = ".pacewright-files"
_REMEDY = "Choose another place, or move it away first."


class NotOursError(OSError):
    """Something stands in the place that this tool did not write, or that was changed since."""


def write_whole(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write a folder with these files, in the place of an older one of ours.

    Parameters
    ----------
    folder : where; folders above it are made.
    files : name inside the folder (``/`` for folders in it) -> content.

    Raises
    ------
    NotOursError : the place is taken by what is not ours; nothing was touched.
    OSError : the disk is full, or the place is closed to us; what stood there still stands.
    ValueError : a name would lie outside the folder.
    """
    target = folder.resolve()
    for name in files:
        path = PurePosixPath(name)
        if path.is_absolute() or ".." in path.parts or str(path) != name or name == LIST:
            raise ValueError(f"'{name}' is no name inside a folder")
    _put_back(target)
    _refuse_foreign(target)
    target.parent.mkdir(parents=True, exist_ok=True)
    new = _beside(target, "new")
    try:
        _fill(new, files)
        _swap(new, target)
    except BaseException:
        shutil.rmtree(new, ignore_errors=True)
        raise


def write_whole_file(path: Path, content: bytes) -> None:
    """Write one file that does not exist yet.

    Raises
    ------
    NotOursError : something of that name stands there; nothing was touched.
    OSError : the disk is full, or the place is closed to us; nothing was left.
    """
    target = path.resolve()
    if target.exists():
        raise NotOursError(f"{path} exists already and is not written over. {_REMEDY}")
    target.parent.mkdir(parents=True, exist_ok=True)
    new = _beside(target, "new")
    try:
        _write(new, content)
        # A link, unlike a renaming, refuses to take the place of a file made in the meantime.
        os.link(new, target)
    finally:
        new.unlink(missing_ok=True)


def _beside(target: Path, state: str) -> Path:
    return target.with_name(f".{target.name}.{state}-{secrets.token_hex(4)}")


def _put_back(target: Path) -> None:
    """Undo a swap that a power cut or kill has left half done."""
    if target.exists():
        return
    for old in sorted(target.parent.glob(f".{escape(target.name)}.old-*")):
        if (old / LIST).is_file():
            old.rename(target)
            return


def _refuse_foreign(target: Path) -> None:
    if not target.exists():
        return
    if not target.is_dir():
        raise NotOursError(f"{target} is a file, not a folder. {_REMEDY}")
    here = Path.cwd()
    if here == target or target in here.parents:
        raise NotOursError(f"you stand inside {target}. Give a folder below it or beside it.")
    found = {str(p.relative_to(target)) for p in target.rglob("*") if not p.is_dir()} - {LIST}
    try:
        lines = (target / LIST).read_text(encoding="utf-8").splitlines()
    except (FileNotFoundError, UnicodeDecodeError):
        if not any(target.iterdir()):
            return
        raise NotOursError(f"{target} holds files this tool did not write. {_REMEDY}") from None
    listed = {name: digest for digest, _, name in (line.partition("  ") for line in lines)}
    for name in sorted(found):
        known = listed.get(PurePosixPath(name).as_posix())
        if known is None:
            raise NotOursError(f"{target / name} was not written by this tool. {_REMEDY}")
        if known != sha256((target / name).read_bytes()).hexdigest():
            raise NotOursError(f"{target / name} was changed after it was written. {_REMEDY}")


def _fill(new: Path, files: Mapping[str, bytes]) -> None:
    new.mkdir()
    for name, content in files.items():
        path = new / name
        path.parent.mkdir(parents=True, exist_ok=True)
        _write(path, content)
    lines = [f"{sha256(content).hexdigest()}  {name}\n" for name, content in sorted(files.items())]
    _write(new / LIST, "".join(lines).encode())


def _write(path: Path, content: bytes) -> None:
    with path.open("xb") as file:
        file.write(content)
        file.flush()
        # Only now is it certain that the disk had room.
        os.fsync(file.fileno())


def _swap(new: Path, target: Path) -> None:
    if not target.exists():
        new.rename(target)
        return
    old = _beside(target, "old")
    try:
        target.rename(old)
        new.rename(target)
    except BaseException:
        if old.exists() and not target.exists():
            old.rename(target)
        raise
    shutil.rmtree(old, ignore_errors=True)
