"""The fonts papers are set in: the one that comes with the package, and those of the works."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.util import find_spec
from io import BytesIO
from pathlib import Path
from unicodedata import category, normalize

from pacewright.base.faults import CallError

OURS = Path(__file__).parent / "fonts"
ENDINGS = (".ttf", ".otf", ".ttc", ".otc")
"""Kinds of font file: single fonts and collections (ISO/IEC 14496-22)."""

_UNSEEN = frozenset({"Cc", "Cf", "Cn", "Co", "Cs", "Zl", "Zp"})
"""Sorts of sign that need no place in a font, or that no font can be asked for."""

_CHOOSERS = range(0xFE00, 0xFE10)
"""Signs that only choose the form of the one before them."""


@dataclass(frozen=True)
class Typefaces:
    """The fonts papers may use.

    Parameters
    ----------
    files : font files of the works in its folder ``fonts``, by name; ours come before them.
    signs : code points that the fonts hold in every weight of one family at least.
    """

    files: tuple[Path, ...]
    signs: frozenset[int]

    @property
    def said(self) -> str:
        """The fonts in words."""
        own = ", ".join(one.name for one in self.files)
        return "Noto Sans, which comes with the package" + (
            f", and of the works: {own}" * bool(own)
        )

    def lacking(self, text: str) -> str:
        """Signs of a text that no font holds, each once, in order of their numbers.

        Examples
        --------
        >>> typefaces(()).lacking("Bremse \u0416 \u4e2d\u6587\u4e2d")
        '\u4e2d\u6587'
        """
        if text.isascii():
            return ""
        # A sign and its mark are drawn as one where a font has them as one.
        found = {ord(one) for one in set(normalize("NFC", text))} - self.signs
        return "".join(chr(one) for one in sorted(found) if _is_seen(one))


def fonts_beside(works: Path) -> tuple[Path, ...]:
    """Font files in the folder ``fonts`` of a works folder, or beside a workbook.

    Raises
    ------
    CallError : the folder cannot be listed.
    """
    folder = (works if works.is_dir() else works.parent) / "fonts"
    try:
        found = sorted(folder.rglob("*")) if folder.is_dir() else []
    except OSError as error:
        raise CallError(
            f"{folder}: it cannot be listed ({error.strerror or error}). Fonts for papers are read "
            "from it. See to its permissions, or take it away."
        ) from error
    return tuple(one for one in found if one.suffix.lower() in ENDINGS and one.is_file())


def typefaces(files: Sequence[Path]) -> Typefaces:
    """The package's font together with these files.

    Raises
    ------
    CallError : a file is no font, or the library that reads fonts is not installed.
    """
    if find_spec("fontTools") is None:
        raise CallError(
            "papers: the library 'fonttools' is not installed here. It tells which signs a font "
            "has. Install the extra 'papers' (pip install pacewright[papers])."
        )
    ours = sorted(one for one in OURS.iterdir() if one.suffix in ENDINGS)
    families: dict[str, list[frozenset[int]]] = defaultdict(list)
    for path in (*ours, *files):
        for family, signs in _faces(path):
            families[family].append(signs)
    every = [frozenset.intersection(*faces) for faces in families.values()]
    return Typefaces(tuple(files), frozenset().union(*every))


def _faces(path: Path) -> tuple[tuple[str, frozenset[int]], ...]:
    try:
        state = path.stat()
        return _read(path, state.st_mtime_ns, state.st_size)
    except OSError as error:
        raise _no_font(path, error.strerror or str(error)) from error


@lru_cache(maxsize=64)
def _read(path: Path, _changed: int, _size: int) -> tuple[tuple[str, frozenset[int]], ...]:
    return tuple(_each(path))


def _each(path: Path) -> Iterator[tuple[str, frozenset[int]]]:
    from fontTools.ttLib import TTCollection, TTFont, TTLibError  # noqa: PLC0415 - heavy

    several = path.suffix.lower() in (".ttc", ".otc")
    content = BytesIO(path.read_bytes())
    try:
        fonts = TTCollection(content).fonts if several else [TTFont(content)]
        for one in fonts:
            family = one["name"].getBestFamilyName() or path.name
            yield family, frozenset(one.getBestCmap() or ())
    except (TTLibError, KeyError, ValueError, AssertionError) as error:
        raise _no_font(path, str(error)) from error


def _no_font(path: Path, why: str) -> CallError:
    return CallError(
        f"fonts/{path.name}: it cannot be read as a font ({why[:120]}). Files ending in "
        f"{', '.join(ENDINGS)} in the folder fonts are fonts for papers. Mend it, or take it away."
    )


def _is_seen(sign: int) -> bool:
    return category(chr(sign)) not in _UNSEEN and sign not in _CHOOSERS
