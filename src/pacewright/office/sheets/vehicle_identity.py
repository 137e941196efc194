"""Identity both ways: which assemblies a vehicle had and where they went, and what carries one."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from pacewright.events.links import Link
from pacewright.events.scan import code_of
from pacewright.events.standing import PieceStanding, Standing
from pacewright.events.things import WHOLE, Piece
from pacewright.reports.table import Table, moment, table, text, yes_no
from pacewright.reports.written import moment as said_moment

HOW = (
    "Every assembly that was ever on it by the record, and where that assembly is now: assemblies "
    "are married any to any, so what came in with one vehicle goes out with another. The assembly "
    "that keeps the number is the vehicle. Follow a code to the life of that assembly, and from "
    "there to every vehicle it was on."
)


@dataclass(frozen=True, slots=True)
class HadRow:
    """One assembly, while it was on the vehicle.

    Parameters
    ----------
    since, until : None: since before the record began; still on it.
    """

    piece: Piece
    since: datetime | None
    until: datetime | None
    lead: bool
    now: str


def had_rows(standing: Standing, vehicle_id: str) -> list[HadRow]:
    """Assemblies ever on a vehicle, those on it now first, then the last to go."""
    whole, lead = Piece(WHOLE, vehicle_id), standing.vehicles[vehicle_id].lead
    found = [
        HadRow(piece, link.since, link.until, piece == lead, piece_where(standing, piece))
        for piece in standing.piece_links.ever_on.get(whole, ())
        for link in standing.piece_links.of[piece]
        if link.carrier == whole
    ]
    return sorted(found, key=_newest_first)


def _newest_first(row: HadRow) -> tuple[bool, float, Piece]:
    until = row.until
    return until is not None, -until.timestamp() if until else 0.0, row.piece


def piece_where(standing: Standing, piece: Piece) -> str:
    """Where an assembly is now, in words."""
    known = standing.pieces[piece]
    if known.scrapped:
        return "scrapped"
    if known.stands:
        number = f", carries {known.vehicle_id}" if known.vehicle_id else ""
        return _spot(known) + number
    on = standing.piece_links.now_on(piece)
    return f"on {on}" if on else f"not known since {said_moment(known.last_at)}"


def _spot(known: PieceStanding) -> str:
    return f"stage {known.stage_id}, position {known.position}" if known.stage_id else (
        known.place_id or "inside"
    )  # fmt: skip


def had_table(rows: Sequence[HadRow]) -> Table:
    """Assemblies as rows."""
    return table(
        ("assemblies", "Assemblies it has and had", "Those on it now first."),
        (text("assembly", "its code", lambda r: code_of(r.piece)),
         yes_no("keeps_number", "yes: it carries the vehicle's number", "lead"),
         moment("since", "on it since; blank: since before the record"),
         moment("until", "on it until; blank: still"),
         text("now", "where that assembly is now")),
        rows,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class CarriedRow:
    """What carried a unit or assembly, and the vehicle that was then."""

    carrier: Piece
    vehicle_id: str
    since: datetime | None
    until: datetime | None


def carried_rows(standing: Standing, links: Sequence[Link]) -> list[CarriedRow]:
    """What carried a thing, the last first; on an assembly, vehicle by vehicle."""
    found = [row for link in links for row in _by_vehicle(standing, link)]
    found.reverse()
    return found


def _by_vehicle(standing: Standing, link: Link) -> Iterator[CarriedRow]:
    if link.carrier.assembly_id == WHOLE:
        yield CarriedRow(link.carrier, link.carrier.serial, link.since, link.until)
        return
    at = link.since
    for above in standing.piece_links.of.get(link.carrier, ()):
        began = max((one for one in (link.since, above.since) if one), default=None)
        ended = min((one for one in (link.until, above.until) if one), default=None)
        if began and ended and began >= ended:
            continue
        if at is not None and began is not None and began > at:
            yield CarriedRow(link.carrier, "", at, began)
        yield CarriedRow(link.carrier, above.carrier.serial, began, ended)
        at = ended
        if ended is None or ended == link.until:
            return
    yield CarriedRow(link.carrier, "", at, link.until)


def carried_table(rows: Sequence[CarriedRow]) -> Table:
    """Carriers as rows."""
    return table(
        ("carriers", "What it was on", "The last first."),
        (text("carrier", "code of the vehicle or assembly it was on", lambda r: code_of(r.carrier)),
         text("vehicle_id", "vehicle that was then; blank: a loose assembly"),
         moment("since", "from; blank: since before the record"),
         moment("until", "until; blank: still")),
        rows,
    )  # fmt: skip
