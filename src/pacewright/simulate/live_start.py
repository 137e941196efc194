"""The start of a run as the record knows it: who is there, and on which day everything happens.

The run goes on from a moment, not from a Monday. Its day 0 lies half a year before, so that what
began earlier can be counted in working time.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from pacewright.events.standing import Phase, PieceStanding, Standing, VehicleStanding
from pacewright.events.things import WHOLE
from pacewright.simulate.calendars import DAY, Stretch, stretch_from
from pacewright.simulate.chains import Chains
from pacewright.simulate.coming import Coming
from pacewright.simulate.start_table import There
from pacewright.works import Works

BACK_WEEKS = 26
"""Weeks before the start over which elapsed time is counted; what is older counts as this old."""


@dataclass(frozen=True)
class LiveStart:
    """What a run from the record starts from.

    Parameters
    ----------
    standing : where everything stands by the record.
    now : moment of the works clock at which the run begins; nothing recorded is later.
    """

    standing: Standing
    now: datetime

    def stretch(self, works: Works, weeks: int) -> Stretch:
        """The days of a run of so many weeks from the week of ``now`` on."""
        day = self.now.date()
        monday = day - timedelta(days=day.weekday() + 7 * BACK_WEEKS)
        stretch = stretch_from(works, monday, day, BACK_WEEKS + weeks)
        start = minute_of(stretch, self.now)
        days = replace(stretch.days, start=start, measure_from=start)
        return replace(stretch, days=days)

    def today(self, stretch: Stretch) -> int:
        """Number of the working day that is under way at ``now``; -1: none is."""
        days = stretch.days
        d = (days.start - days.open_minute) // DAY
        into = days.start - days.open_minute - d * DAY
        i = int(days.before[d])
        works = int(days.before[d + 1]) > i and 0 < into < int(days.minutes.max())
        return i if works else -1


def minute_of(stretch: Stretch, moment: datetime) -> int:
    """Minute of the run at which something happened; negative before day 0."""
    since = moment - datetime.combine(stretch.monday, datetime.min.time())
    return int(since.total_seconds() // 60)


@dataclass(frozen=True)
class Brought:
    """One vehicle of a live run with the pieces it brings.

    Parameters
    ----------
    coming : as the table lists it.
    whole : the vehicle while it is whole; None while it is in pieces, or gone.
    pieces : assembly -> its pieces that are inside, at most as many as one vehicle has.
    """

    coming: Coming
    whole: PieceStanding | None
    pieces: dict[str, list[PieceStanding]]


def brought_in(works: Works, chains: Chains, live: LiveStart, stretch: Stretch) -> list[Brought]:
    """Vehicles inside, those gone that left assemblies, those at the gate, those called in.

    Assemblies go any to any: one without a vehicle goes to the vehicle it came with while that
    waits for one, else to the first that lacks one, else it stays by itself.
    """
    now = live.standing
    inside = [one for one in now.inside() if one.type_id in chains.of_type]
    inside.sort(key=lambda one: (one.admitted_at or live.now, one.vehicle_id))
    loose = _Loose(chains, now)
    own = {one.vehicle_id: loose.own(one) if one.parted else {} for one in inside}
    for one in inside:
        if one.parted:
            loose.fill(one.type_id, own[one.vehicle_id])
    found = [
        Brought(
            _inside(works, one, stretch),
            None if one.parted else now.whole(one.vehicle_id),
            own[one.vehicle_id],
        )
        for one in inside
    ]
    found += loose.left()
    found += [Brought(one, None, {}) for one in _awaited(works, chains, live, stretch)]
    return found


def name_of(vehicle: VehicleStanding) -> str:
    """The name of a vehicle's present visit, on which its chance hangs: the same every day."""
    return f"{vehicle.vehicle_id}/record/{len(vehicle.visits)}"


def _inside(works: Works, one: VehicleStanding, stretch: Stretch) -> Coming:
    came = (one.arrived_at or one.admitted_at or datetime.min).date()
    return Coming(
        name=name_of(one),
        type_id=one.type_id,
        depot_id=one.depot_id,
        day=stretch.working_day(max(came, stretch.monday), works),
        slot=0,
        there=There.INSIDE,
        vehicle_id=one.vehicle_id,
    )


def _awaited(works: Works, chains: Chains, live: LiveStart, stretch: Stretch) -> Iterator[Coming]:
    """At the gate in order of arrival, then called in by their day, not before tomorrow."""
    known = [one for one in live.standing.vehicles.values() if one.type_id in chains.of_type]
    gate = [one for one in known if one.phase is Phase.AT_GATE]
    gate.sort(key=lambda one: (one.arrived_at or live.now, one.vehicle_id))
    called = [one for one in known if one.phase is Phase.CALLED and one.due_in is not None]
    called.sort(key=lambda one: (one.due_in or live.now.date(), one.vehicle_id))
    tomorrow = stretch.working_day(live.now.date() + timedelta(days=1), works)
    for one in (*gate, *called):
        at_gate = one.phase is Phase.AT_GATE
        day = stretch.working_day(max(one.due_in or stretch.monday, stretch.monday), works)
        yield Coming(
            name=name_of(one),
            type_id=one.type_id,
            depot_id="" if at_gate else one.depot_id,
            day=day if at_gate else max(day, tomorrow),
            slot=0,
            there=There.AT_GATE if at_gate else There.TO_COME,
            vehicle_id=one.vehicle_id,
        )


class _Loose:
    """The assemblies inside that carry no number, by type and assembly, oldest first."""

    def __init__(self, chains: Chains, now: Standing) -> None:
        self._chains, self._now = chains, now
        self._of: dict[tuple[str, str], list[PieceStanding]] = defaultdict(list)
        every = [one for one in now.pieces.values() if self._is_loose(one)]
        every.sort(key=lambda one: (one.since or datetime.min, one.piece))
        for one in every:
            type_id = self._type(one)
            if type_id:
                self._of[type_id, one.piece.assembly_id].append(one)

    @staticmethod
    def _is_loose(one: PieceStanding) -> bool:
        return one.piece.assembly_id != WHOLE and one.stands and not one.vehicle_id

    def _type(self, one: PieceStanding) -> str:
        came = self._now.vehicles.get(one.came_from)
        told = one.type_id or (came.type_id if came else "")
        mine = [
            type_id
            for type_id, parts in self._chains.of_type.items()
            if any(chain.assembly_id == one.piece.assembly_id for chain in parts.parts)
        ]
        return told if told in mine else next(iter(mine), "") if not told else ""

    def own(self, vehicle: VehicleStanding) -> dict[str, list[PieceStanding]]:
        """The lead of a vehicle in pieces, and what came off it and is still loose."""
        found: dict[str, list[PieceStanding]] = {}
        lead = vehicle.lead
        for chain in self._chains.of_type[vehicle.type_id].parts:
            here = self._of[vehicle.type_id, chain.assembly_id]
            mine = [one for one in here if one.came_from == vehicle.vehicle_id][: chain.pieces]
            if lead is not None and lead.assembly_id == chain.assembly_id:
                mine = [self._now.pieces[lead], *mine][: chain.pieces]
            for one in mine:
                if one in here:
                    here.remove(one)
            found[chain.assembly_id] = mine
        return found

    def fill(self, type_id: str, pieces: dict[str, list[PieceStanding]]) -> None:
        """Give a vehicle what it lacks, as long as there is any."""
        for chain in self._chains.of_type[type_id].parts:
            here, mine = self._of[type_id, chain.assembly_id], pieces[chain.assembly_id]
            while here and len(mine) < chain.pieces:
                mine.append(here.pop(0))

    def left(self) -> Iterator[Brought]:
        """What belongs to no vehicle inside, in bundles of at most what one vehicle has."""
        for type_id, chains in self._chains.of_type.items():
            number = 0
            while any(self._of[type_id, chain.assembly_id] for chain in chains.parts[1:]):
                bundle = {
                    chain.assembly_id: self._take(type_id, chain.assembly_id, chain.pieces)
                    for chain in chains.parts[1:]
                }
                name = f"{type_id}/loose/{number}"
                coming = Coming(name, type_id, "", 0, 0, there=There.GONE)
                yield Brought(coming, None, bundle)
                number += 1

    def _take(self, type_id: str, assembly_id: str, count: int) -> list[PieceStanding]:
        here = self._of[type_id, assembly_id]
        taken, here[:] = here[:count], here[count:]
        return taken


def lead_of(brought: Brought, leading_assembly: str) -> PieceStanding | None:
    """What the leading piece of the run is: the whole vehicle, or its leading assembly."""
    if brought.whole is not None:
        return brought.whole
    return next(iter(brought.pieces.get(leading_assembly, ())), None)
