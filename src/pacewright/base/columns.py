"""The kinds of cell a table may hold; each says its rule, so that faults and docs can quote it."""

import re
from dataclasses import dataclass
from datetime import date, time
from functools import cache
from typing import Annotated, Any, get_args

from pydantic import BeforeValidator, ConfigDict, Field
from pydantic.fields import FieldInfo

ROW = ConfigDict(extra="forbid", str_strip_whitespace=True)
"""How every row model reads: unknown columns are faults, outer blanks do not count."""

_ISO = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}$")
_CLOCK = re.compile(r"[0-9]{2}:[0-9]{2}(:[0-9]{2})?$")
_PLAIN_TEXT = r"^([^=+@#\-\x00-\x1f\x7f][^\x00-\x1f\x7f]*)?$"


@dataclass(frozen=True, slots=True)
class Rule:
    """What a cell must hold, and what to do when it does not."""

    rule: str
    remedy: str


@dataclass(frozen=True, slots=True)
class Refers:
    """The cell names a row of another table by its key column."""

    table: str
    column: str


def says(meaning: str) -> FieldInfo:
    """The meaning of a column, with its unit; goes into the column reference."""
    described: FieldInfo = Field(description=meaning)
    return described


def most(bound: float) -> FieldInfo:
    """The largest number taken as meant; a wide bound of our own against slips of the keyboard."""
    bounded: FieldInfo = Field(le=bound)
    return bounded


def _iso_only(cell: Any) -> Any:
    # Without this the validation library would read 20260301 as seconds since 1970.
    if isinstance(cell, str) and not _ISO.match(cell.strip()):
        raise ValueError("not an ISO date")
    if isinstance(cell, int | float):
        raise ValueError("a number, not a date")
    return cell


def _clock_only(cell: Any) -> Any:
    # A bare number would be read as seconds after midnight.
    if not isinstance(cell, time) and not (isinstance(cell, str) and _CLOCK.match(cell.strip())):
        raise ValueError("not a clock time")
    return cell


def _no_marks(cell: Any) -> Any:
    # The validation library takes 1_000 for a thousand; no spreadsheet does.
    if isinstance(cell, str) and "_" in cell:
        raise ValueError("marks inside a number")
    return cell


def words_of(cell: Any) -> Any:
    """The words of a cell that holds a list, parted by blanks or semicolons."""
    return tuple(cell.replace(";", " ").split()) if isinstance(cell, str) else cell


Id = Annotated[
    str,
    Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9._/-]{0,39}$"),
    Rule(
        "An id has 1 to 40 letters, digits or . _ / - and starts with a letter or digit.",
        "Shorten it or replace the other characters.",
    ),
]
Ids = Annotated[
    tuple[Id, ...],
    BeforeValidator(words_of),
    Rule("Ids, blanks between them.", "Separate them by blanks; mend the id that is wrong."),
]
Name = Annotated[
    str,
    Field(min_length=1, max_length=120, pattern=_PLAIN_TEXT),
    Rule(
        "A name has 1 to 120 characters on one line and does not begin with = + - @ # "
        "(a spreadsheet's formula or error).",
        "Fill it in, shorten it, or begin it with a letter or digit.",
    ),
]
Text = Annotated[
    str,
    Field(max_length=400, pattern=_PLAIN_TEXT),
    Rule(
        "At most 400 characters on one line, not beginning with = + - @ # "
        "(a spreadsheet's formula or error).",
        "Shorten it, or begin it with a letter or digit.",
    ),
]
Day = Annotated[
    date,
    BeforeValidator(_iso_only),
    Field(ge=date(1950, 1, 1), le=date(2200, 12, 31)),
    Rule(
        "A date is written year-month-day, as 2026-03-01, between 1950 and 2200.",
        "Write it so; day and month in another order are not guessed.",
    ),
]
Clock = Annotated[
    time,
    BeforeValidator(_clock_only),
    Rule("A clock time is written hours:minutes, as 07:30.", "Write it so, with two digits each."),
]
Number = Annotated[
    float,
    BeforeValidator(_no_marks),
    Field(ge=0, le=1e9, allow_inf_nan=False),
    Rule(
        "A number of 0 or more (at most 1e9), with a decimal point and no thousands mark.",
        "Correct it; write 7.5, not 7,5.",
    ),
]
Signed = Annotated[
    float,
    BeforeValidator(_no_marks),
    Field(ge=-1e9, le=1e9, allow_inf_nan=False),
    Rule(
        "A number (within 1e9), with a decimal point and no thousands mark.",
        "Correct it; write 7.5, not 7,5.",
    ),
]
Positive = Annotated[
    float,
    BeforeValidator(_no_marks),
    Field(gt=0, le=1e9, allow_inf_nan=False),
    Rule(
        "A number above 0 (at most 1e9), with a decimal point and no thousands mark.",
        "Correct it; write 7.5, not 7,5.",
    ),
]
Share = Annotated[
    float,
    BeforeValidator(_no_marks),
    Field(ge=0, le=1, allow_inf_nan=False),
    Rule("A share lies between 0 and 1, as 0.35 for 35 %.", "Write it as a fraction of one."),
]
Count = Annotated[
    int,
    BeforeValidator(_no_marks),
    Field(ge=0, le=10**7),
    Rule("A whole number of 0 or more (at most 1e7).", "Write a whole number without marks."),
]
CountOne = Annotated[
    int,
    BeforeValidator(_no_marks),
    Field(ge=1, le=10**7),
    Rule("A whole number of 1 or more (at most 1e7).", "Write a whole number without marks."),
]
YesNo = Annotated[
    bool,
    Rule("yes or no.", "Write yes or no."),
]


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table as the reader, the checks and the reference need it."""

    name: str
    meaning: str
    rule: Rule
    refers: Refers | None
    required: bool
    default: Any
    most: float | None


@cache
def columns(row_model: type) -> tuple[Column, ...]:
    """The columns of a row model, in file order.

    Raises
    ------
    TypeError : a column of the model lacks its rule or its meaning.
    """
    found = []
    fields: dict[str, FieldInfo] = row_model.__pydantic_fields__  # type: ignore[attr-defined]
    for name, info in fields.items():
        marks = [*info.metadata, *_marks(info.annotation)]
        rules = [mark for mark in marks if isinstance(mark, Rule)]
        refers = [mark for mark in marks if isinstance(mark, Refers)]
        if not rules or not info.description:
            raise TypeError(f"{row_model.__name__}.{name} lacks its rule or meaning")
        found.append(
            Column(
                name=name,
                meaning=info.description,
                rule=rules[0],
                refers=refers[0] if refers else None,
                required=info.is_required(),
                default=None if info.is_required() else info.default,
                most=_most(marks),
            )
        )
    return tuple(found)


def _most(marks: list[Any]) -> float | None:
    """The bound that ``most`` has set below the one that the kind of cell has of its own."""
    parts = [part for mark in marks for part in (mark, *getattr(mark, "metadata", ()))]
    bounds = [part.le for part in parts if isinstance(getattr(part, "le", None), int | float)]
    return min(bounds) if len(bounds) > 1 else None


def _marks(annotation: Any) -> list[Any]:
    # A mark may stand inside ``X | None``, whose parts keep their own annotations.
    marks = list(getattr(annotation, "__metadata__", ()))
    for part in get_args(annotation):
        marks += _marks(part)
    return marks
