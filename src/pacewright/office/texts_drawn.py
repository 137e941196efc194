"""Every text people read on pages and papers, drawn out of the source of the package itself.

The English text stands where it is used, and is the key of every other language; so nothing is
listed twice and no list can go stale. Read are the modules (fixed texts, and f-strings as texts
with places), the templates and the scripts of the pages.
"""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from pacewright.office.texts_of_code import texts_of_module
from pacewright.office.texts_of_pages import texts_of_script, texts_of_template

PACKAGE = Path(__file__).parents[1]
NOT_READ = ("cli", "invent", "web/api", "ledger/versions", "ledger/people", "simulate/kernel")
"""Folders whose texts no page and no paper shows: commands, invented names, REST, machinery."""

_NO_WORDS = re.compile(r"\{[a-z0-9_]*\}|^\w+:\S+$")
"""Places, and codes shown as examples."""
_LETTERS = re.compile(r"[^\W\d_]{2,}")


@dataclass(frozen=True, slots=True)
class Drawn:
    """One text, and the files it stands in."""

    text: str
    files: tuple[str, ...]


@cache
def drawn_texts(package: Path = PACKAGE) -> tuple[Drawn, ...]:
    """Every text with letters of its own once, in the order of the files."""
    found: dict[str, list[str]] = {}
    for path in sorted(package.rglob("*")):
        name = path.relative_to(package).as_posix()
        if name.startswith(NOT_READ):
            continue
        for text in _texts_of(path, name):
            core = " ".join(text.split()).lstrip(";,:. ").rstrip(";, ")
            core = core[1:-1] if core[:1] + core[-1:] == "()" else core
            if _LETTERS.search(_NO_WORDS.sub("", core)):
                files = found.setdefault(core, [])
                if name not in files:
                    files.append(name)
    return tuple(Drawn(text, tuple(files)) for text, files in found.items())


def script_texts(package: Path = PACKAGE) -> tuple[str, ...]:
    """Texts the scripts of the pages show."""
    paths = sorted(package.rglob("*.js"))
    return tuple(
        dict.fromkeys(one for path in paths for one in texts_of_script(path.read_text("utf-8")))
    )


def _texts_of(path: Path, name: str) -> Iterator[str]:
    if path.suffix == ".py":
        tells = name.startswith("events/") or name.endswith(("/tables.py", "/settings.py"))
        yield from texts_of_module(ast.parse(path.read_text("utf-8")), tells)
    elif path.name.endswith(".html.j2"):
        yield from texts_of_template(path.read_text("utf-8"))
    elif path.suffix == ".js":
        yield from texts_of_script(path.read_text("utf-8"))
