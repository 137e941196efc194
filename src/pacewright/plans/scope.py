"""The scope of one vehicle: the work and parts it needs, beside the standard of its type."""

from dataclasses import dataclass
from enum import StrEnum


class Basis(StrEnum):
    """Why something is in the scope, or not."""

    ALWAYS = "must-change"
    """always done, whatever is found"""
    FOUND = "found"
    """inspection said so"""
    SHARE = "by share"
    """not looked at yet: counted with the share of vehicles that need it"""


class ScopeClass(StrEnum):
    """How much work a vehicle is, against the standard of its type."""

    LIGHT = "light"
    STANDARD = "standard"
    HEAVY = "heavy"


@dataclass(frozen=True, slots=True)
class ScopeWork:
    """An operation in the scope.

    Parameters
    ----------
    place_id : stage, or unit kind, it is done at.
    basis : what most of its hours rest on.
    looked_at : pieces or units of the vehicle on which it was looked at, or need not be.
    pieces : pieces or units of the vehicle it may be needed on; units: expected to come off.
    hours : standard hours in the scope, what was not looked at by share [man-hours].
    standard_hours : the same before anything was looked at [man-hours].
    """

    operation_id: str
    name: str
    place_id: str
    trade_id: str
    basis: Basis
    looked_at: float
    pieces: float
    hours: float
    standard_hours: float


@dataclass(frozen=True, slots=True)
class ScopePart:
    """A unit kind in the scope.

    Parameters
    ----------
    carried : units of the kind on the vehicle.
    changed : units that come off, and in whose place others of the float go on.
    lost : of these, units that cannot be made good, in whose place the float needs new ones.
    standard_changed, standard_lost : the same before anything was looked at.
    condemned : serials judged lost by inspection.
    """

    unit_kind_id: str
    name: str
    basis: Basis
    carried: int
    changed: float
    lost: float
    standard_changed: float
    standard_lost: float
    condemned: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Growth:
    """Hours of the scope beside the standard.

    Parameters
    ----------
    hours, standard_hours : [man-hours].
    """

    hours: float
    standard_hours: float

    @property
    def grown_hours(self) -> float:
        """By how much the scope is more than the standard [man-hours]."""
        return self.hours - self.standard_hours

    @property
    def ratio(self) -> float:
        """Hours of the scope for each hour of the standard; 1 when there is no work at all."""
        return self.hours / self.standard_hours if self.standard_hours else 1.0


@dataclass(frozen=True, slots=True)
class Scope:
    """What one vehicle inside needs, as far as inspection has told.

    Parameters
    ----------
    work, parts : every operation and unit kind of its type.
    looked_at_share : share of the standard hours on which inspection has spoken, or need not.
    by_trade : trade -> its hours; ``by_stage``: stage or unit kind -> its hours.
    total : all hours.
    scope_class : of the total's ratio, by the bounds of the settings.
    beyond : findings that stand for no work of the tables, as told.
    """

    vehicle_id: str
    type_id: str
    work: tuple[ScopeWork, ...]
    parts: tuple[ScopePart, ...]
    looked_at_share: float
    by_trade: dict[str, Growth]
    by_place: dict[str, Growth]
    total: Growth
    scope_class: ScopeClass
    beyond: tuple[str, ...] = ()
