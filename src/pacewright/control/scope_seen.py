"""What inspection has told of one vehicle in this visit: of its pieces, and of units off it."""

from collections.abc import Mapping
from dataclasses import dataclass

from pacewright.control.door_units import campaigns_of
from pacewright.events.standing import PieceStanding, Standing, UnitStanding
from pacewright.events.things import Condition, Piece, Unit, Verdict


@dataclass(frozen=True)
class Seen:
    """One vehicle as it came in, and what was found of it.

    Parameters
    ----------
    whole : the vehicle as a piece.
    assemblies : the assemblies it came in with; none while it was not parted.
    off : unit kind -> units that came off it in this visit.
    campaigns : done on it.
    stripped : all that is to come off is off.
    """

    whole: PieceStanding
    assemblies: tuple[PieceStanding, ...]
    off: Mapping[str, tuple[UnitStanding, ...]]
    campaigns: tuple[str, ...]
    stripped: bool

    def verdict(self, item_id: str, piece: PieceStanding | None = None) -> Verdict | None:
        """What is to be done about an item, on one piece or on the whole; None: not looked at.

        What was told of the vehicle holds for each of its assemblies of which nothing was told.
        """
        if piece is not None and item_id in piece.found:
            return piece.found[item_id].verdict
        if item_id in self.whole.found:
            return self.whole.found[item_id].verdict
        if piece is None:
            # Told of an assembly only: the gravest word stands for the vehicle.
            said = [one.found[item_id].verdict for one in self.assemblies if item_id in one.found]
            return max(said, key=_GRAVITY.index, default=None)
        return None

    def condemned(self, kind: str) -> tuple[UnitStanding, ...]:
        """Units that came off and cannot be made good."""
        return tuple(one for one in self.off.get(kind, ()) if is_condemned(one))


_GRAVITY = (Verdict.USE, Verdict.REPAIR, Verdict.REPLACE, Verdict.SCRAP)


def is_condemned(unit: UnitStanding) -> bool:
    """True when it cannot be made good."""
    return unit.condition is Condition.SCRAPPED or any(
        one.verdict is Verdict.SCRAP for one in unit.found.values()
    )


def is_judged(unit: UnitStanding) -> bool:
    """True when inspection or its shop has said what becomes of it."""
    return bool(unit.found) or unit.condition in (Condition.SCRAPPED, Condition.SERVICEABLE)


def seen_of(now: Standing, vehicle_id: str) -> Seen:
    """What is known of a vehicle inside.

    Raises
    ------
    KeyError : the record does not know the vehicle.
    """
    whole = now.whole(vehicle_id)
    mine = [
        one
        for one in now.pieces.values()
        if one.came_from == vehicle_id and one.came_in == whole.came_in
    ]
    assemblies = tuple(sorted(mine, key=lambda one: one.piece))
    off: dict[str, list[UnitStanding]] = {}
    for unit in _came_off(now, whole, assemblies):
        off.setdefault(unit.unit_kind_id, []).append(now.units[unit])
    return Seen(
        whole,
        assemblies,
        {kind: tuple(them) for kind, them in off.items()},
        tuple(campaigns_of(now, whole)),
        now.vehicles[vehicle_id].stripped_at is not None,
    )


def _came_off(
    now: Standing, whole: PieceStanding, assemblies: tuple[PieceStanding, ...]
) -> list[Unit]:
    came_in = whole.came_in
    carriers: set[Piece] = {whole.piece, *(one.piece for one in assemblies)}
    found: dict[Unit, None] = {}
    for carrier in sorted(carriers):
        for unit in sorted(now.unit_links.ever_on.get(carrier, ())):
            if now.unit_links.now_on(unit) in carriers:
                continue
            for link in now.unit_links.of[unit]:
                was_on = link.since is None or (came_in is not None and link.since < came_in)
                left = link.until is not None and came_in is not None and link.until >= came_in
                if link.carrier == carrier and was_on and left:
                    found[unit] = None
    return list(found)
