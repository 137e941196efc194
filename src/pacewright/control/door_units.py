"""At the door: a unit fits what it goes on, there is room for it, and its life is not run out."""

from datetime import datetime

from pacewright.control.door_facts import Facts, type_of_piece
from pacewright.events.follow import distance_used
from pacewright.events.refusal import Refusal
from pacewright.events.standing import PieceStanding, Standing, UnitStanding
from pacewright.events.things import Piece, Unit
from pacewright.events.units import Fitted, Issued, Removed, Robbed, RobbingAsked, SeenOn
from pacewright.fleet.months import add_months
from pacewright.parts.tables import Fit, UnitKind

GoesOn = Fitted | Issued | Robbed | RobbingAsked


def _onto(event: GoesOn) -> Piece:
    return event.onto if isinstance(event, Fitted) else event.to


def fits_type(facts: Facts, now: Standing, event: GoesOn) -> Refusal | None:
    """A unit goes only onto a vehicle type that carries its kind."""
    return _not_carried(facts, now, event.unit, _onto(event))


def came_off_its_type(facts: Facts, now: Standing, event: Removed | SeenOn) -> Refusal | None:
    """A unit comes off, and is seen on, a vehicle type that carries its kind."""
    return _not_carried(
        facts, now, event.unit, event.off if isinstance(event, Removed) else event.on
    )


def _not_carried(facts: Facts, now: Standing, unit: Unit, carrier: Piece) -> Refusal | None:
    piece, kind = now.pieces.get(carrier), unit.unit_kind_id
    if piece is None or kind not in facts.kinds:
        return None
    type_id = type_of_piece(now, piece)
    if not type_id or (kind, type_id) in facts.fits:
        return None
    types = ", ".join(sorted(facts.carriers.get(kind, ())))
    return Refusal(
        str(unit),
        f"{carrier} is of type {type_id}; a {kind} fits {types or 'no type'}",
        "A unit is on a vehicle type that carries its kind.",
        "Check kind, serial and vehicle, or add the row to fits.",
    )


def fits_modification(facts: Facts, now: Standing, event: GoesOn) -> Refusal | None:
    """A unit that needs a campaign, or is barred by it, goes only on vehicles so modified."""
    carrier = now.pieces.get(_onto(event))
    if carrier is None:
        return None
    fit = facts.fits.get((event.unit.unit_kind_id, type_of_piece(now, carrier)))
    if fit is None or suits(fit, campaigns_of(now, carrier)):
        return None
    needed, barred = fit.needs_campaign_id, fit.until_campaign_id
    wanted = [f"after campaign {needed}"] if needed else []
    wanted += [f"before campaign {barred}"] if barred else []
    done = ", ".join(campaigns_of(now, carrier)) or "none"
    return Refusal(
        str(event.unit),
        f"a {fit.unit_kind_id} fits {' and '.join(wanted)}; done on {carrier.piece}: {done}",
        "A unit goes on vehicles in the modification state it is made for.",
        "Take a unit of the other kind, or record first that the campaign was done.",
    )


def campaigns_of(now: Standing, piece: PieceStanding) -> list[str]:
    """Campaigns done on the vehicle a piece belongs to, or was last parted from."""
    number = piece.vehicle_id or piece.came_from
    return now.whole(number).campaigns if number else piece.campaigns


def suits(fit: Fit, campaigns: list[str]) -> bool:
    """True when a vehicle with these campaigns done can carry the unit."""
    needs, until = fit.needs_campaign_id, fit.until_campaign_id
    return (needs is None or needs in campaigns) and (until is None or until not in campaigns)


def room_for_it(facts: Facts, now: Standing, event: Fitted) -> Refusal | None:
    """No more units of a kind are on a vehicle, or assembly, than a vehicle carries."""
    piece = now.pieces.get(event.onto)
    if piece is None:
        return None
    fit = facts.fits.get((event.unit.unit_kind_id, type_of_piece(now, piece)))
    if fit is None:
        return None
    there = _on(now, piece, fit.unit_kind_id)
    if len(there) < fit.per_vehicle:
        return None
    return Refusal(
        str(event.unit),
        f"on {event.onto} already: {', '.join(map(str, sorted(there)))}",
        f"A vehicle of type {fit.type_id} carries {fit.per_vehicle} {fit.unit_kind_id}.",
        "Check vehicle and serial; record first what came off, or what was missed on it.",
    )


def not_more_off_than_on(facts: Facts, now: Standing, event: Removed) -> Refusal | None:
    """No more units of a kind come off a vehicle, or assembly, than a vehicle carries."""
    piece, kind = now.pieces.get(event.off), event.unit.unit_kind_id
    if piece is None:
        return None
    fit = facts.fits.get((kind, type_of_piece(now, piece)))
    if fit is None:
        return None
    owed = now.account(event.off).get(kind, 0)
    if owed < fit.per_vehicle:
        rest = [one for one in _on(now, piece, kind) if one != event.unit]
        if owed + len(rest) < fit.per_vehicle:
            return None
    return Refusal(
        str(event.unit),
        f"{owed} {kind} came off {event.off} and are owed to it; "
        f"known on it: {len(_on(now, piece, kind))}",
        f"A vehicle of type {fit.type_id} carries {fit.per_vehicle} {kind}.",
        "Check vehicle and serial; where the books have one on it that is not there, record "
        "first that it was missed.",
    )


def _on(now: Standing, piece: PieceStanding, kind: str) -> list[Unit]:
    on = now.unit_links.on
    parts = now.parts_of(piece.vehicle_id) if piece.vehicle_id else (piece.piece,)
    return [unit for part in parts for unit in on.get(part, ()) if unit.unit_kind_id == kind]


def life_left(facts: Facts, now: Standing, event: GoesOn) -> Refusal | None:
    """Nothing past its life is issued or fitted, nor a life-limited unit of unknown age; no one
    can override this.
    """
    kind, unit = facts.kinds.get(event.unit.unit_kind_id), now.units.get(event.unit)
    if unit is None or kind is None:
        return None
    found = _by_distance(now, unit, kind, event.at) or _by_time(unit, kind, event.at)
    if found is None:
        return None
    return Refusal(
        str(event.unit),
        found,
        "Nothing past its life is fitted, and unknown is unknown; no one can override this.",
        "Take another. If plate or papers tell its age, record that first.",
    )


def _by_distance(now: Standing, unit: UnitStanding, kind: UnitKind, at: datetime) -> str | None:
    if kind.life_distance is None:
        return None
    since = None if unit.used_before is None else distance_used(now, unit.unit, at, unit.age_from)
    if unit.used_before is None or since is None:
        return f"how far it has run is not known; its life is {kind.life_distance:g}"
    used = unit.used_before + since
    return None if used < kind.life_distance else f"it has run {used:g} of {kind.life_distance:g}"


def _by_time(unit: UnitStanding, kind: UnitKind, at: datetime) -> str | None:
    if kind.life_months is None:
        return None
    if unit.made_on is None:
        return f"when it was new is not known; its life is {kind.life_months:g} months"
    last = add_months(unit.made_on, kind.life_months)
    return None if at.date() <= last else f"its life of {kind.life_months:g} months ended on {last}"


def fitted_this_visit(now: Standing, vehicle_id: str, kind: str) -> int:
    """Units of a kind on a vehicle that were fitted since it, or its assembly, came in."""
    count = 0
    for part in now.parts_of(vehicle_id):
        came_in = now.pieces[part].came_in or now.whole(vehicle_id).came_in
        for unit in now.unit_links.on.get(part, ()):
            fitted_at = now.units[unit].fitted_at
            if unit.unit_kind_id == kind and fitted_at is not None and came_in is not None:
                count += fitted_at >= came_in
    return count
