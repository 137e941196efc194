"""Cards made into a PDF: typst sets them, from data that is never read as its language."""

import json
from collections.abc import Sequence
from dataclasses import dataclass, fields, is_dataclass
from enum import StrEnum
from functools import cache
from pathlib import Path
from threading import Lock
from typing import Any

from pacewright.base.faults import CallError
from pacewright.reports.papers.blocks import Block
from pacewright.reports.papers.qr import Code

_FOLDER = Path(__file__).parent
_ONE_AT_A_TIME = Lock()
"""One setting uses all processors; several at once would only hold more memory."""
NOT_A_RELEASE = (
    "Made by a planning tool. It plans and does not certify: licensed people judge, sign and "
    "release. Local rules and the maker's book hold before this paper."
)
PAGE_OF = "page {x} of {y}"


class Size(StrEnum):
    """Size of a card."""

    A4 = "a4"
    A4_WIDE = "a4-wide"
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
    """

    title: str
    subject: str
    blocks: tuple[Block, ...]
    code: Code | None = None
    size: Size = Size.A4


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


def pdf(paper: Paper) -> bytes:
    """The paper as PDF; the same paper gives the same bytes.

    Raises
    ------
    CallError : the library that sets papers is not installed.
    """
    try:
        import typst  # noqa: PLC0415
    except ImportError:
        raise CallError(
            "papers: the library 'typst' is not installed here. PDF papers are set by it. "
            "Install the extra 'papers' (pip install pacewright[papers])."
        ) from None
    data = paper_data(paper)
    with _ONE_AT_A_TIME:
        made: bytes = typst.compile(
            _FOLDER / "paper.typ",
            root=_FOLDER,
            font_paths=_fonts(),
            ignore_system_fonts=True,
            sys_inputs={"data": data},
            timestamp=0,
        )
    return made


def paper_data(paper: Paper) -> str:
    """The paper as JSON, as ``paper.typ`` reads it."""
    data = _plain(paper) | {"not_a_release": NOT_A_RELEASE, "page_of": PAGE_OF}
    return json.dumps(data, ensure_ascii=False)


@cache
def _fonts() -> Any:
    import typst  # noqa: PLC0415

    # Neither the fonts of this machine nor those of the library: the same everywhere, for years.
    return typst.Fonts(
        include_system_fonts=False,
        include_embedded_fonts=False,
        font_paths=[_FOLDER / "fonts"],
    )


def _plain(thing: Any) -> Any:
    if is_dataclass(thing) and not isinstance(thing, type):
        found = {one.name: _plain(getattr(thing, one.name)) for one in fields(thing)}
        kind = getattr(thing, "IS", None)
        return {"is": kind, **found} if kind else found
    if isinstance(thing, Sequence) and not isinstance(thing, str):
        return [_plain(one) for one in thing]
    return thing
