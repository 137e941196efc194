"""A made-up language for proofs: every letter accented, every text in brackets, places kept."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import fields, is_dataclass
from html import unescape
from typing import Any

from pacewright.reports.words.language import Language

_PLAIN = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
_ODD = "ÀƁÇÐÉƑĜĤÎĴĶĹṀŃÖÞǪŔŠŢÛṼŴẊŶŽàƀçðéƒĝĥîĵķĺṁńöþǫŕšţûṽŵẋŷž"
_ACCENTED = str.maketrans(_PLAIN, _ODD)
_PLACES = re.compile(r"(\{[a-z0-9_]*\})")
_WORD = re.compile(r"[A-Za-z]{2,}")
_ID = re.compile(r"\S*\d\S*|\b[\w-]+\.(?:csv|xlsx|toml)\b|\b[a-z]+(?:_[a-z]+)+\b")
"""Numbers, ids with digits, names of files and of columns in files: data whatever they say."""
_HIDDEN = re.compile(r"<!--.*?-->|<(script|style|code|pre|textarea)\b.*?</\1\s*>", re.S)
_READ = re.compile(r'\s(?:title|aria-label|placeholder|alt|data-book)="([^"]*)"')


def pseudo(text: str) -> str:
    """A text in the made-up language."""
    parts = _PLACES.split(text)
    return "⟦" + "".join(p if p.startswith("{") else p.translate(_ACCENTED) for p in parts) + "⟧"


def pseudo_language(texts: Iterable[str], own: frozenset[str] = frozenset()) -> Language:
    """The made-up language of these texts."""
    return Language("qps", {one: pseudo(one) for one in texts}, own)


def visible(page: str) -> Iterator[str]:
    """What people read of a page: texts between its tags, and the attributes that are read."""
    page = _HIDDEN.sub(" ", page)
    for tag in re.findall(r"<[^>]+>", page):
        yield from map(unescape, _READ.findall(tag))
    # What may not be translated is data by the page's own word.
    page = re.sub(r'<(\w+)[^>]* translate="no"[^>]*>[^<]*', "<b>", page)
    for text in re.findall(r">([^<]+)", page):
        yield " ".join(unescape(text).split())


def words_in(thing: Any) -> Iterator[str]:
    """Every text anywhere in plain values and data classes: the data of a works or a record."""
    if isinstance(thing, str):
        yield thing
    elif isinstance(thing, dict):
        for key, one in thing.items():
            yield from words_in(key)
            yield from words_in(one)
    elif isinstance(thing, list | tuple | set | frozenset):
        for one in thing:
            yield from words_in(one)
    elif is_dataclass(thing) and not isinstance(thing, type):
        for field in fields(thing):
            yield from words_in(getattr(thing, field.name))
    elif hasattr(type(thing), "model_fields"):
        for name in type(thing).model_fields:
            yield from words_in(getattr(thing, name))


class Left:
    """Words left in English that are no data, and how many words there are in all.

    Parameters
    ----------
    data : texts of the works and its record; they are taken out as whole texts, longest first.
    """

    def __init__(self, data: Iterable[str]) -> None:
        known = {one.strip() for one in data if _WORD.search(one)}
        self._first: dict[str, list[str]] = {}
        for one in known:
            self._first.setdefault(_WORD.search(one)[0], []).append(one)  # type: ignore[index]
        self._all = "\n".join(known)
        self.words = 0
        self.left: dict[str, int] = {}

    def see(self, text: str) -> None:
        """Count a visible text."""
        self.words += len(re.findall(r"[^\W\d_]{2,}", text))
        rest = self.without_data(text)
        for word in _WORD.findall(rest):
            self.left[word] = self.left.get(word, 0) + 1

    def without_data(self, text: str) -> str:
        """The text without the data in it, each taken as a whole."""
        if text.rstrip("…") in self._all:
            return ""  # a name, or the part of it that a drawing had room for
        near = {one for word in _WORD.findall(text) for one in self._first.get(word, ())}
        for one in sorted(near, key=len, reverse=True):
            if one in text:
                text = re.sub(rf"(?<![A-Za-z]){re.escape(one)}(?![A-Za-z])", " ", text)
        return _ID.sub(" ", text)

    @property
    def share(self) -> float:
        """Share of all words that are neither in the language nor data."""
        return sum(self.left.values()) / max(1, self.words)
