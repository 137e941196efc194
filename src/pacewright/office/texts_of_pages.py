"""Texts of templates and scripts: what stands between tags, and what scripts ask words for."""

import re
from collections.abc import Iterator

_TOKEN = re.compile(r"<!--.*?-->|<(script|style|code|pre)\b.*?</\1\s*>|<[^>]*>|[^<]+", re.S)
_READ = re.compile(r'\s(?:title|aria-label|placeholder|alt|data-book)="([^"]*)"')
_COMMENT = re.compile(r"\{#.*?#\}", re.S)
_BLOCK = re.compile(r"\{%.*?%\}", re.S)
_VALUE = re.compile(r"\{\{(.*?)\}\}", re.S)
_QUOTED = re.compile(r"\"([^\"\n]*)\"|'([^'\n]*)'")
_NAME = re.compile(r"[A-Za-z_][A-Za-z_0-9]*")
_ASKED = re.compile(r"\bword\(\"([^\"]+)\"\)")
_SOME = re.compile(r"\bsome\(\s*['\"]([^'\"]+)['\"](?:,\s*['\"]([^'\"]+)['\"])?")
BREAK = "\0"
"""Stands for what may or may not be there: a text ends before it."""


def texts_of_script(source: str) -> Iterator[str]:
    """What a script shows: each text is asked for as ``word("...")``."""
    yield from _ASKED.findall(source)


def texts_of_template(source: str) -> Iterator[str]:
    """Texts between the tags of a template; its values are places."""
    source = _COMMENT.sub("", source)
    for part in _BLOCK.findall(source) + _VALUE.findall(source):
        yield from _in_expression(part)
    used: dict[str, int] = {}

    def place(found: re.Match[str]) -> str:
        name: str = ([*_NAME.findall(found[1].partition("|")[0])] or ["value"])[-1].lower()
        used[name] = used.get(name, 0) + 1
        return "{" + name + "}"

    yield from texts_between_tags(_VALUE.sub(place, _BLOCK.sub(BREAK, source)))


def texts_between_tags(markup: str) -> Iterator[str]:
    """Texts of markup and of the attributes people read."""
    for found in _TOKEN.finditer(markup):
        token = found[0]
        texts = [token] if token[0] != "<" else _READ.findall(token)
        for text in texts:
            for part in text.split(BREAK):
                yield _apart(part.strip())


def _apart(text: str) -> str:
    """The text with a number behind a place's name that stands in it before."""
    seen: dict[str, int] = {}

    def named(found: re.Match[str]) -> str:
        name: str = found[1]
        seen[name] = seen.get(name, 0) + 1
        return "{" + (name if seen[name] == 1 else f"{name}_{seen[name]}") + "}"

    return re.sub(r"\{([a-z0-9_]+)\}", named, text)


def _in_expression(part: str) -> Iterator[str]:
    for one, many in _SOME.findall(part):
        yield from (one, many or one + "s")
    for pair in _QUOTED.findall(part):
        text = pair[0] or pair[1]
        if " " in text.strip() and "/" not in text and "<" not in text:
            yield text
