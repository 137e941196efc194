"""The flow of the works at a moment the record knows: what stands where, and where it piles up."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from pacewright.control.ahead import Ahead, ahead
from pacewright.control.moves import next_moves
from pacewright.control.needs import needs
from pacewright.control.next_move import Blocked, Moves
from pacewright.control.pool import Pool, pools
from pacewright.control.to_come_off import tell_to_come_off
from pacewright.control.turn_left import turn_times
from pacewright.control.way import ways
from pacewright.events.standing import Phase, Standing
from pacewright.events.things import Cause, Piece
from pacewright.plans.flow_day import (
    Doing,
    FlowDay,
    KindDay,
    OnPosition,
    Source,
    StageDay,
    StoreDay,
)
from pacewright.shops.tables import Stage
from pacewright.works import Works


@dataclass(frozen=True)
class Seen:
    """A standing with what control sees in it.

    Parameters
    ----------
    works, standing : the works, and where everything stands.
    seen, found, pool : what lies ahead, what can move or is blocked, and the pools.
    full_at : unit kind -> serviceable units from which on more pile up; left out: not known.
    short : unit kinds that vehicles will stand for in the days looked ahead.
    """

    works: Works
    standing: Standing
    seen: Ahead
    found: Moves
    pool: Mapping[str, Pool]
    full_at: Mapping[str, int]
    short: frozenset[str] = frozenset()


def seen_at(works: Works, standing: Standing, moment: datetime) -> Seen:
    """A standing of the past as control would have seen it, by the tables of today."""
    seen = ahead(works, standing, moment)
    wanted = needs(works, standing, seen)
    pool = pools(works, standing, seen.clock, moment, turn_times(works, None))
    tell_to_come_off(seen, wanted, pool)
    found = next_moves(works, standing, seen, wanted, pool)
    return Seen(works, standing, seen, found, pool, {})


def flow_at(given: Seen, source: Source, place: int) -> FlowDay:
    """The flow at the moment of a standing.

    Parameters
    ----------
    source : ``Source.NOW`` or ``Source.RECORD``. ``place`` : last event known.
    """
    standing = given.standing
    gate = [one.vehicle_id for one in standing.vehicles.values() if one.phase is Phase.AT_GATE]
    blocked = {one.piece: one for one in given.found.blocked}
    queues = _queues(given)
    return FlowDay(
        moment=given.seen.now,
        source=source,
        runs=0,
        at_gate=len(gate),
        inside=len(standing.inside()),
        gate=tuple(sorted(gate)),
        stages=tuple(
            _stage(given, one, blocked, queues[one.stage_id]) for one in given.works.stages
        ),
        stores=tuple(_stores(given)),
        kinds=tuple(_kinds(given)),
        place=place,
    )


def _queues(given: Seen) -> dict[str, list[str]]:
    """Stage -> what is done elsewhere and free to come but for a position, or not moved yet."""
    found: dict[str, list[str]] = defaultdict(list)
    for row in given.found.blocked:
        if row.cause is Cause.POSITION and row.next_stage_id != row.stage_id:
            found[row.next_stage_id].append(_short(given.standing, row.piece))
    for move in given.found.moves:
        if move.to_stage_id and move.to_stage_id != move.from_stage_id:
            found[move.to_stage_id].append(_short(given.standing, move.piece))
    return found


def _stage(
    given: Seen, stage: Stage, blocked: Mapping[str, Blocked], queue: Sequence[str]
) -> StageDay:
    numbers = range(1, stage.positions + 1)
    out = tuple(n for n in numbers if (stage.stage_id, n) in given.standing.out_of_use)
    here: list[OnPosition] = []
    held = 0
    for position in numbers:
        pieces = given.standing.occupied.get((stage.stage_id, position), [])
        held += bool(pieces)
        here += [_on_position(given, piece, position, blocked) for piece in pieces]
    stands = [one for one in here if one.doing is Doing.STANDS]
    whys = [one.why for one in stands]
    return StageDay(
        stage_id=stage.stage_id,
        name=stage.name,
        shop_id=stage.shop_id,
        positions=stage.positions,
        lost=len(out),
        held=held,
        waiting=len(queue),
        done=sum(one.doing is Doing.DONE for one in here),
        stands=len(stands),
        chance_stands=float(bool(stands)),
        chance_piles=float(len(queue) >= max(1, stage.positions - len(out))),
        here=tuple(here),
        queue=tuple(queue),
        why=tuple(sorted(set(whys), key=lambda one: (-whys.count(one), one))),
        only=stage.type_ids,
        out=out,
    )


def _on_position(
    given: Seen, piece: Piece, position: int, blocked: Mapping[str, Blocked]
) -> OnPosition:
    known = given.standing.pieces[piece]
    row = blocked.get(str(piece))
    name = known.vehicle_id or piece.serial
    # An assembly that waits for its vehicle keeps nobody waiting; a charge is made up by plan.
    at_ease = {Cause.POSITION, Cause.BATCH} | (set() if known.vehicle_id else {Cause.ASSEMBLY})
    if row is not None and row.cause not in at_ease:
        return OnPosition(name, position, Doing.STANDS, _why(row), known.vehicle_id)
    done = known.finished and not known.failed
    doing = Doing.DONE if done else Doing.WORK
    return OnPosition(name, position, doing, vehicle_id=known.vehicle_id)


def _why(row: Blocked) -> str:
    return f"{row.cause}: {row.waits_for}" if row.waits_for else str(row.cause)


def _short(standing: Standing, name: str) -> str:
    """A piece in words as the number it carries, or its serial."""
    assembly_id, _, serial = name.partition(" ")
    known = standing.pieces.get(Piece(assembly_id, serial))
    return (known.vehicle_id or serial) if known else name


def _stores(given: Seen) -> list[StoreDay]:
    found: dict[str, list[str]] = {one.assembly_id: [] for one in given.works.assemblies}
    room, leads = marriage_room(given.works), leading(given.works)
    for one in given.seen.assemblies.values():
        known = one.on_way.known
        if known.position == 0 and one.on_way.passed and one.on_way.next_stage is None:
            found[known.piece.assembly_id].append(known.piece.serial)
    return [
        StoreDay(
            assembly_id=assembly_id,
            name=assembly_name(given.works, assembly_id),
            pieces=len(names),
            room=room.get(assembly_id, 0),
            chance_piles=float(len(names) > room.get(assembly_id, 0)),
            names=tuple(names),
        )
        for assembly_id, names in found.items()
        if assembly_id not in leads
    ]


def assembly_name(works: Works, assembly_id: str) -> str:
    """The name of an assembly as its first type has it."""
    return next(one.name for one in works.assemblies if one.assembly_id == assembly_id)


def leading(works: Works) -> frozenset[str]:
    """Assemblies that keep a vehicle's number."""
    return frozenset(next(iter(way.parts)) for way in ways(works).values() if way.parts)


def marriage_room(works: Works) -> dict[str, int]:
    """Assembly -> pieces that the stages at which vehicles are married can take at once."""
    room: dict[str, int] = {}
    for way in ways(works).values():
        positions = way.after[0].positions if way.after and way.parts else 0
        for assembly_id in way.parts:
            pieces = positions * way.counts[assembly_id]
            room[assembly_id] = max(room.get(assembly_id, 0), pieces)
    return room


def _kinds(given: Seen) -> list[KindDay]:
    waits: dict[str, list[str]] = defaultdict(list)
    for row in given.found.blocked:
        if row.cause is Cause.PART:
            waits[row.waits_for].append(row.vehicle_id or _short(given.standing, row.piece))
    return [
        _kind(pool, kind_id, waits[kind_id], given.full_at.get(kind_id), kind_id in given.short)
        for kind_id, pool in given.pool.items()
    ]


def _kind(
    pool: Pool, kind_id: str, vehicles: Sequence[str], full_at: int | None, short: bool
) -> KindDay:
    return KindDay(
        unit_kind_id=kind_id,
        name=pool.kind.name,
        shop_id=pool.kind.shop_id,
        serviceable=pool.serviceable,
        issued=pool.issued,
        unserviceable=pool.unserviceable,
        quarantine=pool.quarantine,
        full_at=full_at,
        vehicles=tuple(vehicles),
        chance_out=float(short),
        chance_piles=float(full_at is not None and pool.serviceable > full_at),
    )
