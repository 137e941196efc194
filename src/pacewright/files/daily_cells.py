"""Kinds of cell of the daily sheets beside those of the tables: codes, choices."""

from dataclasses import dataclass as stdlib_dataclass
from datetime import datetime
from typing import Annotated, Any, ClassVar, NamedTuple

from pydantic import BeforeValidator
from pydantic.dataclasses import dataclass
from pydantic_core import core_schema

from pacewright.base.columns import ROW, Clock, Day, Rule, says
from pacewright.events.scan import parts_of_code
from pacewright.events.things import Event, Piece, Unit


def _code(cell: Any) -> Any:
    if isinstance(cell, str):
        parts = parts_of_code(cell)
        if parts is None:
            raise ValueError("not a code")
        return parts
    return cell


def _codes(cell: Any) -> Any:
    return (
        tuple(_code(one) for one in cell.replace(";", " ").split()) if type(cell) is str else cell
    )


PieceCode = Annotated[
    Piece,
    BeforeValidator(_code),
    Rule(
        "A vehicle or assembly is written as its code: vehicle:1043, body:B-11.",
        "Scan the label, or write what it is, a colon and its number or serial.",
    ),
]
PieceCodes = Annotated[
    tuple[Piece, ...],
    BeforeValidator(_codes),
    Rule(
        "Codes of assemblies, blanks between them, the one that keeps the number (the body) first.",
        "Scan the labels, or write each as what it is, a colon and its serial.",
    ),
]
UnitCode = Annotated[
    Unit,
    BeforeValidator(_code),
    Rule(
        "A unit is written as its code, unit kind and serial: motor:M-7.",
        "Scan the label, or write the unit kind, a colon and the serial.",
    ),
]


@stdlib_dataclass(frozen=True, slots=True)
class OneOf(Rule):
    """The rule of a cell that holds one of a few words."""

    words: tuple[str, ...]

    def __get_pydantic_core_schema__(self, *_: Any) -> core_schema.CoreSchema:
        return core_schema.literal_schema(list(self.words))


def one_of(*words: str) -> OneOf:
    """The cell holds one of these words."""
    named = [word or "blank" for word in words]
    return OneOf(f"{', '.join(named[:-1])} or {named[-1]}.", "Write one of these.", words)


class Muddle(NamedTuple):
    """What is wrong between the cells of one row."""

    column: str
    found: str
    rule: str
    remedy: str


@dataclass(frozen=True, slots=True, config=ROW)
class DayRow:
    """One row of a daily sheet: when it happened, and what it tells as events.

    ``date`` and ``time`` are by the works clock.
    """

    TABLE: ClassVar[str] = ""
    KEY: ClassVar[tuple[str, ...]] = ("date",)

    date: Annotated[Day, says("day it happened")]
    time: Annotated[Clock, says("time of day it happened")]

    @property
    def at(self) -> datetime:
        """When it happened."""
        return datetime.combine(self.date, self.time)

    def muddles(self) -> tuple[Muddle, ...]:
        """What is wrong between the cells."""
        return ()

    def events(self) -> tuple[Event, ...]:
        """What the row tells."""
        raise NotImplementedError
