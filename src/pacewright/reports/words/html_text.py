"""A finished page in another language: its texts, and the attributes that people read."""

import json
import re
from collections.abc import Iterable
from html import escape, unescape

from pacewright.reports.words.language import Language

_TOKEN = re.compile(
    r"<!--.*?-->|<(script|style|code|pre|textarea)\b.*?</\1\s*>|<[^>]*>|[^<]+", re.S
)
_READ = re.compile(r'\s(title|aria-label|placeholder|alt|data-book)="([^"]*)"')
_TOLD = re.compile(r"\sdata-say='([^']*)'")
_LANG = re.compile(r'\slang="[^"]*"')
_LETTER = re.compile(r"[^\W\d_]")
_NO = ' translate="no"'
_BARE_OPTION = "<option"
FROM_RIGHT = frozenset({"ar", "fa", "he", "ur"})
"""Languages written from right to left (from memory; the common ones)."""


def page_in(language: Language, page: str, scripts: Iterable[str] = ()) -> str:
    """The page in a language; what it does not know, and what is no text, stays byte for byte.

    Texts of ``code``, of elements marked ``translate="no"`` (WHATWG HTML) and of options that are
    sent by their text stay; what stands in ``value`` and in addresses is never touched.

    Parameters
    ----------
    scripts : English texts that the scripts of the page show; they find theirs in ``data-words``
        of the page's first element.
    """
    parts: list[str] = []
    stays = False
    for found in _TOKEN.finditer(page):
        token = found[0]
        if token[0] != "<":
            parts.append(token if stays else _text(language, token))
            continue
        stays = _NO in token or (token.startswith(_BARE_OPTION) and "value=" not in token)
        if token.startswith("<html"):
            token = _first(language, token, scripts)
        elif found[1] is None and token[1] not in "/!":
            token = _tag(language, token)
        parts.append(token)
    return "".join(parts)


def _text(language: Language, text: str) -> str:
    if not _LETTER.search(text):
        return text
    plain = unescape(text)
    if "\n" in plain:
        # Lines of a template: a browser shows them as one, with a blank between.
        core = " ".join(plain.split())
        start, end = plain[: -len(plain.lstrip())], plain[len(plain.rstrip()) :]
        said = language.said(core)
        return text if said == core else start + escape(said, quote=False) + end
    said = language.said(plain)
    # Escaped again, so that no value and no translation can become markup.
    return text if said == plain else escape(said, quote=False)


def _tag(language: Language, tag: str) -> str:
    def read(found: re.Match[str]) -> str:
        plain = unescape(found[2])
        said = language.said(plain)
        return found[0] if said == plain else f' {found[1]}="{escape(said)}"'

    def told(found: re.Match[str]) -> str:
        texts = json.loads(unescape(found[1]))
        said = language.data(texts)
        return found[0] if said == texts else f" data-say='{_json(said)}'"

    tag = _READ.sub(read, tag)
    return _TOLD.sub(told, tag) if "data-say" in tag else tag


def _first(language: Language, tag: str, scripts: Iterable[str]) -> str:
    words = {one: said for one in scripts if (said := language.said(one)) != one}
    way = ' dir="rtl"' if language.code.partition("-")[0] in FROM_RIGHT else ""
    more = f" data-words='{_json(words)}'" if words else ""
    return _LANG.sub(f' lang="{language.code}"', tag)[:-1] + way + more + ">"


def _json(texts: object) -> str:
    return escape(json.dumps(texts, ensure_ascii=False))
