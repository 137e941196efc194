"""At the door: on a vehicle that is lifted or moved nobody else works."""

from pacewright.control.door_facts import Facts
from pacewright.events.refusal import Refusal
from pacewright.events.stages import WorkStarted
from pacewright.events.standing import PieceStanding, Standing
from pacewright.events.things import Piece

_RULE = "While a vehicle is lifted, lowered or moved nobody else works on it."


def operation_named(facts: Facts, now: Standing, event: WorkStarted) -> Refusal | None:
    """A trade that lifts or moves vehicles at a stage says, when it begins there, with which
    operation.
    """
    if event.operation_id or (event.stage_id, event.trade_id) not in facts.moving_at:
        return None
    moving = ", ".join(facts.moving_at[event.stage_id, event.trade_id])
    return Refusal(
        str(event.piece),
        f"{event.trade_id} begins at {event.stage_id} and does not say with what",
        f"Work of this trade here may move the vehicle ({moving}).",
        "Name the operation.",
    )


def operation_of_trade(facts: Facts, now: Standing, event: WorkStarted) -> Refusal | None:
    """The operation begun is one of the trade that begins it, at that stage."""
    operation = facts.operations.get(event.operation_id)
    if operation is None:
        return None
    if operation.trade_id == event.trade_id and operation.stage_id == event.stage_id:
        return None
    return Refusal(
        str(event.piece),
        f"{event.operation_id} is work of {operation.trade_id} at "
        f"{operation.stage_id or operation.unit_kind_id}",
        "The operation begun is one of the trade that begins it, at that stage.",
        "Correct operation, trade or stage.",
    )


def alone_on_it(facts: Facts, now: Standing, event: WorkStarted) -> Refusal | None:
    """While a vehicle is lifted, lowered or moved nobody else works on it, nor on what stands on
    the same position; no one can override this.
    """
    piece = now.pieces.get(event.piece)
    if piece is None:
        return None
    moves = _moves(facts, event.operation_id)
    for near in _on_position(now, piece):
        if not near.trades:
            continue
        lifted = [trade for trade, one in near.doing.items() if _moves(facts, one)]
        if not moves and not lifted:
            continue
        at_work = ", ".join(near.trades)
        return Refusal(
            str(event.piece),
            f"{event.operation_id} moves it, and at work on {near.piece}: {at_work}"
            if moves
            else f"{', '.join(lifted)} is moving {near.piece} ({', '.join(near.doing.values())})",
            _RULE,
            "Record first that the other work ended; support the vehicle before any work on it.",
        )
    return None


def _moves(facts: Facts, operation_id: str) -> bool:
    operation = facts.operations.get(operation_id)
    return operation is not None and operation.moves_vehicle


def _on_position(now: Standing, piece: PieceStanding) -> list[PieceStanding]:
    there: list[Piece] = now.occupied.get((piece.stage_id, piece.position), [])
    return [now.pieces[one] for one in there] or [piece]
