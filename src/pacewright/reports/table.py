"""A table as every output needs it: columns with unit and meaning, and plain rows."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from math import isfinite
from operator import attrgetter
from typing import Any

Cell = str | int | float | bool | date | None


class Kind(StrEnum):
    """What the cells of a column are; decides how each output writes them."""

    TEXT = "text"
    WHOLE = "whole number"
    NUMBER = "number"
    SHARE = "share"
    DATE = "date"
    YES_NO = "yes or no"


@dataclass(frozen=True, slots=True)
class TableColumn:
    """One column.

    Parameters
    ----------
    name : heading in every file; carries the unit where there is one.
    meaning : what a cell says.
    unit : unit of the cells; empty for text and dates.
    digits : decimals shown to a reader; files keep all.
    exact : text that every reader must see sign by sign: no day in it is written as people do, no
        word of it in another language.
    """

    name: str
    meaning: str
    unit: str = ""
    kind: Kind = Kind.TEXT
    digits: int = 1
    exact: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """A named table; ``about`` says in one sentence what it is and how to read it."""

    name: str
    title: str
    about: str
    columns: tuple[TableColumn, ...]
    rows: tuple[tuple[Cell, ...], ...]


Take = str | Callable[[Any], Any]
Spec = tuple[TableColumn, Take]
"""A column and where its cells come from: a field of the row's object, or a function of it."""


def text(name: str, meaning: str, take: Take = "") -> Spec:
    """A column of text."""
    return TableColumn(name, meaning), take or name


def exact(name: str, meaning: str, take: Take = "") -> Spec:
    """A column of text that stays sign by sign as it is: what was typed, sent or kept."""
    return TableColumn(name, meaning, exact=True), take or name


def day(name: str, meaning: str, take: Take = "") -> Spec:
    """A column of dates."""
    return TableColumn(name, meaning, kind=Kind.DATE), take or name


def moment(name: str, meaning: str, take: Take = "") -> Spec:
    """A column of moments: dates with the time of day to the minute."""
    return TableColumn(name, meaning, kind=Kind.DATE), take or name


def whole(name: str, meaning: str, unit: str, take: Take = "") -> Spec:
    """A column of counts."""
    return TableColumn(name, meaning, unit, Kind.WHOLE, 0), take or name


def number(name: str, meaning: str, unit: str, take: Take = "") -> Spec:
    """A column of measures, shown to one decimal."""
    return TableColumn(name, meaning, unit, Kind.NUMBER), take or name


def share(name: str, meaning: str, take: Take = "") -> Spec:
    """A column of shares of one."""
    return TableColumn(name, meaning, "share of 1", Kind.SHARE, 3), take or name


def yes_no(name: str, meaning: str, take: Take = "") -> Spec:
    """A column of yes or no."""
    return TableColumn(name, meaning, kind=Kind.YES_NO), take or name


def table(head: tuple[str, str, str], specs: Iterable[Spec], items: Iterable[Any]) -> Table:
    """A table of ``items``; ``head`` is its name, title and what it is about."""
    specs = tuple(specs)
    takes = [attrgetter(take) if isinstance(take, str) else take for _, take in specs]
    rows = tuple(tuple([_plain(take(item)) for take in takes]) for item in items)
    return Table(*head, tuple(column for column, _ in specs), rows)


def _plain(cell: Any) -> Cell:
    # No file format has a place for "not a number" or "without limit": both are left blank.
    if isinstance(cell, float) and not isfinite(cell):
        return None
    if isinstance(cell, StrEnum):
        return cell.value
    plain: Cell = cell
    return plain
