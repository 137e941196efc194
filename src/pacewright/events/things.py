"""What events are about: pieces, units, moments; the kinds of cell their fields may hold."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Annotated, Any, ClassVar, NamedTuple

from pydantic import BeforeValidator, ConfigDict, Field, Strict

from pacewright.base.columns import Id, says

WHOLE = "vehicle"
"""The assembly id of a vehicle while it is whole."""


class Piece(NamedTuple):
    """What can stand at a position: a whole vehicle, or one assembly of one.

    ``assembly_id`` is ``vehicle`` for the whole vehicle, whose serial is its number.
    """

    assembly_id: Id
    serial: Id

    def __str__(self) -> str:
        return f"{self.assembly_id} {self.serial}"


class Unit(NamedTuple):
    """One interchangeable part; makers' serials are unique within a kind only."""

    unit_kind_id: Id
    serial: Id

    def __str__(self) -> str:
        return f"{self.unit_kind_id} {self.serial}"


class Condition(StrEnum):
    """Condition of a unit; the four are never summed together."""

    SERVICEABLE = "serviceable"
    UNSERVICEABLE = "unserviceable"
    QUARANTINE = "quarantine"
    SCRAPPED = "scrapped"


class Verdict(StrEnum):
    """What an inspection says is to be done."""

    USE = "use"
    REPAIR = "repair"
    REPLACE = "replace"
    SCRAP = "scrap"


class Cause(StrEnum):
    """Why a piece stands."""

    GATE = "gate"
    PART = "part"
    ASSEMBLY = "assembly"
    POSITION = "position"
    PEOPLE = "people"
    BATCH = "batch"
    INSPECTION = "inspection"
    SAFETY = "safety"
    OTHER = "other"


class Overridable(StrEnum):
    """The rules that a named person may set aside, with a reason; no other can be."""

    OWED = "owed"
    """a unit goes only onto what it is owed to, and nothing is released while a unit is owed"""
    ROUTE = "route"
    """a stage follows its route (kept where the route is known, not here)"""


def _works_time(cell: Any) -> Any:
    # A number would be read as seconds since 1970, and a zone would make two clocks of one.
    if isinstance(cell, str):
        try:
            cell = datetime.fromisoformat(cell)
        except ValueError:
            raise ValueError("write date and time as 2026-03-02T07:30") from None
    if not isinstance(cell, datetime) or cell.tzinfo is not None:
        raise ValueError("write date and time of the works clock, without a zone")
    return cell


def _iso_day(cell: Any) -> Any:
    if isinstance(cell, str):
        try:
            return date.fromisoformat(cell)
        except ValueError:
            raise ValueError("write the date as 2026-03-02") from None
    if not isinstance(cell, date) or isinstance(cell, datetime):
        raise ValueError("write a date, as 2026-03-02")
    return cell


Moment = Annotated[datetime, BeforeValidator(_works_time)]
Day = Annotated[date, BeforeValidator(_iso_day)]
MaybeId = Annotated[str, Field(pattern=r"^([A-Za-z0-9][A-Za-z0-9._/-]{0,39})?$")]
Amount = Annotated[float, Strict(), Field(ge=0, le=1e9, allow_inf_nan=False)]
Reading = Annotated[float, Strict(), Field(ge=-1e9, le=1e9, allow_inf_nan=False)]
Place = Annotated[int, Strict(), Field(ge=1, le=10**6)]
YesNo = Annotated[bool, Strict()]
Words = Annotated[str, Field(max_length=400, pattern=r"^[^\x00-\x1f\x7f]*$")]
PhotoDigest = Annotated[str, Field(pattern=r"^([0-9a-f]{64})?$")]
Who = Annotated[str, Field(min_length=1, max_length=120, pattern=r"^[^\x00-\x1f\x7f]*$")]


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened; who wrote it down and when is for the record to add.

    Every kind has its own class. ``VERSION`` grows when the fields of a kind change.
    """

    __pydantic_config__: ClassVar[ConfigDict] = ConfigDict(extra="forbid")
    VERSION: ClassVar[int] = 1

    at: Annotated[Moment, says("when it happened, works clock")]
