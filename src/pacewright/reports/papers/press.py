"""Cards made into a PDF: typst sets them, from data that is never read as its language."""

import json
import re
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from enum import StrEnum
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from threading import Lock
from typing import Any

from pacewright.base.faults import CallError
from pacewright.reports.papers.blocks import Block, Label
from pacewright.reports.papers.qr import Code
from pacewright.reports.papers.setting import NO_FONT
from pacewright.reports.papers.signs import NO_SPACE, Lacking, lacking_in_cards, numbers_of
from pacewright.reports.papers.typefaces import Typefaces, typefaces
from pacewright.reports.words.html_text import page_in
from pacewright.reports.words.language import ENGLISH, Language

_FOLDER = Path(__file__).parent
_ONE_AT_A_TIME = Lock()
"""One setting uses all processors; several at once would only hold more memory."""
MOST_CARDS, MOST_SECONDS = 1000, 180
# Up to Cyrillic: letters of other scripts may join, and a sign between them would part them.
_LONG = re.compile("[!-\u052f]{18,}")
_NOT_WORDS = frozenset({"key", "svg", "look", "size"})
NOT_A_RELEASE = (
    "Made by a planning tool. It plans and does not certify: licensed people judge, sign and "
    "release. Local rules and the maker's book hold before this paper."
)
PAGE_OF = "page {x} of {y}"


class Size(StrEnum):
    """Size of a card."""

    A4 = "a4"
    A4_WIDE = "a4-wide"
    A3_WIDE = "a3-wide"
    A5 = "a5"
    LABELS = "labels"
    """A4 with eight labels of A7, without margin, head and foot"""


@dataclass(frozen=True, slots=True)
class Card:
    """One card: pages counted by themselves, so that each can be handed out alone.

    Parameters
    ----------
    title : what paper it is. ``subject`` : what it is about, in large letters.
    blocks : what stands on it, from top to bottom.
    code : scanned, it opens the page of the subject.
    slim : its head is low, to leave the page to a drawing.
    """

    title: str
    subject: str
    blocks: tuple[Block, ...]
    code: Code | None = None
    size: Size = Size.A4
    slim: bool = False


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper of one or more cards.

    Parameters
    ----------
    key : its sort, as in ``vehicle-card``. ``name`` : of its file, without ending.
    works : name of the works. ``made`` : works time at which it holds, for people.
    basis : what it rests on: record up to which event, plan or none.
    """

    key: str
    name: str
    works: str
    made: str
    basis: str
    cards: tuple[Card, ...]


@dataclass(frozen=True, slots=True)
class Printed:
    """A paper set.

    Parameters
    ----------
    made : the PDF.
    lacking : texts with signs that no font at hand holds; they stand as boxes.
    """

    made: bytes
    lacking: tuple[Lacking, ...]


def pdf(paper: Paper, language: Language | None = None) -> bytes:
    """The paper as PDF, in the font of the package; parameters and errors as ``printed``."""
    return printed(paper, language).made


def printed(
    paper: Paper, language: Language | None = None, faces: Typefaces | None = None
) -> Printed:
    """The paper as PDF; the same paper in the same fonts gives the same bytes.

    Parameters
    ----------
    language : of the paper; None: English.
    faces : fonts; None: that of the package alone.

    Raises
    ------
    CallError : the library that sets papers is not installed, there are too many cards, or setting
        them failed or took too long.
    """
    if find_spec("typst") is None:
        raise CallError(
            "papers: the library 'typst' is not installed here. PDF papers are set by it. "
            "Install the extra 'papers' (pip install pacewright[papers])."
        )
    if len(paper.cards) > MOST_CARDS:
        raise CallError(
            f"{paper.key}: {len(paper.cards):,} cards were asked for. At most {MOST_CARDS:,} are "
            "printed at once. Ask for one vehicle, shop, trade or kind, or fewer days."
        )
    fonts = faces or typefaces(())
    data = paper_data(paper, language)
    lacking = fonts.lacking(data)
    texts = lacking_in_cards(json.loads(data)["cards"], fonts) if lacking else ()
    if texts:
        data = paper_data(_noted(paper, lacking), language, _boxes(lacking))
    done = _set(paper, data, fonts)
    if done.returncode == NO_FONT:
        raise CallError(
            f"fonts/{done.stderr.decode(errors='replace')}: the library that sets papers cannot "
            "use this font. A font has a family and a PostScript name. Take it away, or put in "
            "another."
        )
    if done.returncode:
        said = done.stderr.decode(errors="replace").strip().split("\n")[-1]
        raise CallError(
            f"{paper.key}: its pages could not be set: {said[:300]}. This is a fault of the tool "
            "or of the memory of this machine. Ask for fewer cards; report it if it stays."
        )
    return Printed(done.stdout, texts)


def _boxes(signs: str) -> str:
    return f"Boxes stand for signs that no font here holds: {numbers_of(signs)}."


def _noted(paper: Paper, signs: str) -> Paper:
    """The paper with labels that say what their boxes are; they have no foot of the page."""
    cards = (
        replace(
            card,
            blocks=tuple(
                replace(one, foot=f"{_boxes(signs)} {one.foot}") if isinstance(one, Label) else one
                for one in card.blocks
            ),
        )
        for card in paper.cards
    )
    return replace(paper, cards=tuple(cards))


def _set(paper: Paper, data: str, faces: Typefaces) -> subprocess.CompletedProcess[bytes]:
    call = [sys.executable, "-P", str(_FOLDER / "setting.py"), *map(str, faces.files)]
    if not _ONE_AT_A_TIME.acquire(timeout=MOST_SECONDS):
        raise _too_long(paper, "waited behind others for")
    try:
        return subprocess.run(
            call,
            input=data.encode(errors="replace"),
            capture_output=True,
            timeout=MOST_SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise _too_long(paper, "took") from None
    finally:
        _ONE_AT_A_TIME.release()


def _too_long(paper: Paper, did: str) -> CallError:
    return CallError(
        f"{paper.key}: setting {len(paper.cards):,} cards {did} more than {MOST_SECONDS} seconds "
        "and was given up. Ask for fewer, or when less runs on this machine."
    )


def paper_data(paper: Paper, language: Language | None = None, boxes: str = "") -> str:
    """The paper as JSON, as ``paper.typ`` reads it; ``boxes`` says what boxes on it stand for."""
    more = {
        "boxes": _plain(boxes, language),
        "not_a_release": _plain(NOT_A_RELEASE, language),
        "page_of": _plain(PAGE_OF, language),
        "lang": language.code.partition("-")[0] if language else ENGLISH,
    }
    return json.dumps(_plain(paper, language) | more, ensure_ascii=False)


def _plain(thing: Any, language: Language | None) -> Any:
    if isinstance(thing, str):
        return _LONG.sub(_breakable, language.said(thing) if language else thing)
    if is_dataclass(thing) and not isinstance(thing, type):
        found = {name: _field(name, getattr(thing, name), language) for name in _names(type(thing))}
        kind = getattr(thing, "IS", None)
        return {"is": kind, **found} if kind else found
    if isinstance(thing, Sequence):
        return [_plain(one, language) for one in thing]
    return thing


def _field(name: str, value: Any, language: Language | None) -> Any:
    if name == "svg" and language is not None:
        return page_in(language, value)
    return value if name in _NOT_WORDS else _plain(value, language)


def _breakable(word: re.Match[str]) -> str:
    """A long serial has no place to break and would run over its neighbour: give it some."""
    return NO_SPACE.join(word[0])


@cache
def _names(model: type) -> tuple[str, ...]:
    return tuple(one.name for one in fields(model))
