"""What events on the way through the stages change."""

from pacewright.events.stages import (
    Failed,
    Found,
    Freed,
    Held,
    Moved,
    PutIntoUse,
    PutOutOfUse,
    Rectified,
    Redone,
    StageFinished,
    Stored,
    Tested,
    WorkEnded,
    WorkStarted,
)
from pacewright.events.standing import PieceStanding, Standing
from pacewright.events.things import Cause, Overridable


def leave(now: Standing, piece: PieceStanding) -> None:
    """The piece stands nowhere; the position it had is free when nothing else stands there."""
    if piece.position:
        here = (piece.stage_id, piece.position)
        others = now.occupied[here]
        others.remove(piece.piece)
        if not others:
            del now.occupied[here]
    piece.stage_id = piece.place_id = ""
    piece.position = 0
    piece.finished = False
    if piece.began:
        piece.began.clear()


def stand_at(now: Standing, piece: PieceStanding, stage_id: str, position: int) -> None:
    """The piece stands on a position."""
    piece.stage_id, piece.position = stage_id, position
    now.occupied.setdefault((stage_id, position), []).append(piece.piece)


def use_permit(piece: PieceStanding) -> None:
    """A route set aside for the piece holds for one step."""
    if Overridable.ROUTE in piece.permits:
        piece.permits.remove(Overridable.ROUTE)


def _wait_over(piece: PieceStanding) -> None:
    if piece.holds:
        safety = piece.holds.get(Cause.SAFETY)
        piece.holds = {} if safety is None else {Cause.SAFETY: safety}


def moved(now: Standing, event: Moved, piece: PieceStanding) -> None:
    """The piece stands on the new position and no longer on the old."""
    leave(now, piece)
    stand_at(now, piece, event.stage_id, event.position)
    piece.last_at = piece.since = event.at
    if piece.holds:
        _wait_over(piece)
    if piece.permits:
        use_permit(piece)


def stored(now: Standing, event: Stored, piece: PieceStanding) -> None:
    """The piece stands in a store and its position is free."""
    leave(now, piece)
    piece.place_id = event.place_id
    piece.last_at = piece.since = event.at


def work_started(now: Standing, event: WorkStarted, piece: PieceStanding) -> None:
    """The trade is at work; the piece waits no longer."""
    piece.trades.append(event.trade_id)
    if event.operation_id:
        piece.doing[event.trade_id] = event.operation_id
    piece.began[event.trade_id] = event.at
    piece.finished = False
    piece.last_at = event.at
    if piece.holds:
        _wait_over(piece)


def work_ended(now: Standing, event: WorkEnded, piece: PieceStanding) -> None:
    """The trade is no longer at work."""
    piece.trades.remove(event.trade_id)
    if piece.doing:
        piece.doing.pop(event.trade_id, None)
    piece.last_at = event.at


def stage_finished(now: Standing, event: StageFinished, piece: PieceStanding) -> None:
    """The piece may go on."""
    piece.finished = True
    if event.stage_id not in piece.done:
        piece.done.append(event.stage_id)
    piece.last_at = event.at


def failed(now: Standing, event: Failed, piece: PieceStanding) -> None:
    """The piece is not passed until it is rectified."""
    piece.failed = True
    piece.finished = False
    piece.began.clear()
    piece.last_at = event.at


def rectified(now: Standing, event: Rectified, piece: PieceStanding) -> None:
    """The failure is put right."""
    piece.failed = False
    piece.last_at = event.at


def redone(now: Standing, event: Redone, piece: PieceStanding) -> None:
    """Work was done again; the piece stands as it stood."""
    piece.last_at = event.at


def tested(now: Standing, event: Tested, piece: PieceStanding) -> None:
    """The last result of the item stands."""
    piece.tests[event.item_id] = event
    piece.last_at = event.at


def found(now: Standing, event: Found, piece: PieceStanding) -> None:
    """The last finding of the item stands."""
    piece.found[event.item_id] = event
    piece.last_at = event.at


def held(now: Standing, event: Held, piece: PieceStanding) -> None:
    """The piece stands for that cause."""
    piece.holds[event.cause] = event
    piece.last_at = event.at


def freed(now: Standing, event: Freed, piece: PieceStanding) -> None:
    """The hold is over."""
    piece.holds.pop(event.cause, None)
    piece.last_at = event.at


def put_out_of_use(now: Standing, event: PutOutOfUse, _: None) -> None:
    """Nothing may be put there."""
    now.out_of_use.add((event.place_id, event.position))


def put_into_use(now: Standing, event: PutIntoUse, _: None) -> None:
    """It may be used again."""
    now.out_of_use.discard((event.place_id, event.position))
