"""What events about record, attendance and factors change, and what must hold for them."""

from pacewright.events.record import Attended, Corrected, FactorDecided, Overridden
from pacewright.events.refusal import Refusal
from pacewright.events.standing import PieceStanding, Standing


def attended(now: Standing, event: Attended, _: None) -> None:
    """The last word for the day stands."""
    now.attended[event.shop_id, event.trade_id, event.day] = (event.people, event.hours)


def factor_decided(now: Standing, event: FactorDecided, _: None) -> None:
    """Nothing stands otherwise; the decision is read by those who learn from the record."""


def overridden(now: Standing, event: Overridden, piece: PieceStanding) -> None:
    """The rule is set aside for the piece until that is used."""
    piece.permits.append(event.rule)


def on_the_books(now: Standing, event: Overridden, piece: PieceStanding | None) -> Refusal | None:
    """A rule is set aside for a vehicle or assembly on the books."""
    if piece is not None:
        return None
    return Refusal(
        str(event.piece),
        "the record does not know it",
        "A rule is set aside for a vehicle or assembly on the books.",
        "Check the number or serial.",
    )


def corrected(now: Standing, event: Corrected, _: None) -> None:
    """Nothing: a correction changes what is folded, before it is folded."""


def not_alone(now: Standing, event: Corrected, _: None) -> Refusal | None:
    """A correction is folded together with the record it mends."""
    return Refusal(
        f"event {event.mends}",
        "a correction without its record",
        "A correction is folded together with the record it mends.",
        "Use fold_record.",
    )
