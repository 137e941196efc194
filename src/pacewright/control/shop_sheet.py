"""The day sheet of a shop: units, pieces, and hours against people."""

from dataclasses import dataclass
from enum import StrEnum


class Advice(StrEnum):
    """What the shop is to do with a unit kind."""

    FIRST = "first: a vehicle stands or will stand"
    NONE_HERE = "due today, and none here to repair"
    TURN_OUT = "turn out"
    KEEP_PACE = "keep the pace"
    DO_NOT_START = "do not start: it would pile up"
    NOTHING = "nothing to repair"


@dataclass(frozen=True, slots=True)
class UnitsDue:
    """One unit kind on the sheet of its shop.

    Parameters
    ----------
    to_repair : unserviceable units, those found beyond repair left out.
    due_today, due_week : units that must be serviceable by the end of today, of the span, so that
        no vehicle stands, beyond those in store.
    at_pace : units of the span at the pace; more than this fills the store.
    turn_out : what to turn out in the span: what is due, or at pace where the store is not full.
    full_at : serviceable units from which on more would pile up.
    runs_out_day : when the float runs out; None: not in sight.
    hours_each : standard hours a unit, all trades.
    """

    unit_kind_id: str
    name: str
    serviceable: int
    to_repair: int
    due_today: int
    due_week: int
    at_pace: float
    turn_out: int
    full_at: int
    runs_out_day: float | None
    hours_each: float
    advice: Advice


@dataclass(frozen=True, slots=True)
class PiecesDue:
    """One stage on the sheet of its shop: what is there and what it must turn out."""

    stage_id: str
    name: str
    there: int
    due_today: int
    due_week: int
    pieces_today: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TradeHours:
    """Work of a trade against its people, standard hours.

    ``attended`` : True when today's attendance was told; else the usual day is taken.
    """

    trade_id: str
    needed_today: float
    able_today: float
    attended: bool
    needed_week: float
    able_week: float


@dataclass(frozen=True, slots=True)
class ShopSheet:
    """The day sheet of one shop; units to run out first stand first."""

    shop_id: str
    name: str
    units: tuple[UnitsDue, ...]
    pieces: tuple[PiecesDue, ...]
    hours: tuple[TradeHours, ...]
