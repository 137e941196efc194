"""What a printed card is built of; ``paper.typ`` draws each kind."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from pacewright.reports.papers.qr import Code


@dataclass(frozen=True, slots=True)
class Strong:
    """A cell in bold; ``under`` stands below it in small print."""

    IS: ClassVar[str] = "strong"

    says: str
    under: str = ""


@dataclass(frozen=True, slots=True)
class Box:
    """An empty box to tick or to write in [mm]."""

    IS: ClassVar[str] = "box"

    wide: float = 5.0
    tall: float = 5.0


@dataclass(frozen=True, slots=True)
class Choices:
    """Boxes with a word each; with ``fixed`` that one is set and the others cannot be chosen."""

    IS: ClassVar[str] = "choices"

    words: tuple[str, ...]
    fixed: str = ""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A small drawing (SVG, looks included) in a cell, ``wide`` mm; ``said`` for the unseeing."""

    IS: ClassVar[str] = "drawn"

    svg: str
    wide: float
    said: str


Cell = str | Strong | Box | Choices | Drawn


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a printed table.

    Parameters
    ----------
    head : its heading, with the unit.
    share : its part of the width, against the others; 0: as wide as its cells.
    right : figures, set to the right.
    """

    head: str
    share: float = 1.0
    right: bool = False


@dataclass(frozen=True, slots=True)
class Rows:
    """A table; its head is repeated on every page. ``empty`` is said when it has no rows."""

    IS: ClassVar[str] = "rows"

    columns: tuple[Column, ...]
    rows: Sequence[Sequence[Cell]]
    empty: str = "None."
    small: bool = False


@dataclass(frozen=True, slots=True)
class Facts:
    """Names and values side by side, so many pairs across."""

    IS: ClassVar[str] = "facts"

    pairs: tuple[tuple[str, str], ...]
    across: int = 3


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading; ``under`` says how to read what follows."""

    IS: ClassVar[str] = "heading"

    says: str
    under: str = ""


@dataclass(frozen=True, slots=True)
class Said:
    """A paragraph."""

    IS: ClassVar[str] = "said"

    says: str
    small: bool = False


@dataclass(frozen=True, slots=True)
class Caution:
    """Safety lines, in a thick frame with a sign."""

    IS: ClassVar[str] = "caution"

    lines: tuple[str, ...]
    head: str = "CAUTION"


@dataclass(frozen=True, slots=True)
class Signatures:
    """Lines to sign on, each with what it is for."""

    IS: ClassVar[str] = "signatures"

    slots: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Codes:
    """Codes to scan in a row, each with what scanning it does."""

    IS: ClassVar[str] = "codes"

    codes: tuple[tuple[Code, str], ...]
    wide: float = 24.0


@dataclass(frozen=True, slots=True)
class Lines:
    """Empty lines to write on."""

    IS: ClassVar[str] = "lines"

    count: int


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing (SVG) across the page.

    Parameters
    ----------
    svg : whole text of the drawing, its looks included.
    said : what it shows, for those who do not see it.
    """

    IS: ClassVar[str] = "picture"

    svg: str
    said: str


@dataclass(frozen=True, slots=True)
class Filling:
    """A drawing as large as the rest of the page lets it be."""

    IS: ClassVar[str] = "filling"

    picture: Picture


@dataclass(frozen=True, slots=True)
class Beside:
    """The rest of a page in two columns.

    Parameters
    ----------
    left : blocks, from top to bottom.
    right : a drawing as tall as the rest of the page; ``above`` is said above it.
    """

    IS: ClassVar[str] = "beside"

    left: tuple["Block", ...]
    right: Picture
    above: str


@dataclass(frozen=True, slots=True)
class Label:
    """One label to hang on a unit, A7.

    Parameters
    ----------
    look : ``serviceable``, ``unserviceable``, ``quarantine`` or ``scrapped``: frame and pattern.
    word : the condition in large letters. ``name``, ``serial`` : of the unit.
    pairs : names and values. ``orders`` : what must and must not be done with it.
    code : its code. ``sign`` : what the line is for that is signed.
    """

    IS: ClassVar[str] = "label"

    look: str
    word: str
    name: str
    serial: str
    pairs: tuple[tuple[str, str], ...]
    orders: str
    code: Code
    sign: str
    foot: str


Block = (
    Rows | Facts | Heading | Said | Caution | Signatures | Codes | Lines | Picture | Filling
    | Beside | Label
)  # fmt: skip
