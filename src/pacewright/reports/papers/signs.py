"""Signs that no font at hand holds: in which text they stand, told before they print as boxes."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from html import unescape
from typing import Any

from pacewright.reports.papers.typefaces import Typefaces
from pacewright.works import TABLES, Works

REMEDY = (
    "Put a font that has them (.ttf, .otf, .ttc or .otc) into the folder fonts beside the tables."
)
NO_SPACE = "\u200b"
"""Stands in long words where they may be broken; never seen."""

_MOST_SIGNS = 8
_WORDS_OF_DRAWING = re.compile(r"<text\b[^>]*>(.*?)</text>", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Lacking:
    """A text with signs that no font holds.

    Parameters
    ----------
    where : table, row and column, or the card.
    text : the whole text. ``signs`` : those that are lacking, each once.
    """

    where: str
    text: str
    signs: str

    @property
    def numbers(self) -> str:
        """The signs by their numbers in Unicode."""
        return numbers_of(self.signs)

    def __str__(self) -> str:
        return (
            f"{self.where}: {self.text[:60]!r} has signs that no font here holds: {self.signs} "
            f"({self.numbers}). They print as boxes. {REMEDY}"
        )


def numbers_of(signs: str) -> str:
    """Signs by their numbers, the first few.

    Examples
    --------
    >>> numbers_of("\u4e2d")
    'U+4E2D'
    """
    said = [f"U+{ord(one):04X}" for one in signs[:_MOST_SIGNS]]
    return " ".join(said) + (f" and {len(signs) - _MOST_SIGNS} more" if len(signs) > _MOST_SIGNS
                             else "")  # fmt: skip


def lacking_in_works(works: Works, faces: Typefaces) -> tuple[Lacking, ...]:
    """Texts of the tables and settings with signs that no font holds."""
    found = list(_of_settings(works, faces))
    models: Sequence[Any] = TABLES
    for model in models:
        names = [one.name for one in fields(model)]
        for row in getattr(works, model.TABLE):
            for name in names:
                value = getattr(row, name)
                if type(value) is str and not value.isascii() and (signs := faces.lacking(value)):
                    key = " ".join(str(getattr(row, part)) for part in model.KEY)
                    found.append(Lacking(f"{model.TABLE}, {key}, {name}", value, signs))
    return tuple(found)


def _of_settings(works: Works, faces: Typefaces) -> Iterator[Lacking]:
    told = [("works.toml, name", works.settings.name)]
    told += [("works.toml, name of a shift", one.name) for one in works.settings.calendar.shifts]
    for where, text in told:
        if signs := faces.lacking(text):
            yield Lacking(where, text, signs)


def lacking_in_cards(cards: Sequence[Any], faces: Typefaces) -> tuple[Lacking, ...]:
    """Texts of cards with signs that no font holds, each once.

    Parameters
    ----------
    cards : as the setting program reads them: mappings, lists and texts.
    """
    found: dict[str, Lacking] = {}
    for card in cards:
        where = f"{card['title']} {card['subject']}".replace(NO_SPACE, "").strip()
        for text in _texts(card):
            if text not in found and (signs := faces.lacking(text)):
                found[text] = Lacking(where, text, signs)
    return tuple(found.values())


def _texts(part: Any) -> Iterator[str]:
    if isinstance(part, str):
        if part.startswith("<svg"):
            yield from _in_drawing(part)
        elif not part.isascii():
            yield part.replace(NO_SPACE, "")
    elif isinstance(part, Mapping):
        for one in part.values():
            yield from _texts(one)
    elif isinstance(part, Sequence):
        for one in part:
            yield from _texts(one)


def _in_drawing(svg: str) -> Iterator[str]:
    yield from (unescape(one) for one in _WORDS_OF_DRAWING.findall(svg))
