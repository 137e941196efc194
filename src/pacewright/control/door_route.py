"""At the door: a piece follows its route, stands on a position there is, and joins its like."""

from collections import Counter

from pacewright.control.door_facts import Facts, type_of_piece
from pacewright.events.identity import Married, Parted
from pacewright.events.refusal import Refusal
from pacewright.events.stages import Moved, PutOutOfUse
from pacewright.events.standing import PieceStanding, Standing
from pacewright.events.things import WHOLE, Overridable

_OVERRIDE = "or an authorised person overrides 'route' for it and says why."


def follows_route(facts: Facts, now: Standing, event: Moved) -> Refusal | None:
    """A piece moves to a stage of its route, having finished all the stages before it in this
    visit; a stage it passed already may be passed again. The route can be overridden, for one step.
    """
    piece, stage = now.pieces.get(event.piece), facts.stages.get(event.stage_id)
    if piece is None or stage is None or Overridable.ROUTE in piece.permits:
        return None
    if stage.assembly_id != event.piece.assembly_id:
        return _off_route(event, f"{stage.stage_id} takes {stage.assembly_id}")
    type_id = type_of_piece(now, piece)
    if not type_id:
        return None
    before = facts.before.get(type_id, {}).get(event.stage_id)
    if before is None:
        return _off_route(event, f"type {type_id} does not pass {event.stage_id}")
    missing = [one for one in before if one not in piece.done]
    if missing and _is_spare(piece):
        missing = [one for one in missing if facts.stages[one].assembly_id != WHOLE]
    if not missing:
        return None
    return _off_route(event, f"not finished in this visit: {', '.join(missing)}")


def _is_spare(piece: PieceStanding) -> bool:
    # What came with no vehicle cannot have passed the stages of a whole one.
    return not piece.came_from and piece.piece.assembly_id != WHOLE


def _off_route(event: Moved, found: str) -> Refusal:
    return Refusal(
        str(event.piece),
        f"to {event.stage_id}, but {found}",
        "A stage follows its route.",
        f"Check stage and serial; record first what was finished; {_OVERRIDE}",
    )


def position_exists(facts: Facts, now: Standing, event: Moved | PutOutOfUse) -> Refusal | None:
    """A position, or bench, is one the tables know of."""
    place = event.stage_id if isinstance(event, Moved) else event.place_id
    stage, kind = facts.stages.get(place), facts.kinds.get(place)
    if stage is not None:
        there: int | None = stage.positions
    else:
        there = kind.benches if kind is not None else None
    if there is None or event.position <= there:
        return None
    table = "stages, positions" if stage is not None else "unit_kinds, benches"
    return Refusal(
        f"{place} position {event.position}",
        f"{place} has {there}",
        "A position, or bench, is one the tables know of.",
        f"Correct the number, or {table} of the works.",
    )


def parts_where_it_should(facts: Facts, now: Standing, event: Parted) -> Refusal | None:
    """A vehicle is parted at the stage where its route parts, or after it; the route can be
    overridden.
    """
    vehicle = now.vehicles.get(event.vehicle_id)
    if vehicle is None:
        return None
    whole = now.whole(event.vehicle_id)
    stages = facts.parts_at.get(vehicle.type_id, ())
    if whole.stage_id in stages or Overridable.ROUTE in whole.permits:
        return None
    missing = [one for one in stages if one not in whole.done]
    if not missing:
        return None
    return Refusal(
        f"vehicle {event.vehicle_id}",
        f"it stands at {whole.stage_id or whole.place_id or 'no stage'}, "
        f"not finished: {', '.join(missing)}",
        "A vehicle is parted at the stage where its route parts.",
        f"Record first that it moved there; {_OVERRIDE}",
    )


def full_set(facts: Facts, now: Standing, event: Parted | Married) -> Refusal | None:
    """A vehicle parts into, and is married from, every assembly of its type, all of each."""
    vehicle = now.vehicles.get(event.vehicle_id)
    if vehicle is None:
        return None
    wanted = facts.counts.get(vehicle.type_id, {})
    given = Counter(one.assembly_id for one in event.pieces)
    if given == wanted:
        return None
    told = ", ".join(f"{count} {name}" for name, count in sorted(given.items()))
    asked = ", ".join(f"{count} {name}" for name, count in wanted.items()) or "no parting at all"
    return Refusal(
        f"vehicle {event.vehicle_id}",
        f"{told} given; type {vehicle.type_id} has {asked}",
        "A vehicle parts into, and is married from, all assemblies of its type.",
        "Correct the list of pieces.",
    )


def compatible(facts: Facts, now: Standing, event: Married) -> Refusal | None:
    """What is married to a vehicle was made for its type."""
    vehicle = now.vehicles.get(event.vehicle_id)
    if vehicle is None:
        return None
    for one in event.pieces:
        piece = now.pieces.get(one)
        if piece is not None and piece.type_id not in ("", vehicle.type_id):
            return Refusal(
                str(one),
                f"it is of type {piece.type_id}, vehicle {event.vehicle_id} of {vehicle.type_id}",
                "What is married to a vehicle was made for its type.",
                "Check the serials; take an assembly of the same type.",
            )
    return None


def ripe_for_marriage(facts: Facts, now: Standing, event: Married) -> Refusal | None:
    """Each assembly has finished the stages before the marriage, in this visit; the route can be
    overridden, for the assembly or for the vehicle.
    """
    vehicle = now.vehicles.get(event.vehicle_id)
    if vehicle is None or Overridable.ROUTE in now.whole(event.vehicle_id).permits:
        return None
    ripe = facts.ripe.get(vehicle.type_id, {})
    for one in event.pieces:
        piece = now.pieces.get(one)
        if piece is None or Overridable.ROUTE in piece.permits:
            continue
        missing = [stage for stage in ripe.get(one.assembly_id, ()) if stage not in piece.done]
        if missing:
            return Refusal(
                str(one),
                f"not finished in this visit: {', '.join(missing)}",
                "An assembly is married after the stages that lead to the marriage.",
                f"Check the serial; record first what was finished; {_OVERRIDE}",
            )
    return None
