"""Identity followed both ways at any moment, and the distance a unit has run."""

from bisect import bisect_right
from collections.abc import Iterator
from datetime import datetime

from pacewright.events.links import Link
from pacewright.events.standing import Standing
from pacewright.events.things import WHOLE, Piece, Unit


def carriers_at(now: Standing, unit: Unit, moment: datetime) -> tuple[Piece, ...]:
    """What carried a unit at ``moment``: its assembly, if told, then the vehicle; may be empty."""
    carrier = now.unit_links.carrier_at(unit, moment)
    if carrier is None:
        return ()
    vehicle = now.piece_links.carrier_at(carrier, moment)
    return (carrier,) if vehicle is None else (carrier, vehicle)


def number_at(now: Standing, piece: Piece, moment: datetime) -> str:
    """Vehicle number that an assembly carried or was part of at ``moment``; empty: none."""
    vehicle = now.piece_links.carrier_at(piece, moment)
    return vehicle.serial if vehicle is not None else ""


def carried_at(
    now: Standing, vehicle_id: str, moment: datetime
) -> tuple[tuple[Piece, ...], tuple[Unit, ...]]:
    """Assemblies and units that a vehicle number had at ``moment``, as far as is known."""
    whole = Piece(WHOLE, vehicle_id)
    pieces = now.piece_links.on_at(whole, moment)
    units = tuple(u for part in (whole, *pieces) for u in now.unit_links.on_at(part, moment))
    return pieces, units


def distance_used(
    now: Standing, unit: Unit, until: datetime, from_: datetime | None = None
) -> float | None:
    """Distance a unit has run by ``until``, over all vehicles it was on.

    Parameters
    ----------
    until : moment up to which it counts.
    from_ : moment from which it counts; None: since it was first heard of.

    Returns
    -------
    Distance [distance unit of the works]; None when it was on a vehicle since before the record
    began, or when a reading is missing: unknown is not nought.
    """
    total = 0.0
    for vehicle_id, began, end in _service(now, unit, until):
        since = from_ if began is None or (from_ is not None and from_ > began) else began
        if since is not None and since >= end:
            continue
        if since is None:
            return None
        first = _reading(now, vehicle_id, since)
        last = _reading(now, vehicle_id, end)
        if first is None or last is None:
            return None
        total += last - first
    return total


def _service(
    now: Standing, unit: Unit, until: datetime
) -> Iterator[tuple[str, datetime | None, datetime]]:
    # Vehicle by vehicle; a unit on an assembly runs with every vehicle that had the assembly.
    for link in now.unit_links.of.get(unit, ()):
        whole = link.carrier.assembly_id == WHOLE
        above = (
            [Link(link.carrier, None, None)] if whole else now.piece_links.of.get(link.carrier, [])
        )
        for one in above:
            begins = [at for at in (link.since, one.since) if at is not None]
            ends = [at for at in (link.until, one.until, until) if at is not None]
            since, end = max(begins, default=None), min(ends)
            if since is None or since < end:
                yield one.carrier.serial, since, end


def _reading(now: Standing, vehicle_id: str, moment: datetime) -> float | None:
    readings = now.vehicles[vehicle_id].odometer
    place = bisect_right(readings, moment, key=lambda one: one[0])
    return readings[place - 1][1] if place else None
