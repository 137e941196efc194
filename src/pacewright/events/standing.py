"""Where everything stands: vehicles, assemblies, units, positions."""

from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from typing import NamedTuple, TypeVar

from pacewright.events.links import Links
from pacewright.events.stages import Found, Held, Tested
from pacewright.events.things import WHOLE, Cause, Condition, Overridable, Piece, Unit
from pacewright.events.units import Robbed, RobbingAsked, UnitFound


class Phase(StrEnum):
    """How far a vehicle is."""

    IN_SERVICE = "in service"
    CALLED = "called"
    AT_GATE = "at gate"
    INSIDE = "inside"
    WITHDRAWN = "withdrawn"


@dataclass(frozen=True, slots=True)
class Visit:
    """One visit that is over; the first promise beside the last."""

    arrived_at: datetime | None
    admitted_at: datetime | None
    released_at: datetime
    first_promise: date | None
    last_promise: date | None


@dataclass(slots=True)
class VehicleStanding:
    """A vehicle number and what is known of the present or next visit.

    Parameters
    ----------
    lead : assembly that carries the number; None until the vehicle was parted for the first time.
    parted : True while it is in pieces.
    odometer : readings (moment, distance), in order of time.
    """

    vehicle_id: str
    type_id: str = ""
    depot_id: str = ""
    phase: Phase = Phase.IN_SERVICE
    due_in: date | None = None
    arrived_at: datetime | None = None
    admitted_at: datetime | None = None
    stripped_at: datetime | None = None
    first_promise: date | None = None
    promise: date | None = None
    lead: Piece | None = None
    parted: bool = False
    odometer: list[tuple[datetime, float]] = field(default_factory=list)
    visits: list[Visit] = field(default_factory=list)


@dataclass(slots=True)
class PieceStanding:
    """A whole vehicle or an assembly.

    Parameters
    ----------
    last_at : moment of the last event about it.
    stands : True when it stands by itself inside the works (not outside, not part of a whole).
    type_id : vehicle type an assembly was parted from or is made for; empty: not told.
    vehicle_id : number it carries or is part of; empty for a loose assembly.
    came_from : number of the vehicle it was last parted from.
    stage_id, position : where it stands; position 0: on none.
    place_id : store or floor when it is on no position.
    since : moment from which it stands there.
    came_in : moment it, or the vehicle it came with, was let in on this visit.
    done : stages finished in this visit, those it passed as part of a whole vehicle among them.
    trades : trades at work on it.
    doing : trade at work -> operation it named when it began.
    began : moment at which each trade last began at its stage, also of those that are done; empty
        again after a failed test.
    finished : the work of its stage is done.
    failed : it failed at its stage and is not rectified.
    holds : why it stands, by cause.
    found, tests : last finding and last test result of each item in this visit.
    owed : unit kind -> units taken off and not yet made up for.
    permits : rules set aside for it, until they are used.
    campaigns : campaigns done on it; they are kept with the number while there is one.
    """

    piece: Piece
    last_at: datetime | None = None
    stands: bool = False
    type_id: str = ""
    vehicle_id: str = ""
    came_from: str = ""
    stage_id: str = ""
    position: int = 0
    place_id: str = ""
    since: datetime | None = None
    came_in: datetime | None = None
    done: list[str] = field(default_factory=list)
    trades: list[str] = field(default_factory=list)
    doing: dict[str, str] = field(default_factory=dict)
    finished: bool = False
    failed: bool = False
    scrapped: bool = False
    holds: dict[Cause, Held] = field(default_factory=dict)
    found: dict[str, Found] = field(default_factory=dict)
    tests: dict[str, Tested] = field(default_factory=dict)
    owed: dict[str, int] = field(default_factory=dict)
    permits: list[Overridable] = field(default_factory=list)
    campaigns: list[str] = field(default_factory=list)
    began: dict[str, datetime] = field(default_factory=dict)


@dataclass(slots=True)
class UnitStanding:
    """A unit with its serial.

    Parameters
    ----------
    onto : what it is fitted to; then ``place_id`` is empty.
    place_id : store, shop or site where it is; when ``on_way``, to which it is going.
    issued_to : vehicle or assembly for which it was given out.
    found : last finding of each item since it was last made good.
    fitted_at : moment it was fitted to what it is on; None: it was not seen being fitted.
    made_on : day it was new; None: not known.
    used_before : distance it had run from new at ``age_from``; None: not known.
    age_from : moment from which the record follows its use.
    """

    unit: Unit
    condition: Condition
    last_at: datetime
    onto: Piece | None = None
    place_id: str = ""
    on_way: bool = False
    issued_to: Piece | None = None
    made_good_at: datetime | None = None
    found: dict[str, UnitFound] = field(default_factory=dict)
    fitted_at: datetime | None = None
    made_on: date | None = None
    used_before: float | None = None
    age_from: datetime | None = None


Known = TypeVar("Known", VehicleStanding, PieceStanding, UnitStanding)


def _twin(one: Known) -> Known:
    model = type(one)
    twin = model.__new__(model)
    for name in model.__slots__:
        value = getattr(one, name)
        setattr(twin, name, value.copy() if type(value) in (dict, list) else value)
    return twin


class OpenOrder(NamedTuple):
    """New units of one kind that were ordered and are not in yet; ``units`` : still to come."""

    ordered_at: datetime
    due_in: date
    units: int
    reference: str = ""


class OffVehicle(NamedTuple):
    """Units of one kind that are on nothing, by condition; not to be summed."""

    serviceable: int
    unserviceable: int
    quarantine: int


@dataclass(slots=True, weakref_slot=True)
class Standing:
    """Where everything stands after so many events; read it freely, change it by ``fold`` only.

    Parameters
    ----------
    events : how many events it rests on.
    occupied : (stage, position) -> pieces that stand there: one, or all of a vehicle just parted.
    out_of_use : (stage or unit kind, position or bench) that are out of use.
    attended : (shop, trade, day) -> (people, man-hours).
    robberies : every robbing, in order.
    orders : unit kind -> its open orders, oldest first; a kind never ordered is left out.
    bought : unit kind -> new units that came in, ordered or not.
    robbing_asked : unit -> its robbing that waits, or waited in vain, for a second approval.
    """

    events: int = 0
    vehicles: dict[str, VehicleStanding] = field(default_factory=dict)
    pieces: dict[Piece, PieceStanding] = field(default_factory=dict)
    units: dict[Unit, UnitStanding] = field(default_factory=dict)
    piece_links: Links[Piece] = field(default_factory=Links)
    unit_links: Links[Unit] = field(default_factory=Links)
    occupied: dict[tuple[str, int], list[Piece]] = field(default_factory=dict)
    out_of_use: set[tuple[str, int]] = field(default_factory=set)
    attended: dict[tuple[str, str, date], tuple[float, float]] = field(default_factory=dict)
    robberies: list[Robbed] = field(default_factory=list)
    orders: dict[str, list[OpenOrder]] = field(default_factory=dict)
    bought: dict[str, int] = field(default_factory=dict)
    robbing_asked: dict[Unit, RobbingAsked] = field(default_factory=dict)

    def copy(self) -> "Standing":
        """One that changes nothing in this one when it changes."""
        return Standing(
            self.events,
            {key: _twin(one) for key, one in self.vehicles.items()},
            {key: _twin(one) for key, one in self.pieces.items()},
            {key: _twin(one) for key, one in self.units.items()},
            self.piece_links.copy(),
            self.unit_links.copy(),
            {key: there.copy() for key, there in self.occupied.items()},
            self.out_of_use.copy(),
            self.attended.copy(),
            self.robberies.copy(),
            {key: waiting.copy() for key, waiting in self.orders.items()},
            self.bought.copy(),
            self.robbing_asked.copy(),
        )

    def whole(self, vehicle_id: str) -> PieceStanding:
        """The vehicle as a piece of its own.

        Raises
        ------
        KeyError : the record does not know the vehicle.
        """
        return self.pieces[Piece(WHOLE, vehicle_id)]

    def stands_at(self, vehicle_id: str) -> PieceStanding:
        """What tells where the vehicle is: itself while whole, its lead while parted."""
        vehicle = self.vehicles[vehicle_id]
        if vehicle.parted and vehicle.lead is not None:
            return self.pieces[vehicle.lead]
        return self.whole(vehicle_id)

    def account(self, piece: Piece) -> dict[str, int]:
        """Units owed to ``piece``; a lead or a married assembly shares its vehicle's account."""
        known = self.pieces[piece]
        return self.whole(known.vehicle_id).owed if known.vehicle_id else known.owed

    def debtor(self, piece: Piece, unit_kind_id: str) -> dict[str, int] | None:
        """The account that a unit fitted to ``piece`` makes up for; None: nothing is owed.

        An assembly that stands alone may also get what its vehicle owes since before it was
        parted.
        """
        own = self.account(piece)
        if own.get(unit_kind_id):
            return own
        known = self.pieces[piece]
        if known.came_from and not known.vehicle_id:
            old = self.whole(known.came_from).owed
            if old.get(unit_kind_id):
                return old
        return None

    def is_on(self, carrier: Piece, piece: Piece) -> bool:
        """True when what is on ``carrier`` is on ``piece``, as far as the books tell pieces apart.

        A vehicle and its lead are one; so are a vehicle and an assembly it has, or that was
        last parted from it, since the books may name the vehicle alone.
        """
        if carrier == piece:
            return True
        one, other = self.pieces[carrier], self.pieces[piece]
        if WHOLE not in (carrier.assembly_id, piece.assembly_id):
            return False
        if one.vehicle_id and one.vehicle_id == other.vehicle_id:
            return True
        return carrier.assembly_id == WHOLE and other.came_from == carrier.serial

    def parts_of(self, vehicle_id: str) -> tuple[Piece, ...]:
        """The vehicle itself and every assembly it is known to have now."""
        whole = Piece(WHOLE, vehicle_id)
        return (whole, *self.piece_links.on_now(whole))

    def units_on(self, vehicle_id: str) -> tuple[Unit, ...]:
        """Units known to be on a vehicle now, on itself or on an assembly it has."""
        parts = self.parts_of(vehicle_id)
        return tuple(unit for part in parts for unit in self.unit_links.on_now(part))

    def off_vehicle(self, unit_kind_id: str) -> OffVehicle:
        """How many units of a kind are on nothing, by condition."""
        count = dict.fromkeys(Condition, 0)
        for unit, known in self.units.items():
            if unit.unit_kind_id == unit_kind_id and known.onto is None:
                count[known.condition] += 1
        return OffVehicle(
            count[Condition.SERVICEABLE],
            count[Condition.UNSERVICEABLE],
            count[Condition.QUARANTINE],
        )

    def inside(self) -> tuple[VehicleStanding, ...]:
        """Vehicles inside the works, in order of vehicle number."""
        found = [one for one in self.vehicles.values() if one.phase is Phase.INSIDE]
        return tuple(sorted(found, key=lambda one: one.vehicle_id))
