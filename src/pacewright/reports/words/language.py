"""A language: finished English texts looked up as a whole, by their phrase, then piece by piece."""

import re
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from typing import Any

from pacewright.reports.words.phrase import Phrase

ENGLISH = "en"
MOST_KEPT = 60_000
"""Texts remembered: the cells of the longest pages."""

MOST_SIGNS = 4_000
"""A longer text stays as it is: none of the program is so long, and looking it up word by word
takes time that grows with the square of its length."""

_LETTER = re.compile(r"[^\W\d_]")
_WORD = re.compile(r"[^\W\d_]{2,}")
_SENTENCES = re.compile(r"(?<=[.!?])(\s+)")
_MARKS = re.compile(r"((?<=[.!?])\s+|\s\[|\]$|[;:](?:\s|$)|\s[·→-](?:\s|$)|^[^\w\s({]+\s|\n)")
"""What stands between texts put together."""
_OVER = re.compile(r"[.!?;:]\s")
_ITEMS = re.compile(r", | and ")
_CLOSE = re.compile(r"(, | / |(?:\s|^)\(|\)|\"|'|\band\b|\bor\b)")
_BLANK = re.compile(r"(\s+)")
_CODED = re.compile(r"\d|\w:\w|\w_\w")
SURE = 12
"""Letters a phrase must have fixed to be taken for what is meant, whatever its values."""
_RUN = 14
"""Parts of one text looked up together."""
_DEPTH = 8
"""Texts within texts: a fault in a list in a sentence; deeper than this none is looked into."""


class Language:
    """Says in one language what the program says in English; what it does not know stays English.

    Parameters
    ----------
    code : BCP 47 (RFC 5646), as ``de`` or ``pt-BR``.
    texts : English text -> this language's; places as in ``Phrase``.
    own : names and ids of the works, which are never words of the program.
    """

    def __init__(self, code: str, texts: Mapping[str, str], own: frozenset[str] = frozenset()):
        self.code, self._texts, self._own = code, texts, own
        self._by_anchor = _by_anchor([Phrase(one) for one in texts if "{" in one])
        self._marked = frozenset(one for one in texts if "{" in one and _MARKS.search(one[:-1]))
        self._names = _by_first_word(list(own))
        self._all_names = "\n".join(sorted(own))
        # Without these three a text within texts would be looked up again on every way to it.
        self.said = lru_cache(MOST_KEPT)(self._said)
        self._deep = lru_cache(MOST_KEPT)(self._looked_up)
        self._whole = lru_cache(MOST_KEPT)(self._as_one)

    def data(self, value: Any) -> Any:
        """Every text in lists and the values of mappings; keys and all else stay."""
        if isinstance(value, str):
            return self.said(value)
        if isinstance(value, Mapping):
            return {key: self.data(one) for key, one in value.items()}
        return [self.data(one) for one in value] if isinstance(value, list | tuple) else value

    def _said(self, text: str) -> str:
        """A finished text in this language."""
        return self._deep(text, _DEPTH) if len(text) <= MOST_SIGNS else text

    def _looked_up(self, text: str, depth: int) -> str:
        core = text.strip()
        if depth <= 0 or not _LETTER.search(core) or core in self._own:
            return text
        known = self._whole(core, depth)
        if known is None and " " in core and core.rstrip("…") in self._all_names:
            return text  # a name, or the part of one that a drawing had room for
        if known is None:
            known = self._around_own(core, depth)
        if known is None:
            known = self._parted(core, depth, _MARKS)
        if known is None:
            known = self._as_one(core, depth, weak=True)
        if known is None:
            known = self._parted(core, depth, _CLOSE) or self._beside(core)
        start = text.index(core)
        return text[:start] + known + text[start + len(core) :]

    def _as_one(self, text: str, depth: int, weak: bool = False) -> str | None:
        """A text as it stands, or as it was before it got the capital and stop of a sentence.

        Parameters
        ----------
        weak : phrases that fit too much are tried as well.
        """

        def early(phrase: Phrase) -> bool:
            return weak or phrase.weight >= SURE or phrase.text in self._marked

        def headed(phrase: Phrase) -> bool:
            return bool(phrase.fixed[0]) and early(phrase)

        known = self._texts.get(text) or self._phrase(text, depth, early)
        if known is not None:
            return known
        bare = text.removesuffix(".")
        low = bare[:1].lower() + bare[1:]
        for form in dict.fromkeys((bare, low, low + ".")) if bare else ():
            # A small letter only where the text itself begins: a name keeps its capital.
            fits = early if form == bare else headed
            known = self._texts.get(form) or self._phrase(form, depth, fits)
            if known is not None:
                known = (known.removesuffix(".") if form != bare else known) + text[len(bare) :]
                return known[:1].upper() + known[1:] if bare[:1].isupper() else known
        return None

    def _word(self, text: str) -> str | None:
        """A text whose values, if it has any, stay as they are."""
        return self._whole(text, 0)

    def _title(self, text: str) -> str | None:
        """What is a title elsewhere, within a sentence: ``Print vehicle card``."""
        found = self._texts.get(text[:1].upper() + text[1:])
        return None if found is None else found[:1].lower() + found[1:]

    def _phrase(self, text: str, depth: int, fits: Callable[[Phrase], bool]) -> str | None:
        """By the phrase with most fixed letters that fits.

        None that would have to run over the end of a sentence fits: the sentences are looked up
        one by one then. One with few letters fits too much: its values must be known as well.
        """
        words = dict.fromkeys(_WORD.findall(text))
        near = {one for word in words for one in self._by_anchor.get(word, ()) if fits(one)}
        for phrase in sorted(near, key=lambda one: (-one.weight, one.text)):
            said = self._values(phrase, phrase.values(text), depth)
            if said is None and not phrase.fixed[0]:
                # Without the first value: what stood before its blank is looked up by itself.
                values = phrase.values(" " + text)
                said = None if not values or values[0] else self._values(phrase, values, depth)
            if said is not None:
                return Phrase(self._texts[phrase.text]).filled(phrase.places, said).strip()
        return None

    def _values(self, phrase: Phrase, values: Sequence[str] | None, depth: int) -> list[str] | None:
        """The values of a phrase in this language; None: it is not what the text says."""
        sure = phrase.weight >= SURE
        over = _SENTENCES if sure else _OVER
        if values is None or any(over.search(one) and one not in self._texts for one in values):
            return None
        said = [self._deep(one, depth - 1) for one in values]
        return said if sure or all(map(self._is_settled, values, said)) else None

    def _is_settled(self, value: str, said: str) -> bool:
        """Whether a value is known or data, or a list of data."""
        if value in self._own:
            return True
        if "," in value or said == value:
            return all(
                one in self._own or all(map(self._is_data, one.split()))
                for one in _ITEMS.split(value)
            )
        return True

    def _is_data(self, word: str) -> bool:
        """Whether a word is a number, an id or a code of the works."""
        bare = word.strip(".,;:()")
        return bare in self._own or not _LETTER.search(bare) or bool(_CODED.search(bare))

    def _around_own(self, text: str, depth: int) -> str | None:
        """What stands around names of the works; None: there is no name of several words in it."""
        for word in dict.fromkeys(_WORD.findall(text)):
            for name in self._names.get(word, ()):
                before, found, after = text.partition(name)
                if found and not before[-1:].isalnum() and not after[:1].isalnum():
                    return self._deep(before, depth - 1) + found + self._deep(after, depth - 1)
        return None

    def _parted(self, text: str, depth: int, marks: re.Pattern[str]) -> str | None:
        """Parts between marks: as many as are known together, else each by itself.

        None: there is no such mark.
        """
        parts = marks.split(text)
        if len(parts) == 1:
            return None
        found, at = list[str](), 0
        while at < len(parts):
            end, known = self._run(parts, at, depth)
            found += [known, *parts[end : end + 1]]
            at = end + 1
        if marks is _CLOSE:
            found[1::2] = [self._word(one) or one for one in found[1::2]]
        return "".join(found)

    def _run(self, parts: list[str], at: int, depth: int) -> tuple[int, str]:
        """Where the longest known run of parts from here ends, and what it is said as."""
        for end in range(min(len(parts), at + 2 * _RUN - 1), at + 1, -1):
            run = "".join(parts[at:end])
            if (end - at) % 2 and end - at < len(parts):
                known = self._whole(run, depth - 1)
                if known is not None:
                    return end, known
        return at + 1, self._deep(parts[at], depth - 1)

    def _beside(self, text: str) -> str:
        """Words beside numbers and ids: ``12 vehicles``, ``trade id painter``."""
        known = self._two(text)
        if known != text:
            return known
        found, run = [], list[str]()
        for word in [*_BLANK.split(text), ""]:
            goes_on = bool(run) if word.isspace() else bool(word) and not self._is_data(word)
            if goes_on:
                run.append(word)
            else:
                whole = "".join(run)
                core = whole.rstrip()
                found += [self._two(core) + whole[len(core) :], word]
                run = []
        return "".join(found)

    def _two(self, words: str) -> str:
        """Words known together, or as two texts side by side."""
        known = self._word(words)
        for blank in _BLANK.finditer(words) if known is None else ():
            first, rest = self._word(words[: blank.start()]), words[blank.end() :]
            second = self._word(rest) or self._title(rest)
            if first is not None and second is not None:
                return first + blank[0] + second
        return words if known is None else known


def _by_first_word(names: list[str]) -> dict[str, list[str]]:
    """Names of several words under the first of them, the longest first."""
    found: dict[str, list[str]] = {}
    for one in sorted(names, key=lambda name: (-len(name), name)):
        word = _WORD.search(one)
        if word and " " in one:
            found.setdefault(word[0], []).append(one)
    return found


def _by_anchor(phrases: list[Phrase]) -> dict[str, list[Phrase]]:
    """Each phrase under the rarest word of its own; one without a word fits too much."""
    seen: dict[str, int] = {}
    for one in phrases:
        for word in set(one.anchors):
            seen[word] = seen.get(word, 0) + 1
    found: dict[str, list[Phrase]] = {}
    for one in phrases:
        if one.places and one.anchors:
            found.setdefault(min(one.anchors, key=lambda w: (seen[w], w)), []).append(one)
    return found
