"""Allotment: which serviceable unit and which loose assembly is meant for which vehicle."""

from dataclasses import dataclass
from datetime import date, datetime

from pacewright.plans.card import ResultCard


@dataclass(frozen=True, slots=True)
class UnitAllotted:
    """One unit that is serviceable now, proposed for one vehicle or loose assembly.

    Parameters
    ----------
    unit, to : what, and for what it is to be issued, by their codes (``motor:M-7``).
    vehicle_id : vehicle that waits for it.
    fit_stage_id, needed : stage where it goes on, and the day on which that begins.
    with_unit : code of the unit it is matched with and goes with; blank: none.
    scarce : fewer are in store than are needed within the look ahead.
    reason : why this vehicle.
    """

    unit: str
    to: str
    vehicle_id: str
    fit_stage_id: str
    needed: date | None
    with_unit: str
    scarce: bool
    reason: str


@dataclass(frozen=True, slots=True)
class AssemblyAllotted:
    """One loose assembly proposed for one vehicle at marriage.

    Parameters
    ----------
    assembly, vehicle_id : what, by its code, and for which vehicle.
    done : day on which it is through its own stages.
    needed : day on which the vehicle's lead is done.
    own : it came off this vehicle.
    """

    assembly: str
    vehicle_id: str
    done: date | None
    needed: date | None
    own: bool


@dataclass(frozen=True, slots=True)
class Awaiting:
    """A need that nothing serviceable is proposed for.

    Parameters
    ----------
    sort : unit kind or assembly.
    vehicle_id, needed : who needs it and when.
    gets, expected : code of what it waits for, and its day; blank and None: none in sight.
    days_late : expected less needed [working days]; to the end of the look ahead with none.
    first_need : day of the shortage list, where the first need takes the first unit; None: none
        in sight there either, or an assembly.
    why : why the two days differ; blank: they do not.
    """

    sort: str
    vehicle_id: str
    needed: date | None
    gets: str
    expected: date | None
    days_late: float
    first_need: date | None = None
    why: str = ""


@dataclass(frozen=True, slots=True)
class VehicleOutcome:
    """What the allotment comes to for one vehicle [working days].

    Parameters
    ----------
    slack_days : from the day it would be ready to its promise; less than 0: late anyhow.
    stands_days : it stands so long for the last of its needs.
    late_days : of those, beyond its slack.
    """

    vehicle_id: str
    promise: date | None
    slack_days: float
    stands_days: float
    late_days: float


@dataclass(frozen=True, slots=True)
class Allotment:
    """A proposal; nothing is booked by it.

    Parameters
    ----------
    card : objective and proven bound.
    now, until : moment of the record; last day whose needs are looked at.
    units, assemblies : what is proposed.
    awaiting : needs that wait for something still to come.
    outcomes : vehicles that stand, the latest first.
    held_back : matched units not proposed because the other of the pair is not serviceable.
    notes : what had to be assumed.
    """

    card: ResultCard
    now: datetime
    until: date | None
    units: tuple[UnitAllotted, ...]
    assemblies: tuple[AssemblyAllotted, ...]
    awaiting: tuple[Awaiting, ...]
    outcomes: tuple[VehicleOutcome, ...]
    held_back: tuple[str, ...]
    notes: tuple[str, ...]
