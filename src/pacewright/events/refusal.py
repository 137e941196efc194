"""Why an event cannot have happened as it is told, and the checks that many kinds share."""

from dataclasses import dataclass
from datetime import datetime

from pacewright.events.gate import VehicleEvent
from pacewright.events.stages import PieceEvent
from pacewright.events.standing import Phase, PieceStanding, Standing, VehicleStanding
from pacewright.events.things import WHOLE, Cause, Piece


@dataclass(frozen=True, slots=True)
class Refusal:
    """Where it was found, what was found, the rule, the remedy."""

    where: str
    found: str
    rule: str
    remedy: str

    def __str__(self) -> str:
        return f"{self.where}: {self.found}. {self.rule} {self.remedy}"


def late(
    where: str, at: datetime, last_at: datetime | None, what: str = "its last event"
) -> Refusal | None:
    """What is told of one thing does not run back in time."""
    if last_at is None or at >= last_at:
        return None
    return Refusal(
        where,
        f"{at:%Y-%m-%d %H:%M} is before {last_at:%Y-%m-%d %H:%M}, {what}",
        "What happened to one thing is told in order of time.",
        "Correct the time, or put a forgotten event in by correcting a later one.",
    )


def vehicle_in_time(
    now: Standing, event: VehicleEvent, vehicle: VehicleStanding | None
) -> Refusal | None:
    """What is told of a vehicle does not run back in time."""
    if vehicle is None:
        return None
    return late(f"vehicle {event.vehicle_id}", event.at, now.whole(event.vehicle_id).last_at)


def vehicle_inside(
    now: Standing, event: VehicleEvent, vehicle: VehicleStanding | None
) -> Refusal | None:
    """The vehicle is inside the works."""
    if vehicle is not None and vehicle.phase is Phase.INSIDE:
        return None
    return outside(now, event.vehicle_id)


def outside(now: Standing, vehicle_id: str) -> Refusal | None:
    """Why a vehicle is not inside; None when it is."""
    vehicle = now.vehicles.get(vehicle_id)
    if vehicle is not None and vehicle.phase is Phase.INSIDE:
        return None
    return Refusal(
        f"vehicle {vehicle_id}",
        "the record does not know it" if vehicle is None else f"it is {vehicle.phase.value}",
        "Work is done on vehicles inside the works.",
        "Check the number, or record first that it arrived and was admitted.",
    )


def vehicle_whole(now: Standing, event: VehicleEvent, vehicle: VehicleStanding) -> Refusal | None:
    """The vehicle is not in pieces."""
    if not vehicle.parted:
        return None
    return Refusal(
        f"vehicle {event.vehicle_id}",
        f"it is in pieces, its number on {vehicle.lead}",
        "The vehicle must be whole.",
        "Record its marriage first.",
    )


def vehicle_parted(now: Standing, event: VehicleEvent, vehicle: VehicleStanding) -> Refusal | None:
    """The vehicle is in pieces."""
    if vehicle.parted:
        return None
    return Refusal(
        f"vehicle {event.vehicle_id}",
        "it is whole",
        "The vehicle must be in pieces.",
        "Record first that it was parted.",
    )


def piece_stands(now: Standing, event: PieceEvent, piece: PieceStanding | None) -> Refusal | None:
    """The piece stands by itself inside the works."""
    if piece is not None and piece.stands:
        return None
    return not_standing(now, event.piece)


def not_standing(now: Standing, piece: Piece) -> Refusal:
    """Why a piece does not stand by itself, and what to name instead."""
    known = now.pieces.get(piece)
    rule = "Only what stands by itself inside the works is moved and worked on."
    if known is None:
        found, remedy = "the record does not know it", "Check the number or serial."
    elif known.scrapped:
        found, remedy = "it was scrapped", "Check the serial."
    elif piece.assembly_id != WHOLE:
        found = f"it is part of vehicle {known.vehicle_id or known.came_from}"
        remedy = "Name the vehicle instead, or record first that it was parted."
    else:
        vehicle = now.vehicles[piece.serial]
        if vehicle.parted:
            found, remedy = (
                "it is in pieces",
                f"Name the assembly; its number is on {vehicle.lead}.",
            )
        else:
            found = f"it is {vehicle.phase.value}"
            remedy = "Check the number, or record first that it arrived and was admitted."
    return Refusal(str(piece), found, rule, remedy)


def piece_in_time(now: Standing, event: PieceEvent, piece: PieceStanding) -> Refusal | None:
    """What is told of a piece does not run back in time."""
    if piece.last_at is None or event.at >= piece.last_at:
        return None
    return late(str(event.piece), event.at, piece.last_at)


def idle(now: Standing, piece: Piece) -> Refusal | None:
    """Nobody is at work on the piece."""
    known = now.pieces.get(piece)
    if known is None or not known.trades:
        return None
    return Refusal(
        str(piece),
        f"at work on it: {', '.join(known.trades)}",
        "A piece stays where and as it is while somebody works on it.",
        "Record first that the work ended.",
    )


def safe(now: Standing, piece: Piece) -> Refusal | None:
    """No safety hold stands on the piece."""
    known = now.pieces.get(piece)
    if known is None or not known.holds or Cause.SAFETY not in known.holds:
        return None
    hold = known.holds[Cause.SAFETY]
    return Refusal(
        str(piece),
        f"safety hold since {hold.at:%Y-%m-%d %H:%M} ({hold.reason or 'no reason given'})",
        "Nothing is moved, worked on, joined or released under a safety hold.",
        "An authorised person must free it; no planner can override it.",
    )


def piece_idle(now: Standing, event: PieceEvent, piece: PieceStanding) -> Refusal | None:
    """Nobody is at work on the piece."""
    return idle(now, event.piece) if piece.trades else None


def piece_safe(now: Standing, event: PieceEvent, piece: PieceStanding) -> Refusal | None:
    """No safety hold stands on the piece."""
    return safe(now, event.piece) if piece.holds else None
