"""What stands where in the works on one day: of the past, now, or forecast."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

HALF = 0.5
"""Share of the runs from which on a forecast says that something will be."""


class Source(StrEnum):
    """Where the figures of a day come from."""

    RECORD = "record"
    """a day that is over, by the mended record"""
    NOW = "now"
    """this moment, by the record"""
    FORECAST = "forecast"
    """a day to come, by many runs on from the record"""


class Doing(StrEnum):
    """What a piece on a position does."""

    WORK = "at work"
    """somebody works on it, its process runs, its charge is being made up, or it may be begun"""
    DONE = "done, cannot leave"
    """the work there is done; the next position, or the piece to be married with, is not free"""
    STANDS = "stands"
    """something it needs there is missing: a unit, people, an inspection, the end of a hold"""


@dataclass(frozen=True, slots=True)
class OnPosition:
    """A piece on a position.

    Parameters
    ----------
    name : number of the vehicle, or serial of an assembly without one.
    position : from 1; 0: not told.
    why : for what it stands, in words; empty: it does not.
    vehicle_id : number it carries; empty for an assembly without one.
    """

    name: str
    position: int
    doing: Doing
    why: str = ""
    vehicle_id: str = ""


@dataclass(frozen=True, slots=True)
class StageDay:
    """One stage.

    Parameters
    ----------
    positions, lost : positions there are; of these out of use.
    held, waiting : positions held; pieces that wait for one, free to come.
    done : pieces on positions that are done and cannot leave.
    stands : pieces there that stand for want of something other than a position.
    chance_stands, chance_piles : chance that any stands; that as many wait as there are positions
        in use. By the record 0 or 1.
    here, queue : which, by name; empty where only counts are known.
    likely : vehicles that are there in half of the runs or more, with the share.
    why : for what they stand, the most frequent first.
    only : types that pass it; empty: all.
    out : which positions are out of use; empty where only their number is known.
    """

    stage_id: str
    name: str
    shop_id: str
    positions: int
    lost: float
    held: float
    waiting: float
    done: float
    stands: float
    chance_stands: float
    chance_piles: float
    here: tuple[OnPosition, ...] = ()
    queue: tuple[str, ...] = ()
    likely: tuple[tuple[str, float], ...] = ()
    why: tuple[str, ...] = ()
    only: tuple[str, ...] = ()
    out: tuple[int, ...] = ()

    @property
    def has_standing(self) -> bool:
        """True where work stands, or in a forecast will."""
        return self.chance_stands >= HALF

    @property
    def piles_up(self) -> bool:
        """True where so much waits that it would fill every position once more."""
        return self.chance_piles >= HALF


@dataclass(frozen=True, slots=True)
class StoreDay:
    """Finished assemblies that wait to be married, all types together.

    Parameters
    ----------
    room : pieces the positions of the marriage stages can take at once.
    chance_piles : chance that more wait than that.
    """

    assembly_id: str
    name: str
    pieces: float
    room: int
    chance_piles: float
    names: tuple[str, ...] = ()

    @property
    def piles_up(self) -> bool:
        """True where more wait than can be married at once."""
        return self.chance_piles >= HALF


@dataclass(frozen=True, slots=True)
class KindDay:
    """Units of one kind that are off vehicles, by condition; the conditions are never summed.

    Parameters
    ----------
    serviceable, issued, unserviceable, quarantine : units; None: a forecast does not tell them
        apart.
    full_at : serviceable units from which on more pile up; None: not known.
    vehicles : that stand for one now.
    chance_out, chance_piles : chance that none is serviceable while vehicles want it; that more
        are serviceable than ``full_at``.
    """

    unit_kind_id: str
    name: str
    shop_id: str
    serviceable: float
    issued: float | None
    unserviceable: float
    quarantine: float | None
    full_at: int | None
    vehicles: tuple[str, ...]
    chance_out: float
    chance_piles: float

    @property
    def is_short(self) -> bool:
        """True where a vehicle stands for one, or in a forecast none is left."""
        return bool(self.vehicles) or self.chance_out >= HALF

    @property
    def piles_up(self) -> bool:
        """True where more would only pile up."""
        return self.chance_piles >= HALF


@dataclass(frozen=True)
class FlowDay:
    """The whole works at one moment.

    Parameters
    ----------
    moment : of the works clock.
    runs : runs of a forecast; 0: by the record.
    at_gate, inside : vehicles.
    gate : vehicles at the gate, by number.
    stages : in the order of the stages table. stores, kinds : as in their tables.
    place : last event of the record it rests on.
    notes : what had to be assumed.
    """

    moment: datetime
    source: Source
    runs: int
    at_gate: float
    inside: float
    gate: tuple[str, ...]
    stages: tuple[StageDay, ...]
    stores: tuple[StoreDay, ...]
    kinds: tuple[KindDay, ...]
    place: int
    notes: tuple[str, ...] = ()
