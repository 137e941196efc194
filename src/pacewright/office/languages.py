"""The languages of a works: a file of texts each, beside the works or in the package."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from difflib import get_close_matches
from pathlib import Path

import pacewright
from pacewright.base.faults import Fault, WorksFaultyError
from pacewright.files.po import HEAD, Entry, po_bytes, read_po
from pacewright.office.errors import CallError
from pacewright.office.texts_drawn import Drawn, drawn_texts
from pacewright.reports.words.language import Language
from pacewright.reports.words.phrase import wrong_places
from pacewright.works import Works

FOLDER = "languages"
_CODE = re.compile(r"[a-z]{2,3}(-[A-Za-z0-9]{2,8})*")
_NEAR = 0.75
"""Likeness (0 to 1) from which a changed text keeps what was said for it, to be looked at."""


@dataclass(frozen=True, slots=True)
class Words:
    """How far a language is.

    Parameters
    ----------
    path : of its file.
    texts, said, unsure : texts in all, those that are said, those to be looked at again.
    gone : texts no longer used.
    """

    path: Path
    texts: int
    said: int
    unsure: int
    gone: int


def languages_of(works_path: Path) -> dict[str, Path]:
    """Language (BCP 47, RFC 5646) -> its file; one beside the works goes before the package's."""
    folders = (Path(pacewright.__file__).parent / FOLDER, _folder(works_path))
    return {
        path.stem: path
        for folder in folders
        for path in sorted(folder.glob("*.po"))
        if _CODE.fullmatch(path.stem)
    }


def read_texts(path: Path) -> dict[str, str]:
    """English text -> what it is in the language of a file; unsure ones are left out.

    Raises
    ------
    WorksFaultyError : with every line that cannot be read and every text whose places are wrong.
    """
    name = f"{FOLDER}/{path.name}"
    entries = read_po(path.read_bytes(), name)
    used = [one for one in entries if one.text and one.said and not one.unsure and not one.gone]
    faults = [
        Fault(
            name, one.row, "", f"{one.said[:80]!r} has other places than its text: {wrong}",
            "What is said for a text has each of its places ({name}) once, in any order.",
            "Put in what is missing (-), take out what is foreign (+).",
        )
        for one in used
        if (wrong := ", ".join(wrong_places(one.text, one.said)))
    ]  # fmt: skip
    if faults:
        raise WorksFaultyError(faults)
    return {one.text: one.said for one in used}


def language(code: str, texts: Mapping[str, str], works: Works) -> Language:
    """A language for the pages and papers of a works, whose own names stay as they are."""
    return Language(code, texts, own_words(works))


def own_words(works: Works) -> frozenset[str]:
    """Names and ids of a works: what people there called things is never a word of the program."""
    found = {works.settings.name}
    for table in fields(works):
        rows = getattr(works, table.name)
        for row in rows if isinstance(rows, tuple) else ():
            for name in (one.name for one in fields(row)):
                value = getattr(row, name)
                if isinstance(value, str) and (name == "name" or name.endswith("_id")):
                    found.add(value)
    return frozenset(found - {""})


def write_words(works_path: Path, code: str, dry: bool = False) -> Words:
    """Write the file of a language beside the works, or bring it up to this version's texts.

    What was said is kept. A text that was changed a little keeps what was said for the earlier one,
    marked to be looked at; one no longer used is kept at the end.

    Raises
    ------
    CallError : the code is no language's, or the file cannot be written.
    WorksFaultyError : the file that is there cannot be read.
    """
    if not _CODE.fullmatch(code) or code == "en":
        raise CallError(
            f"words {code[:40]}: this is no other language. A language is written by its code "
            "(BCP 47), as de, fr or pt-BR; English is in the program. Write it so."
        )
    path = _folder(works_path) / f"{code}.po"
    there = read_po(path.read_bytes(), f"{FOLDER}/{path.name}") if path.is_file() else ()
    entries = merged(drawn_texts(), there, code)
    if not dry:
        _put(path, po_bytes(entries))
    now = [one for one in entries if one.text and not one.gone]
    said = [one for one in now if one.said and not one.unsure]
    return Words(
        path,
        len(now),
        len(said),
        sum(one.unsure for one in now),
        sum(one.gone for one in entries),
    )


def merged(drawn: Sequence[Drawn], there: Sequence[Entry], code: str) -> list[Entry]:
    """Today's texts with what is said for them."""
    known = {one.text: one for one in there if one.text}
    today = {one.text for one in drawn}
    lost = {text: one for text, one in known.items() if text not in today}
    head = next((one for one in there if not one.text), Entry("", HEAD.format(code)))
    entries = [head]
    for one in drawn:
        entry = known.get(one.text)
        if entry is None:
            entry = _nearest(one.text, lost)
        entries.append(replace(entry, text=one.text, files=one.files, gone=False))
    taken = {one.was for one in entries}
    gone = [one for text, one in lost.items() if one.said and text not in taken]
    return entries + [replace(one, gone=True) for one in gone]


def _nearest(text: str, lost: Mapping[str, Entry]) -> Entry:
    """What was said for the text this one was before it was changed; nothing: it is new."""
    near = get_close_matches(text, [one for one in lost if lost[one].said], 1, _NEAR)
    if not near:
        return Entry(text)
    old = lost[near[0]]
    return replace(old, text=text, unsure=True, was=old.was or old.text)


def _folder(works_path: Path) -> Path:
    return (works_path if works_path.is_dir() else works_path.parent) / FOLDER


def _put(path: Path, content: bytes) -> None:
    new = path.with_suffix(".po.new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        new.write_bytes(content)
        new.replace(path)
    except OSError as error:
        raise CallError(f"{path}: {error}. Nothing was written; choose another works.") from error
