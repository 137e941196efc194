"""What must hold for events of units: one place each, and nothing unserviceable is fitted."""

from pacewright.events.refusal import Refusal, late, outside, safe
from pacewright.events.standing import Standing, UnitStanding
from pacewright.events.things import WHOLE, Condition, Overridable, Piece, Verdict
from pacewright.events.units import (
    AgeTold,
    Cleared,
    Fitted,
    Issued,
    Missed,
    Ordered,
    Reconditioned,
    Removed,
    Robbed,
    RobbingAsked,
    SeenOn,
    UnitEntered,
    UnitEvent,
)


def _where(unit: UnitStanding) -> str:
    if unit.condition is Condition.SCRAPPED:
        return "it was scrapped"
    if unit.onto is not None:
        return f"it is on {unit.onto}"
    if unit.on_way:
        return f"it is on its way to {unit.place_id}"
    return f"it is at {unit.place_id or 'a place not told'}"


def new_unit(now: Standing, event: UnitEvent, unit: UnitStanding | None) -> Refusal | None:
    """A unit is entered once."""
    if unit is None:
        return None
    return Refusal(
        str(event.unit),
        f"it is on the books: {_where(unit)}",
        "A unit is entered once.",
        "Check kind and serial.",
    )


def not_entered_scrapped(
    now: Standing, event: UnitEntered, unit: UnitStanding | None
) -> Refusal | None:
    """No scrap is entered."""
    if event.condition is not Condition.SCRAPPED:
        return None
    return Refusal(
        str(event.unit), "scrapped", "No scrap is entered in the books.", "Leave it out."
    )


def due_after_order(now: Standing, event: Ordered, _: None) -> Refusal | None:
    """What is ordered comes in on the day of the order or later."""
    if event.due_in >= event.at.date():
        return None
    return Refusal(
        f"order of {event.unit_kind_id}",
        f"due in on {event.due_in}, before {event.at:%Y-%m-%d}",
        "What is ordered comes in on the day of the order or later.",
        "Correct the day, or tell when it was ordered.",
    )


def age_is_told(now: Standing, event: AgeTold, unit: UnitStanding) -> Refusal | None:
    """The age of a unit is a day up to now, or a distance, or both."""
    if event.made_on is None and event.used_distance is None:
        found, remedy = "neither a day nor a distance is given", "Give what is known, or nothing."
    elif event.made_on is not None and event.made_on > event.at.date():
        found, remedy = f"made on {event.made_on}, after {event.at:%Y-%m-%d}", "Correct the day."
    else:
        return None
    rule = "The age of a unit is a day up to now, or a distance, or both."
    return Refusal(str(event.unit), found, rule, remedy)


def unit_known(now: Standing, event: UnitEvent, unit: UnitStanding | None) -> Refusal | None:
    """The record knows the unit, and it was not scrapped."""
    if unit is not None and unit.condition is not Condition.SCRAPPED:
        return None
    return Refusal(
        str(event.unit),
        "the record does not know it" if unit is None else "it was scrapped",
        "The unit must be on the books and not scrapped.",
        "Check kind and serial.",
    )


def unit_in_time(now: Standing, event: UnitEvent, unit: UnitStanding | None) -> Refusal | None:
    """What is told of a unit does not run back in time."""
    if unit is None or event.at >= unit.last_at:
        return None
    return late(str(event.unit), event.at, unit.last_at)


def unit_off(now: Standing, event: UnitEvent, unit: UnitStanding) -> Refusal | None:
    """A unit is in one place: on nothing, when this is done to it."""
    if unit.onto is None:
        return None
    return Refusal(
        str(event.unit),
        _where(unit),
        "A unit is in one place.",
        f"Check the serial, or record first that it came off {unit.onto}.",
    )


def comes_off_there(
    now: Standing, event: Removed | Missed, unit: UnitStanding | None
) -> Refusal | None:
    """A unit comes off what it is on."""
    if unit is None or (unit.onto is not None and now.is_on(unit.onto, event.off)):
        return None
    return Refusal(
        str(event.unit),
        f"by the books {_where(unit)}, not on {event.off}",
        "A unit is in one place.",
        f"Check the serial; if it was changed elsewhere record first that it was seen on "
        f"{event.off}.",
    )


def piece_inside(now: Standing, piece: Piece, event: UnitEvent) -> Refusal | None:
    """Units come off and go on inside the works, after the vehicle was let in."""
    known = now.pieces.get(piece)
    if known is None or known.scrapped:
        return Refusal(
            str(piece),
            "the record does not know it" if known is None else "it was scrapped",
            "Units come off and go on inside the works.",
            "Check the number or serial.",
        )
    if not known.vehicle_id:
        return None
    barred = outside(now, known.vehicle_id)
    if barred is not None:
        return barred
    let_in = now.vehicles[known.vehicle_id].admitted_at
    return late(f"vehicle {known.vehicle_id}", event.at, let_in, "when it was let in")


def under_hold(now: Standing, piece: Piece) -> Refusal | None:
    """The safety hold on a piece, or on what it is part of; None: there is none."""
    known = now.pieces.get(piece)
    if known is None:
        return None
    stands = now.stands_at(known.vehicle_id).piece if known.vehicle_id else piece
    return safe(now, stands)


def off_is_safe(
    now: Standing, event: Removed | Robbed | RobbingAsked, unit: UnitStanding | None
) -> Refusal | None:
    """Nothing comes off under a safety hold; a unit that was only issued may be had."""
    if isinstance(event, Robbed | RobbingAsked) and unit is not None and unit.onto is None:
        return None
    return under_hold(now, event.off)


def off_is_inside(
    now: Standing, event: Removed | Robbed | RobbingAsked, unit: UnitStanding | None
) -> Refusal | None:
    """What a unit comes off is inside the works."""
    return piece_inside(now, event.off, event)


def onto_is_inside(now: Standing, event: Fitted, unit: UnitStanding) -> Refusal | None:
    """What a unit goes on is inside the works, and under no safety hold."""
    return piece_inside(now, event.onto, event) or under_hold(now, event.onto)


def to_is_inside(
    now: Standing, event: Issued | Robbed | RobbingAsked, unit: UnitStanding
) -> Refusal | None:
    """What a unit is meant for is inside the works."""
    return piece_inside(now, event.to, event)


def seen_on_something(now: Standing, event: SeenOn, unit: UnitStanding | None) -> Refusal | None:
    """A unit is seen on a vehicle or assembly of the books, once."""
    if event.on not in now.pieces:
        found, remedy = f"{event.on} is not on the books", "Check the number or serial."
    elif unit is not None and unit.onto is not None and _told(now, unit.onto, event.on):
        found, remedy = f"the books say so already: {_where(unit)}", "Leave this event out."
    else:
        return None
    return Refusal(str(event.unit), found, "A unit is seen where the books do not have it.", remedy)


def _told(now: Standing, onto: Piece, on: Piece) -> bool:
    # Seen on the frame of the vehicle the books name alone is news; the other way about is not.
    return onto == on or (on.assembly_id == WHOLE and now.is_on(onto, on))


def serviceable(now: Standing, event: UnitEvent, unit: UnitStanding) -> Refusal | None:
    """Nothing but a serviceable unit is issued or fitted; no one can override this."""
    if unit.condition is Condition.SERVICEABLE:
        return None
    return Refusal(
        str(event.unit),
        f"it is {unit.condition.value}",
        "Nothing but a serviceable unit is issued or fitted; no one can override this.",
        "Take another, or record first that its shop made it good.",
    )


def not_promised_away(now: Standing, event: Fitted | Issued, unit: UnitStanding) -> Refusal | None:
    """A unit issued for one vehicle goes to no other."""
    meant = event.onto if isinstance(event, Fitted) else event.to
    if unit.issued_to is None or now.is_on(unit.issued_to, meant):
        return None
    return Refusal(
        str(event.unit),
        f"it was issued for {unit.issued_to}",
        "A unit issued for one vehicle goes to no other.",
        "Take another, record first that it was received back, or rob it with two approvals.",
    )


def is_owed(now: Standing, event: Fitted, unit: UnitStanding) -> Refusal | None:
    """A unit goes only where one of its kind is owed."""
    piece = now.pieces.get(event.onto)
    kind = event.unit.unit_kind_id
    if piece is None or now.debtor(event.onto, kind) is not None:
        return None
    if Overridable.OWED in piece.permits:
        return None
    return Refusal(
        str(event.unit),
        f"no {kind} is owed to {event.onto}",
        "A unit goes only where one of its kind came off.",
        "Check the vehicle; record first what came off; or an authorised person overrides "
        "'owed' and says why (a modification).",
    )


def not_in_quarantine(now: Standing, event: UnitEvent, unit: UnitStanding) -> Refusal | None:
    """What is in quarantine stays so until it is cleared."""
    if unit.condition is not Condition.QUARANTINE:
        return None
    return Refusal(
        str(event.unit),
        "it is in quarantine",
        "What is in quarantine stays so until an authorised person clears it.",
        "Record first that it was cleared.",
    )


def in_quarantine(now: Standing, event: Cleared, unit: UnitStanding) -> Refusal | None:
    """Only what is in quarantine is cleared."""
    if unit.condition is Condition.QUARANTINE:
        return None
    return Refusal(
        str(event.unit),
        f"it is {unit.condition.value}",
        "Only what is in quarantine is cleared.",
        "Check kind and serial.",
    )


def not_condemned(now: Standing, event: Reconditioned, unit: UnitStanding) -> Refusal | None:
    """A unit condemned at inspection is not made good."""
    items = [i for i, one in unit.found.items() if one.verdict is Verdict.SCRAP]
    if not items:
        return None
    return Refusal(
        str(event.unit),
        f"verdict scrap on {', '.join(items)}",
        "A unit condemned at inspection is not made good.",
        "Record that it was scrapped, or a new finding on the same item.",
    )


def on_or_meant_for(
    now: Standing, event: Robbed | RobbingAsked, unit: UnitStanding
) -> Refusal | None:
    """A unit is robbed from what it is on, or was issued for, for another."""
    has = unit.onto or unit.issued_to
    if has is not None and now.is_on(has, event.off) and not now.is_on(has, event.to):
        return None
    return Refusal(
        str(event.unit),
        f"by the books {_where(unit)}"
        + (f", issued for {unit.issued_to}" if unit.issued_to else ""),
        "A unit is robbed from what it is on, or was issued for, for another.",
        "Check the serial; a unit of the pool is issued, not robbed.",
    )


def two_approve(now: Standing, event: Robbed, unit: UnitStanding) -> Refusal | None:
    """Robbing is approved by two persons."""
    if event.approved_by.strip().casefold() != event.second_approval.strip().casefold():
        return None
    return Refusal(
        str(event.unit),
        f"{event.approved_by} approved it twice",
        "Robbing is approved by two persons.",
        "Name the second.",
    )
