"""What events of units change."""

from datetime import datetime

from pacewright.events.standing import OpenOrder, Standing, UnitStanding
from pacewright.events.things import WHOLE, Condition, Overridable, Piece, Verdict
from pacewright.events.units import (
    AgeTold,
    Cleared,
    Fitted,
    Issued,
    Missed,
    Ordered,
    Purchased,
    Quarantined,
    Received,
    Reconditioned,
    Removed,
    Robbed,
    RobbingAsked,
    RobbingDeclined,
    Scrapped,
    SeenOn,
    Sent,
    UnitEntered,
    UnitFound,
)


def unit_entered(now: Standing, event: UnitEntered, _: UnitStanding | None) -> None:
    """The unit is on the books."""
    now.units[event.unit] = UnitStanding(
        event.unit, event.condition, event.at, place_id=event.place_id
    )


def ordered(now: Standing, event: Ordered, _: None) -> None:
    """The order is open."""
    waiting = now.orders.setdefault(event.unit_kind_id, [])
    waiting.append(OpenOrder(event.at, event.due_in, event.units, event.reference))
    # An order told late may be older than one told before it.
    waiting.sort(key=lambda one: one.ordered_at)


def purchased(now: Standing, event: Purchased, _: UnitStanding | None) -> None:
    """A new unit is on the books, serviceable; one less is to come on the oldest open order."""
    kind = event.unit.unit_kind_id
    now.bought[kind] = now.bought.get(kind, 0) + 1
    waiting = now.orders.get(kind)
    if waiting:
        oldest = waiting[0]
        if oldest.units == 1:
            del waiting[0]
        else:
            waiting[0] = oldest._replace(units=oldest.units - 1)
    now.units[event.unit] = UnitStanding(
        event.unit,
        Condition.SERVICEABLE,
        event.at,
        place_id=event.place_id,
        made_good_at=event.at,
        made_on=event.at.date(),
        used_before=0.0,
        age_from=event.at,
    )


def age_told(now: Standing, event: AgeTold, unit: UnitStanding) -> None:
    """Age and use count from what was read."""
    if event.made_on is not None:
        unit.made_on = event.made_on
    if event.used_distance is not None:
        unit.used_before, unit.age_from = event.used_distance, event.at
    unit.last_at = event.at


def removed(now: Standing, event: Removed, unit: UnitStanding | None) -> None:
    """The unit is unserviceable where the vehicle stands, and one of its kind is owed."""
    if unit is None:
        unit = UnitStanding(event.unit, Condition.UNSERVICEABLE, event.at)
        now.units[event.unit] = unit
    _take_off(now, unit, event.off, event.at)
    unit.condition = Condition.UNSERVICEABLE
    piece = now.pieces[event.off]
    unit.place_id = piece.stage_id or piece.place_id


def _take_off(now: Standing, unit: UnitStanding, off: Piece, at: datetime) -> None:
    carrier = unit.onto or _carrier(now, off)
    now.unit_links.part(unit.unit, carrier, at)
    unit.onto = unit.fitted_at = None
    unit.last_at = at
    account = now.account(off)
    kind = unit.unit.unit_kind_id
    account[kind] = account.get(kind, 0) + 1


def _carrier(now: Standing, piece: Piece) -> Piece:
    # A unit fitted to a vehicle in pieces is on its lead, which may get another number.
    if piece.assembly_id == WHOLE:
        vehicle = now.vehicles[piece.serial]
        if vehicle.parted and vehicle.lead is not None:
            return vehicle.lead
    return piece


def seen_on(now: Standing, event: SeenOn, unit: UnitStanding | None) -> None:
    """The books follow the eye; only a unit that was serviceable still is."""
    if unit is None:
        unit = UnitStanding(event.unit, Condition.UNSERVICEABLE, event.at)
        now.units[event.unit] = unit
    if unit.onto is not None:
        now.unit_links.part(event.unit, unit.onto, event.at)
    if unit.condition is not Condition.SERVICEABLE:
        unit.condition = Condition.UNSERVICEABLE
    unit.onto = _carrier(now, event.on)
    now.unit_links.join(event.unit, unit.onto, event.at)
    unit.place_id, unit.on_way, unit.issued_to = "", False, None
    # Where it ran until it was seen there nobody told.
    unit.used_before = unit.fitted_at = None
    unit.last_at = event.at


def missed(now: Standing, event: Missed, unit: UnitStanding) -> None:
    """It is on nothing, and nobody knows what became of it."""
    if unit.onto is not None:
        now.unit_links.part(event.unit, unit.onto, event.at)
    unit.condition = Condition.QUARANTINE
    unit.onto = unit.fitted_at = unit.used_before = None
    unit.place_id = event.place_id
    unit.last_at = event.at


def sent(now: Standing, event: Sent, unit: UnitStanding) -> None:
    """The unit is on its way."""
    unit.place_id = event.place_id
    unit.on_way = True
    unit.last_at = event.at


def received(now: Standing, event: Received, unit: UnitStanding) -> None:
    """The unit is there, and issued to nothing."""
    unit.place_id = event.place_id
    unit.on_way = False
    unit.issued_to = None
    unit.last_at = event.at


def unit_found(now: Standing, event: UnitFound, unit: UnitStanding) -> None:
    """The finding stands; unless it says use, a serviceable unit is so no more."""
    unit.found[event.item_id] = event
    if event.verdict is not Verdict.USE and unit.condition is Condition.SERVICEABLE:
        unit.condition = Condition.UNSERVICEABLE
        unit.issued_to = None
    unit.last_at = event.at


def reconditioned(now: Standing, event: Reconditioned, unit: UnitStanding) -> None:
    """The unit is serviceable; earlier findings are settled."""
    unit.condition = Condition.SERVICEABLE
    unit.made_good_at = unit.last_at = event.at
    if unit.found:
        unit.found.clear()
    if event.shop_id:
        unit.place_id, unit.on_way = event.shop_id, False


def scrapped(now: Standing, event: Scrapped, unit: UnitStanding) -> None:
    """The unit is gone for good."""
    unit.condition = Condition.SCRAPPED
    unit.place_id, unit.on_way, unit.issued_to = "", False, None
    unit.last_at = event.at


def quarantined(now: Standing, event: Quarantined, unit: UnitStanding) -> None:
    """The unit is set aside."""
    unit.condition = Condition.QUARANTINE
    unit.issued_to = None
    unit.last_at = event.at


def cleared(now: Standing, event: Cleared, unit: UnitStanding) -> None:
    """The unit may be made good."""
    unit.condition = Condition.UNSERVICEABLE
    unit.last_at = event.at


def issued(now: Standing, event: Issued, unit: UnitStanding) -> None:
    """The unit is for that piece and no other."""
    unit.issued_to = event.to
    unit.last_at = event.at


def fitted(now: Standing, event: Fitted, unit: UnitStanding) -> None:
    """The unit is on the piece; one less of its kind is owed."""
    carrier = _carrier(now, event.onto)
    now.unit_links.join(event.unit, carrier, event.at)
    unit.onto = carrier
    unit.place_id, unit.on_way, unit.issued_to = "", False, None
    unit.last_at = unit.fitted_at = event.at
    kind = event.unit.unit_kind_id
    account = now.debtor(event.onto, kind)
    if account is None:
        permits = now.pieces[event.onto].permits
        if Overridable.OWED in permits:
            permits.remove(Overridable.OWED)
    elif account[kind] == 1:
        del account[kind]
    else:
        account[kind] -= 1


def robbed(now: Standing, event: Robbed, unit: UnitStanding) -> None:
    """The unit is off one and for the other; what it was fitted to is owed one."""
    if unit.onto is not None:
        _take_off(now, unit, event.off, event.at)
        piece = now.pieces[event.off]
        unit.place_id = piece.stage_id or piece.place_id
    unit.issued_to = event.to
    unit.last_at = event.at
    now.robberies.append(event)
    now.robbing_asked.pop(event.unit, None)


def robbing_asked(now: Standing, event: RobbingAsked, unit: UnitStanding) -> None:
    """It waits for a second approval; nothing is moved."""
    now.robbing_asked[event.unit] = event


def robbing_declined(now: Standing, event: RobbingDeclined, unit: UnitStanding) -> None:
    """It waits no more."""
    now.robbing_asked.pop(event.unit, None)
