"""Units from removal to serviceable or scrap, and how long they stayed on vehicles before."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from datetime import datetime
from enum import Enum
from typing import NamedTuple

from pacewright.events.gate import OdometerRead, Released
from pacewright.events.things import Unit, Verdict
from pacewright.events.units import (
    Cleared,
    Fitted,
    Quarantined,
    Reconditioned,
    Removed,
    Robbed,
    Scrapped,
    SeenOn,
    Sent,
    UnitFound,
)
from pacewright.life.cells import Cell, Counted
from pacewright.life.whereabouts import Heard, Whereabouts
from pacewright.works import Works


class End(Enum):
    """How a spell off the vehicles ended."""

    MADE_GOOD = "made good"
    SCRAPPED = "scrapped"
    SET_ASIDE = "set aside"
    GOING_ON = "going on"


class Spell(NamedTuple):
    """A unit off a vehicle, from removal until it was made good, scrapped, or last heard of.

    Of a kind gathered in lots or despatched at intervals it begins when it leaves for its shop.
    One in quarantine at the end of the record was last heard of when it was set aside.
    """

    began: datetime
    until: datetime
    end: End


class Stay(NamedTuple):
    """A unit on a vehicle, from fitting to removal or until last heard of.

    ``distance`` is None when a reading was missing; ``worn`` is True when it came off.
    """

    days: float
    distance: float | None
    worn: bool


class _On(NamedTuple):
    since: datetime
    vehicle_id: str
    odometer: float | None


class UnitTurns:
    """Spells off and stays on vehicles by unit kind, and how many came off of those carried.

    Parameters
    ----------
    works : its unit kinds and what fits what.
    where : which vehicle a piece belongs to.
    """

    def __init__(self, works: Works, where: Whereabouts) -> None:
        self.spells: defaultdict[str, list[Spell]] = defaultdict(list)
        self.stays: defaultdict[str, list[Stay]] = defaultdict(list)
        self.removals: dict[Cell, Counted] = {}
        self.starts: dict[Cell, int] = {}
        self._where = where
        self._carried: defaultdict[str, list[tuple[str, int]]] = defaultdict(list)
        for fit in works.fits:
            self._carried[fit.type_id].append((fit.unit_kind_id, fit.per_vehicle))
        self._gathered = {
            one.unit_kind_id: one.shop_id
            for one in works.unit_kinds
            if one.lot_size > 1 or one.despatch_days > 0
        }
        self._off: dict[Unit, datetime] = {}
        self._aside: dict[Unit, datetime] = {}
        self._condemned: set[Unit] = set()
        self._on: dict[Unit, _On] = {}
        self._came_off: defaultdict[str, Counter[str]] = defaultdict(Counter)
        self._odometer: dict[str, float] = {}

    def heard(self) -> Heard:
        """What it listens to."""
        return {
            Removed: self._removed,
            Sent: self._sent,
            Robbed: self._left,
            SeenOn: self._left,
            UnitFound: self._found,
            Reconditioned: self._made_good,
            Scrapped: self._scrapped,
            Quarantined: self._set_aside,
            Cleared: self._cleared,
            Fitted: self._fitted,
            OdometerRead: self._read,
            Released: self._released,
        }

    def forget(self, cell: Cell) -> None:
        """What was counted is in the table now."""
        self.removals.pop(cell, None)
        if cell.table == "unit_kinds":
            self.starts[cell] = len(self.spells[cell.row])

    def of_cell(self, cell: Cell) -> list[Spell]:
        """Spells of a kind that are not in its cell yet."""
        return self.spells[cell.row][self.starts.get(cell, 0) :]

    def close(self, now: datetime) -> None:
        """What is off or on goes on."""
        for unit, began in self._off.items():
            end = End.SCRAPPED if unit in self._condemned else End.GOING_ON
            if unit in self._aside:
                end = End.SET_ASIDE
            until = self._aside.get(unit, now)
            self.spells[unit.unit_kind_id].append(Spell(began, until, end))
        for unit, on in self._on.items():
            self._stayed(unit, on, now, worn=False)
        self._off.clear()
        self._on.clear()

    def _removed(self, event: Removed) -> None:
        unit = event.unit
        vehicle = self._where.vehicle_of(event.off)
        self._came_off[vehicle][unit.unit_kind_id] += 1
        on = self._on.pop(unit, None)
        if on is not None:
            self._stayed(unit, on, event.at, worn=True)
        self._off[unit] = event.at

    def _sent(self, event: Sent) -> None:
        # The plan reckons gathering and despatch beside the turn, which begins after them.
        unit = event.unit
        if self._gathered.get(unit.unit_kind_id) == event.place_id and unit in self._off:
            self._off[unit] = event.at

    def _left(self, event: Robbed | SeenOn) -> None:
        # Neither says that the unit was worn, nor when its stay began.
        on = self._on.pop(event.unit, None)
        if on is not None:
            self._stayed(event.unit, on, event.at, worn=False)
        self._off.pop(event.unit, None)

    def _found(self, event: UnitFound) -> None:
        if event.verdict is Verdict.SCRAP:
            self._condemned.add(event.unit)

    def _made_good(self, event: Reconditioned) -> None:
        self._ended(event.unit, event.at, End.MADE_GOOD)

    def _scrapped(self, event: Scrapped) -> None:
        self._ended(event.unit, event.at, End.SCRAPPED)

    def _set_aside(self, event: Quarantined) -> None:
        if event.unit in self._off:
            self._aside[event.unit] = event.at

    def _cleared(self, event: Cleared) -> None:
        # Its turn goes on; the time in quarantine is waiting like any other.
        self._aside.pop(event.unit, None)

    def _ended(self, unit: Unit, at: datetime, end: End) -> None:
        began = self._off.pop(unit, None)
        self._aside.pop(unit, None)
        self._condemned.discard(unit)
        if began is not None:
            self.spells[unit.unit_kind_id].append(Spell(began, at, end))

    def _fitted(self, event: Fitted) -> None:
        vehicle = self._where.vehicle_of(event.onto)
        self._on[event.unit] = _On(event.at, vehicle, self._odometer.get(vehicle))

    def _read(self, event: OdometerRead) -> None:
        self._odometer[event.vehicle_id] = event.odometer

    def _stayed(self, unit: Unit, on: _On, at: datetime, *, worn: bool) -> None:
        now = self._odometer.get(on.vehicle_id)
        known = now is not None and on.odometer is not None
        distance = now - on.odometer if known else None  # type: ignore[operator]
        days = (at - on.since).total_seconds() / 86_400
        if days > 0:
            self.stays[unit.unit_kind_id].append(Stay(days, distance, worn))

    def _released(self, event: Released) -> None:
        """A visit seen from its start is over: of each kind carried so many came off."""
        came_off = self._came_off.pop(event.vehicle_id, Counter())
        if event.vehicle_id not in self._where.admitted:
            return
        for kind, carried in self._carried[self._where.types.get(event.vehicle_id, "")]:
            cell = Cell("unit_kinds", kind, "removal_share")
            counted = self.removals.setdefault(cell, Counted())
            counted.add(min(came_off[kind], carried), event.at, carried)


def scrapped_of(spells: list[Spell], before: datetime) -> Iterator[tuple[bool, datetime]]:
    """Whether each unit removed before a moment was scrapped.

    Parameters
    ----------
    before : so long ago that the slow repairs are over too; younger spells would show too many
        scrapped, since scrapping is quick.
    """
    for one in spells:
        if one.began <= before and one.end is not End.SET_ASIDE:
            yield one.end is End.SCRAPPED, one.until
