"""A works as it stands, put as the question who gets what."""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from datetime import time as clock_time
from functools import cached_property
from itertools import islice
from math import isfinite

from pacewright.control.ahead import Ahead
from pacewright.control.allotment_problem import (
    UNPROMISED_WEIGHT,
    AllotmentProblem,
    Slot,
    Supply,
)
from pacewright.control.first_needs import whole_units
from pacewright.control.marriage import VehicleAhead
from pacewright.control.needs import Need
from pacewright.control.pairs import pairs
from pacewright.control.pool import IN_STORE, Coming, Pool
from pacewright.events.fold import refusals
from pacewright.events.refusal import Refusal
from pacewright.events.standing import Standing
from pacewright.events.things import Event, Piece, Unit
from pacewright.events.units import Fitted, Issued
from pacewright.works import Works

Door = Callable[[Standing, Event], tuple[Refusal, ...]]


@dataclass(frozen=True)
class Seen:
    """What the allotment is made from.

    Parameters
    ----------
    works, standing : the works, and where everything stands.
    ahead, needs, pools : what lies ahead, what is needed, what there is and comes.
    door : the rules of the record; what it would refuse is not proposed.
    """

    works: Works
    standing: Standing
    ahead: Ahead
    needs: tuple[Need, ...]
    pools: Mapping[str, Pool]
    door: Door


@dataclass(frozen=True)
class Wanted:
    """One slot with what it stands for."""

    slot: Slot
    vehicle_id: str
    piece: Piece
    need: Need | None


@dataclass(frozen=True)
class There:
    """One supply with what it stands for."""

    supply: Supply
    thing: Unit | Piece | None
    source: str


class AllotmentCase:
    """The needs within the look ahead and what there is for them.

    Parameters
    ----------
    seen, look_days : as of ``allotment.allotment``.
    """

    def __init__(self, seen: Seen, look_days: float) -> None:
        self.seen = seen
        self.last_day = seen.ahead.now_day + look_days
        self.notes: set[str] = set()
        self.pairs = pairs(seen.works, seen.standing)
        self.wanted = [*self._wanted_units(), *self._wanted_assemblies()]
        self.there = [*self._there_units(), *self._there_assemblies()]
        self.problem = AllotmentProblem(
            slots=tuple(one.slot for one in self.wanted),
            supplies=tuple(self._with_mates()),
            slack_days=tuple(max(0.0, self.slack_days(one)) for one in self.vehicles),
            weight=tuple(1.0 if self.promise(one) else UNPROMISED_WEIGHT for one in self.vehicles),
        )

    # -- vehicles ------------------------------------------------------------------------------

    @cached_property
    def vehicles(self) -> list[str]:
        """Vehicles inside, in the order of their numbers in the problem."""
        return sorted(self.seen.ahead.vehicles)

    @cached_property
    def _number(self) -> dict[str, int]:
        return {name: number for number, name in enumerate(self.vehicles)}

    def promise(self, vehicle_id: str) -> date | None:
        """The current promise."""
        return self.seen.standing.vehicles[vehicle_id].promise

    def slack_days(self, vehicle_id: str) -> float:
        """Days from when it would be ready, could it be married at once, to its promise."""
        one, promise = self.seen.ahead.vehicles[vehicle_id], self.promise(vehicle_id)
        if promise is None or not isfinite(one.ready_day):
            return 0.0
        waits = max(0.0, one.marries_day - max(self._lead_done(one), self.seen.ahead.now_day))
        end = self.seen.ahead.clock.day_of(datetime.combine(promise, clock_time(23, 59)))
        return end - (one.ready_day - (waits if one.waits_for else 0.0))

    def _lead_done(self, one: VehicleAhead) -> float:
        """When the lead of a vehicle in pieces is done with its own stages."""
        way = self.seen.ahead.all_ways[one.on_way.type_id]
        own = {stage.stage_id for stage in next(iter(way.parts.values()), ())}
        ends = [stage.ends for stage in one.coming if stage.stage_id in own]
        return max(ends, default=self.seen.ahead.now_day)

    # -- what is wanted ------------------------------------------------------------------------

    def _wanted_units(self) -> Iterator[Wanted]:
        for need in self.seen.needs:
            if need.vehicle_id not in self._number or need.needed_day > self.last_day:
                continue
            slot = Slot(need.unit_kind_id, self._number[need.vehicle_id], need.needed_day)
            for _ in range(need.owed - need.issued):
                yield Wanted(slot, need.vehicle_id, need.piece, need)

    def _wanted_assemblies(self) -> Iterator[Wanted]:
        for name, one in self.seen.ahead.vehicles.items():
            if not one.vehicle.parted or one.vehicle.lead is None:
                continue
            day = self._lead_done(one)
            way = self.seen.ahead.all_ways[one.on_way.type_id]
            for assembly_id, count in list(way.counts.items())[1:] if day <= self.last_day else ():
                slot = Slot(assembly_id, self._number[name], day)
                for _ in range(count):
                    yield Wanted(slot, name, one.vehicle.lead, None)

    # -- what there is -------------------------------------------------------------------------

    def _there_units(self) -> Iterator[There]:
        asked = Counter(one.slot.sort for one in self.wanted)
        for kind_id in sorted(asked.keys() & self.seen.pools.keys()):
            for one in self._in_sight(self.seen.pools[kind_id], asked[kind_id]):
                yield self._unit(kind_id, one)

    def _in_sight(self, pool: Pool, most: int) -> Iterator[Coming]:
        """Units in store, then of those that come so many as are asked for.

        The days are those of the shortage list, of the first, the second ... to be back. Only a
        matched unit, for which no other will do, keeps its own.
        """
        units = pool.in_sight(self.seen.ahead.now_day)
        yield from (o for o in units if o.source == IN_STORE and o.unit not in self.pairs.held)
        away = [one for one in units if one.source != IN_STORE]
        yield from islice(whole_units([o for o in away if o.unit not in self.pairs.mates]), most)
        yield from (one for one in pool.coming if one.source != IN_STORE and self._matched(one))

    def _matched(self, one: Coming) -> bool:
        return one.unit in self.pairs.mates and one.unit not in self.pairs.held

    def _unit(self, kind_id: str, one: Coming) -> There:
        may = None
        if one.unit is not None and one.source == IN_STORE:
            may = self._may_go_to(one.unit)
        return There(Supply(kind_id, one.day, may), one.unit, one.source)

    def _may_go_to(self, unit: Unit) -> frozenset[int] | None:
        """Vehicles for which the record would take it; None: all that want its kind."""
        mine = [one for one in self.wanted if one.slot.sort == unit.unit_kind_id]
        may = frozenset(one.slot.vehicle for one in mine if not self._refused(unit, one.piece))
        return None if may == {one.slot.vehicle for one in mine} else may

    def _refused(self, unit: Unit, piece: Piece) -> bool:
        now, at = self.seen.standing, self.seen.ahead.now
        found = (
            *refusals(now, Issued(at, unit, piece)),
            *self.seen.door(now, Issued(at, unit, piece)),
            *self.seen.door(now, Fitted(at, unit, piece)),
        )
        self.notes |= {f"{unit} is not proposed for {piece}: {one.found}" for one in found}
        return bool(found)

    def _there_assemblies(self) -> Iterator[There]:
        for piece, one in sorted(self.seen.ahead.assemblies.items()):
            type_id = one.on_way.type_id
            may = frozenset(
                self._number[name]
                for name, other in self.seen.ahead.vehicles.items()
                if other.on_way.type_id == type_id
            )
            own = self._number.get(self.seen.standing.pieces[piece].came_from, -1)
            supply = Supply(piece.assembly_id, one.done_day, may, own_vehicle=own)
            yield There(supply, piece, "loose")

    def _with_mates(self) -> Iterator[Supply]:
        place = {one.thing: j for j, one in enumerate(self.there) if isinstance(one.thing, Unit)}
        for one in self.there:
            mate = self.pairs.mates.get(one.thing) if isinstance(one.thing, Unit) else None
            supply = one.supply
            yield Supply(
                supply.sort,
                supply.ready_day,
                supply.vehicles,
                place.get(mate, -1) if mate else -1,
                supply.own_vehicle,
            )
