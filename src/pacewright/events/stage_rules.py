"""What must hold for events on the way through the stages."""

from pacewright.events.refusal import Refusal, not_standing
from pacewright.events.stages import (
    AtStage,
    Freed,
    Held,
    Moved,
    PlaceEvent,
    Rectified,
    StageFinished,
    WorkEnded,
    WorkStarted,
)
from pacewright.events.standing import Phase, PieceStanding, Standing
from pacewright.events.things import WHOLE, Cause


def position_free(now: Standing, event: Moved, piece: PieceStanding) -> Refusal | None:
    """A position holds one piece."""
    others = now.occupied.get((event.stage_id, event.position))
    if not others:
        return None
    there = ", ".join(str(one) for one in others)
    return Refusal(
        f"{event.stage_id} position {event.position}",
        f"{there} stands there",
        "A position holds one piece.",
        f"Check the position, or record first where {there} went.",
    )


def position_in_use(now: Standing, event: Moved, piece: PieceStanding) -> Refusal | None:
    """Nothing is put on a position that is out of use."""
    if not now.out_of_use or (event.stage_id, event.position) not in now.out_of_use:
        return None
    return Refusal(
        f"{event.stage_id} position {event.position}",
        "it is out of use",
        "Nothing is put on a position that is out of use.",
        "Check the position, or record first that it was put into use.",
    )


def at_that_stage(now: Standing, event: AtStage, piece: PieceStanding) -> Refusal | None:
    """What is done at a stage is done to a piece that stands there."""
    if piece.stage_id == event.stage_id:
        return None
    place = piece.stage_id or piece.place_id
    return Refusal(
        str(event.piece),
        f"it stands at {place}" if place else "it stands at no stage",
        f"What is done at {event.stage_id} is done to a piece that stands there.",
        "Check stage and serial, or record first that it moved.",
    )


def trade_not_at_work(now: Standing, event: WorkStarted, piece: PieceStanding) -> Refusal | None:
    """Work of a trade on a piece starts once before it ends."""
    if event.trade_id not in piece.trades:
        return None
    return Refusal(
        str(event.piece),
        f"{event.trade_id} is at work on it already",
        "Work of a trade on a piece starts once before it ends.",
        "Record first that the work ended, or leave this event out.",
    )


def trade_at_work(now: Standing, event: WorkEnded, piece: PieceStanding) -> Refusal | None:
    """Work that ends has started."""
    if event.trade_id in piece.trades:
        return None
    return Refusal(
        str(event.piece),
        f"{event.trade_id} is not at work on it",
        "Work that ends has started.",
        "Record the start first, or check the trade.",
    )


def passed(now: Standing, event: StageFinished, piece: PieceStanding) -> Refusal | None:
    """A stage is finished when nothing there stands failed."""
    if not piece.failed:
        return None
    return Refusal(
        str(event.piece),
        f"it failed at {piece.stage_id}",
        "A stage is finished when nothing there stands failed.",
        "Record first that it was rectified.",
    )


def has_failed(now: Standing, event: Rectified, piece: PieceStanding) -> Refusal | None:
    """Only what failed is rectified."""
    if piece.failed:
        return None
    return Refusal(
        str(event.piece),
        "it has not failed",
        "Only what failed is rectified.",
        "Record the failure first, or check the serial.",
    )


def can_stand_idle(now: Standing, event: Held, piece: PieceStanding | None) -> Refusal | None:
    """A piece is held inside the works, or at the gate."""
    if piece is not None and piece.stands:
        return None
    if event.piece.assembly_id == WHOLE:
        vehicle = now.vehicles.get(event.piece.serial)
        if vehicle is not None and vehicle.phase is Phase.AT_GATE:
            return None
    return not_standing(now, event.piece)


def is_held(now: Standing, event: Freed, piece: PieceStanding | None) -> Refusal | None:
    """Only a hold that stands is ended, and a safety hold by a named person."""
    if piece is None or event.cause not in piece.holds:
        return Refusal(
            str(event.piece),
            f"no hold for {event.cause.value} stands on it",
            "Only a hold that stands is ended.",
            "Check serial and cause.",
        )
    if event.cause is Cause.SAFETY and not event.freed_by.strip():
        return Refusal(
            str(event.piece),
            "nobody is named",
            "A safety hold is ended by an authorised person.",
            "Name who freed it.",
        )
    return None


def in_use(now: Standing, event: PlaceEvent, _: None) -> Refusal | None:
    """Only what is in use is put out of use."""
    if (event.place_id, event.position) not in now.out_of_use:
        return None
    return Refusal(
        f"{event.place_id} position {event.position}",
        "it is out of use already",
        "Only what is in use is put out of use.",
        "Check the position.",
    )


def not_in_use(now: Standing, event: PlaceEvent, _: None) -> Refusal | None:
    """Only what is out of use is put into use."""
    if (event.place_id, event.position) in now.out_of_use:
        return None
    return Refusal(
        f"{event.place_id} position {event.position}",
        "it is in use",
        "Only what is out of use is put into use.",
        "Check the position.",
    )
