"""What must hold for parting, marriage and new numbers."""

from collections import Counter

from pacewright.events.identity import (
    Married,
    Modified,
    Parted,
    PieceEntered,
    PieceScrapped,
    Renumbered,
)
from pacewright.events.refusal import Refusal, idle, late, not_standing, safe
from pacewright.events.standing import PieceStanding, Standing, VehicleStanding
from pacewright.events.things import WHOLE, Piece


def named_once(now: Standing, event: Parted | Married, vehicle: VehicleStanding) -> Refusal | None:
    """Each assembly is named once, and none is a whole vehicle."""
    wrong = [str(one) for one, times in Counter(event.pieces).items() if times > 1]
    wrong += [str(one) for one in event.pieces if one.assembly_id == WHOLE]
    if not wrong:
        return None
    return Refusal(
        f"vehicle {event.vehicle_id}",
        f"named twice, or no assembly: {', '.join(wrong)}",
        "Each assembly is named once, and none is a whole vehicle.",
        "Correct the list of pieces.",
    )


def as_the_books_say(now: Standing, event: Parted, vehicle: VehicleStanding) -> Refusal | None:
    """A vehicle parts into the assemblies it was last made whole from."""
    whole = Piece(WHOLE, event.vehicle_id)
    known = now.piece_links.on_now(whole)
    missing = [str(one) for one in known if one not in event.pieces]
    strange = [
        str(one)
        for one in event.pieces
        if one not in known and (one in now.pieces or any(one[0] == old[0] for old in known))
    ]
    if not missing and not strange:
        return None
    wrong = [f"{one} is missing" for one in missing]
    wrong += [f"{one} is not on it" for one in strange]
    return Refusal(
        f"vehicle {event.vehicle_id}",
        "by the books " + ", ".join(wrong),
        "A vehicle parts into the assemblies it was last made whole from.",
        "Check the serials; where the books are wrong correct the marriage or parting before.",
    )


def lead_first(now: Standing, event: Parted | Married, vehicle: VehicleStanding) -> Refusal | None:
    """The assembly that carries the number stands first."""
    if vehicle.lead is None or event.pieces[0] == vehicle.lead:
        return None
    return Refusal(
        f"vehicle {event.vehicle_id}",
        f"{event.pieces[0]} stands first, but {vehicle.lead} carries the number",
        "The assembly that carries the number stands first.",
        f"Put {vehicle.lead} first, or record first that the number went to another.",
    )


def vehicle_can_part(now: Standing, event: Parted, vehicle: VehicleStanding) -> Refusal | None:
    """A vehicle is parted when nobody works on it and no safety hold stands."""
    whole = Piece(WHOLE, event.vehicle_id)
    return idle(now, whole) or safe(now, whole)


def pieces_can_join(now: Standing, event: Married, vehicle: VehicleStanding) -> Refusal | None:
    """What is married stands loose, passed and free of work and safety holds."""
    for one in event.pieces:
        known = now.pieces.get(one)
        if known is None or not known.stands:
            return not_standing(now, one)
        if known.vehicle_id not in ("", event.vehicle_id):
            return Refusal(
                str(one),
                f"it carries the number of vehicle {known.vehicle_id}",
                "What is married carries no other number.",
                "Check the serial, or record first that the number went to another.",
            )
        if known.failed:
            return Refusal(
                str(one),
                f"it failed at {known.stage_id}",
                "Nothing that failed is married.",
                "Record first that it was rectified.",
            )
        barred = late(str(one), event.at, known.last_at) or idle(now, one) or safe(now, one)
        if barred is not None:
            return barred
    return None


def can_get_number(now: Standing, event: Renumbered, vehicle: VehicleStanding) -> Refusal | None:
    """A number goes to a standing assembly of the same sort, its old number named."""
    known = now.pieces.get(event.lead)
    if known is None or not known.stands:
        return not_standing(now, event.lead)
    if vehicle.lead is None:
        return None
    if event.lead == vehicle.lead or event.lead.assembly_id != vehicle.lead.assembly_id:
        found = f"the number is on {vehicle.lead}"
        remedy = f"Name another {vehicle.lead.assembly_id}."
    elif known.vehicle_id != event.other_vehicle_id:
        found = f"it carries {known.vehicle_id or 'no number'}"
        remedy = f"Name '{known.vehicle_id}' as the other number if that is meant."
    else:
        old = now.pieces[vehicle.lead]
        return late(str(event.lead), event.at, known.last_at) or late(
            str(old.piece), event.at, old.last_at
        )
    return Refusal(
        str(event.lead),
        found,
        "A number goes to a standing assembly of the same sort, its old number named.",
        remedy,
    )


def modified_once(now: Standing, event: Modified, vehicle: VehicleStanding) -> Refusal | None:
    """A campaign is done once on a vehicle."""
    if event.campaign_id not in now.whole(event.vehicle_id).campaigns:
        return None
    return Refusal(
        f"vehicle {event.vehicle_id}",
        f"campaign {event.campaign_id} is done on it already",
        "A campaign is done once on a vehicle.",
        "Check the number and the campaign, or leave this event out.",
    )


def new_assembly(now: Standing, event: PieceEntered, piece: PieceStanding | None) -> Refusal | None:
    """What is entered is an assembly and not on the books yet."""
    if piece is None and event.piece.assembly_id != WHOLE:
        return None
    return Refusal(
        str(event.piece),
        "it is a vehicle" if event.piece.assembly_id == WHOLE else "it is on the books",
        "What is entered is an assembly and not on the books yet.",
        "Check the serial; a vehicle is entered by its arrival.",
    )


def carries_no_unit(now: Standing, event: PieceScrapped, piece: PieceStanding) -> Refusal | None:
    """Units come off an assembly before it is scrapped."""
    units = now.unit_links.on_now(event.piece)
    if not units:
        return None
    return Refusal(
        str(event.piece),
        f"on it by the books: {', '.join(map(str, units))}",
        "Units come off an assembly before it is scrapped.",
        "Record their removal first; scrap those that are scrap.",
    )


def carries_no_number(now: Standing, event: PieceScrapped, piece: PieceStanding) -> Refusal | None:
    """Only an assembly without a vehicle number is scrapped."""
    if not piece.vehicle_id:
        return None
    return Refusal(
        str(event.piece),
        f"it carries the number of vehicle {piece.vehicle_id}",
        "Only an assembly without a vehicle number is scrapped.",
        "Record first that the number went to another, or that the vehicle was withdrawn.",
    )
