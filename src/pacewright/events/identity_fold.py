"""What parting, marriage and new numbers change."""

from datetime import datetime

from pacewright.events.identity import (
    Married,
    Modified,
    Parted,
    PieceEntered,
    PieceScrapped,
    Renumbered,
    Stripped,
)
from pacewright.events.stage_fold import leave, stand_at, use_permit
from pacewright.events.standing import PieceStanding, Standing, VehicleStanding
from pacewright.events.things import Piece


def known_piece(now: Standing, piece: Piece) -> PieceStanding:
    """The piece; one not heard of before is entered in the books."""
    known = now.pieces.get(piece)
    if known is None:
        known = now.pieces[piece] = PieceStanding(piece)
    return known


def stripped(now: Standing, event: Stripped, vehicle: VehicleStanding) -> None:
    """The scope of the vehicle can be closed."""
    vehicle.stripped_at = event.at
    now.whole(event.vehicle_id).last_at = event.at


def parted(now: Standing, event: Parted, vehicle: VehicleStanding) -> None:
    """The pieces stand where the vehicle stood; all but the lead lose its number."""
    whole = now.whole(event.vehicle_id)
    stage_id, position, place_id = whole.stage_id, whole.position, whole.place_id
    finished = whole.finished
    done = whole.done.copy()
    leave(now, whole)
    use_permit(whole)
    whole.stands = False
    whole.last_at = event.at
    whole.holds.clear()
    for one in event.pieces:
        piece = known_piece(now, one)
        piece.stands = True
        piece.finished = finished
        piece.last_at = piece.since = event.at
        piece.came_from = event.vehicle_id
        piece.type_id = vehicle.type_id
        piece.came_in, piece.done = whole.came_in, done.copy()
        piece.place_id = place_id
        if position:
            stand_at(now, piece, stage_id, position)
        piece.vehicle_id = ""
    lead = event.pieces[0]
    now.pieces[lead].vehicle_id = event.vehicle_id
    if now.piece_links.now_on(lead) is None:
        now.piece_links.join(lead, whole.piece, None)
    for one in event.pieces[1:]:
        now.piece_links.part(one, whole.piece, event.at)
    vehicle.lead, vehicle.parted = lead, True


def married(now: Standing, event: Married, vehicle: VehicleStanding) -> None:
    """The vehicle stands where its lead stood; the pieces are part of it, what they did done."""
    whole = now.whole(event.vehicle_id)
    lead = now.pieces[event.pieces[0]]
    stage_id, position, place_id = lead.stage_id, lead.position, lead.place_id
    whole.finished = lead.finished
    for one in event.pieces:
        piece = now.pieces[one]
        leave(now, piece)
        piece.stands = False
        piece.last_at = event.at
        piece.vehicle_id = event.vehicle_id
        piece.holds.clear()
        _hand_on(piece, whole)
        whole.done += [stage_id for stage_id in piece.done if stage_id not in whole.done]
        use_permit(piece)
    use_permit(whole)
    for one in event.pieces[1:]:
        now.piece_links.join(one, whole.piece, event.at)
    whole.stands = True
    whole.place_id = place_id
    if position:
        stand_at(now, whole, stage_id, position)
    whole.last_at = whole.since = event.at
    vehicle.parted = False


def renumbered(now: Standing, event: Renumbered, vehicle: VehicleStanding) -> None:
    """The number goes to the new lead; what was fitted to the vehicle stays with the old."""
    old, new = vehicle.lead, event.lead
    if old is None:
        return
    numbers = {old: event.other_vehicle_id, new: event.vehicle_id}
    had = {old: event.vehicle_id, new: event.other_vehicle_id}
    for one in numbers:
        if had[one]:
            lose_number(now, one, had[one], event.at)
    for one, number in numbers.items():
        if number:
            _get_number(now, one, number, event.at)
        now.pieces[one].last_at = event.at


def lose_number(now: Standing, lead: Piece, number: str, at: datetime) -> None:
    """The lead is loose; what was fitted or owed to the vehicle as a whole goes with it."""
    whole = now.whole(number)
    piece = now.pieces[lead]
    piece.vehicle_id = ""
    piece.last_at = at
    now.piece_links.part(lead, whole.piece, at)
    now.unit_links.rehang(whole.piece, lead, at)
    for unit in now.unit_links.on_now(lead):
        now.units[unit].onto = lead
    _hand_on(whole, piece)


def _get_number(now: Standing, lead: Piece, number: str, at: datetime) -> None:
    whole = now.whole(number)
    now.pieces[lead].vehicle_id = number
    now.piece_links.join(lead, whole.piece, at)
    now.vehicles[number].lead = lead
    whole.last_at = at
    _hand_on(now.pieces[lead], whole)


def _hand_on(giver: PieceStanding, taker: PieceStanding) -> None:
    for kind, count in giver.owed.items():
        taker.owed[kind] = taker.owed.get(kind, 0) + count
    giver.owed.clear()
    taker.campaigns += [one for one in giver.campaigns if one not in taker.campaigns]
    giver.campaigns.clear()


def modified(now: Standing, event: Modified, vehicle: VehicleStanding) -> None:
    """The campaign is done on the vehicle."""
    whole = now.whole(event.vehicle_id)
    whole.campaigns.append(event.campaign_id)
    whole.last_at = event.at


def piece_entered(now: Standing, event: PieceEntered, _: PieceStanding | None) -> None:
    """The assembly stands loose in a store."""
    piece = known_piece(now, event.piece)
    piece.stands = True
    piece.place_id = event.place_id
    piece.type_id = event.type_id
    piece.last_at = piece.since = piece.came_in = event.at


def piece_scrapped(now: Standing, event: PieceScrapped, piece: PieceStanding) -> None:
    """The assembly is gone for good."""
    leave(now, piece)
    piece.stands = False
    piece.scrapped = True
    piece.owed.clear()
    piece.holds.clear()
    piece.last_at = event.at
