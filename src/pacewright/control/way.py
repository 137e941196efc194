"""The way of a type through the works: whole, parted into assemblies, whole again."""

from collections.abc import Mapping
from dataclasses import dataclass

from pacewright.events.standing import PieceStanding, Standing, VehicleStanding
from pacewright.events.things import WHOLE
from pacewright.shops.route import Route
from pacewright.shops.tables import Stage
from pacewright.works import Works

NOT_BEGUN = -1
"""Place on a leg of a piece that has not reached its first stage."""


@dataclass(frozen=True)
class Way:
    """The route of one type as legs; on each a piece passes the stages one after another.

    Parameters
    ----------
    type_id : vehicle type.
    before : stages of the whole vehicle up to parting.
    parts : assembly -> its stages; the one that keeps the vehicle's number first; empty when the
        type does not part.
    after : stages of the whole vehicle from marriage on.
    counts : assembly -> how many one vehicle has.
    """

    type_id: str
    before: tuple[Stage, ...]
    parts: Mapping[str, tuple[Stage, ...]]
    after: tuple[Stage, ...]
    counts: Mapping[str, int]

    @property
    def last_stage_id(self) -> str:
        """Stage after which a vehicle is ready."""
        return (self.after or self.before)[-1].stage_id


def ways(works: Works) -> dict[str, Way]:
    """Vehicle type -> its way."""
    return {type_id: _way(works, route) for type_id, route in works.routes.items()}


def _way(works: Works, route: Route) -> Way:
    parted = [one for one in route.stages if one.assembly_id != WHOLE]
    whole = [one for one in route.stages if one.assembly_id == WHOLE]
    later = [one for one in whole if any(route.is_before(p.stage_id, one.stage_id) for p in parted)]
    own = [one for one in works.assemblies if one.type_id == route.type_id]
    # The first assembly of which a vehicle has one keeps its number.
    own.sort(key=lambda one: one.count != 1)
    return Way(
        type_id=route.type_id,
        before=tuple(one for one in whole if one not in later),
        parts={
            one.assembly_id: tuple(s for s in parted if s.assembly_id == one.assembly_id)
            for one in own
        },
        after=tuple(later),
        counts={one.assembly_id: one.count for one in own},
    )


@dataclass(frozen=True, slots=True)
class OnWay:
    """Where a piece is on its leg.

    Parameters
    ----------
    known : the piece as it stands.
    type_id : vehicle type of which it is, or came; empty: not known.
    leg : the stages of its leg.
    place : index of the stage where it is, or which it passed last, within the leg.
    at_stage : True when it stands at that stage.
    married : True for a whole vehicle on its last leg.
    """

    known: PieceStanding
    type_id: str
    leg: tuple[Stage, ...]
    place: int
    at_stage: bool
    married: bool

    @property
    def stage(self) -> Stage | None:
        """The stage at which it stands, of its own leg; None: at none."""
        return self.leg[self.place] if self.at_stage else None

    @property
    def passed(self) -> bool:
        """True when it may leave: nothing of its stage is left to do."""
        return not self.at_stage or (self.known.finished and not self.known.failed)

    @property
    def next_stage(self) -> Stage | None:
        """The stage of its leg that comes next; None: none on this leg."""
        place = self.place + 1
        return self.leg[place] if place < len(self.leg) else None


def vehicle_on_way(standing: Standing, vehicle: VehicleStanding, way: Way) -> OnWay:
    """Where a vehicle inside is: itself while whole, its lead while in pieces."""
    known = standing.stands_at(vehicle.vehicle_id)
    if known.piece.assembly_id != WHOLE:
        return _part_on_way(known, way)
    married = _was_parted(standing, vehicle, known, way)
    return _on_leg(known, way.type_id, way.after if married else way.before, married)


def loose_on_way(standing: Standing, known: PieceStanding, all_ways: Mapping[str, Way]) -> OnWay:
    """Where an assembly is that stands by itself and carries no vehicle number."""
    type_id = type_of(standing, known, all_ways)
    way = all_ways.get(type_id)
    if way is None or known.piece.assembly_id not in way.parts:
        return OnWay(known, "", (), NOT_BEGUN, False, False)
    return _part_on_way(known, way)


def type_of(standing: Standing, known: PieceStanding, all_ways: Mapping[str, Way]) -> str:
    """Vehicle type of an assembly: as told, or the only one that has such; else empty."""
    if known.type_id:
        return known.type_id
    vehicle = standing.vehicles.get(known.came_from)
    if vehicle is not None:
        return vehicle.type_id
    having = [way.type_id for way in all_ways.values() if known.piece.assembly_id in way.parts]
    return having[0] if len(having) == 1 else ""


def _was_parted(
    standing: Standing, vehicle: VehicleStanding, known: PieceStanding, way: Way
) -> bool:
    if not way.after:
        return False
    if known.stage_id in {one.stage_id for one in way.before}:
        return False
    later = {one.stage_id for leg in (*way.parts.values(), way.after) for one in leg}
    if known.stage_id in later or later.intersection(known.done):
        return True
    lead = standing.pieces.get(vehicle.lead) if vehicle.lead else None
    return lead is not None and lead.came_from == vehicle.vehicle_id


def _part_on_way(known: PieceStanding, way: Way) -> OnWay:
    leg = way.parts.get(known.piece.assembly_id, ())
    found = _on_leg(known, way.type_id, leg, False)
    parted_here = known.stage_id in {one.stage_id for one in way.before}
    if found.place == NOT_BEGUN and not parted_here and not known.done:
        # A spare assembly that was entered in a store, of whose stages nothing is known, is done.
        return OnWay(known, way.type_id, leg, len(leg) - 1, False, False)
    return found


def _on_leg(known: PieceStanding, type_id: str, leg: tuple[Stage, ...], married: bool) -> OnWay:
    stage_ids = [one.stage_id for one in leg]
    if known.stage_id in stage_ids:
        return OnWay(known, type_id, leg, stage_ids.index(known.stage_id), True, married)
    passed = [stage_ids.index(one) for one in known.done if one in stage_ids]
    return OnWay(known, type_id, leg, max(passed, default=NOT_BEGUN), False, married)


def loose_assemblies(standing: Standing) -> list[PieceStanding]:
    """Assemblies that stand by themselves inside and carry no vehicle number, in order of name."""
    found = [
        one
        for piece, one in standing.pieces.items()
        if one.stands and piece.assembly_id != WHOLE and not one.vehicle_id
    ]
    return sorted(found, key=lambda one: one.piece)
