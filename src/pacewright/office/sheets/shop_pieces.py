"""The pieces of one shop: what stands on its stages, and what waits elsewhere to come in."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from pacewright.events.standing import PieceStanding
from pacewright.office.sheets.today_made import DayPaper
from pacewright.reports.shop_tables import minute
from pacewright.reports.table import Table, day, table, text, whole


@dataclass(frozen=True, slots=True)
class There:
    """A piece on a stage of the shop, or waiting to come to one."""

    stage_id: str
    position: int
    piece: str
    vehicle_id: str
    state: str
    since: datetime | None
    opens: str
    ends: date | None
    promise: date | None


def pieces_there(paper: DayPaper, shop_id: str) -> list[There]:
    """What stands on the stages of a shop, in order of stage and position."""
    stages = [one.stage_id for one in paper.works.stages if one.shop_id == shop_id]
    held = {row.piece: row for row in paper.today.found.blocked}
    ends = {(row.stage_id, row.piece): row.ends for row in paper.today.seen.stays if row.begun}
    working, found = set(paper.today.found.at_work), []
    for (stage_id, position), pieces in sorted(paper.standing.occupied.items()):
        for piece in pieces if stage_id in stages else ():
            known, name = paper.standing.pieces[piece], str(piece)
            block = held.get(name)
            end = ends.get((stage_id, name))
            found.append(
                There(
                    stage_id,
                    position,
                    name,
                    known.vehicle_id,
                    _state(known, name in working, block.cause if block else ""),
                    known.since,
                    block.opens if block else "",
                    paper.today.seen.clock.date_of(end) if end is not None else None,
                    _promise(paper, known.vehicle_id),
                )
            )
    return sorted(found, key=lambda one: (stages.index(one.stage_id), one.position, one.piece))


def _state(known: PieceStanding, at_work: bool, cause: str) -> str:
    if at_work:
        return f"at work: {', '.join(known.trades)}" if known.trades else "at work, or drying"
    if cause:
        return f"held: {cause}"
    return "done here" if known.finished else "may be worked on"


def pieces_waiting(paper: DayPaper, shop_id: str) -> list[There]:
    """What waits elsewhere for a stage of the shop, the earliest promise first."""
    stages = {one.stage_id for one in paper.works.stages if one.shop_id == shop_id}
    found = [
        There(row.to_stage_id, row.position, row.piece, row.vehicle_id, "free to go", row.since,
              row.what, None, row.promise)
        for row in paper.today.found.moves
        if row.to_stage_id in stages and row.from_stage_id not in stages
    ]  # fmt: skip
    found += [
        There(row.next_stage_id, 0, row.piece, row.vehicle_id, f"held: {row.cause}", row.since,
              row.opens, paper.today.seen.clock.date_of(row.opens_day)
              if row.opens_day is not None else None, _promise(paper, row.vehicle_id))
        for row in paper.today.found.blocked
        if row.next_stage_id in stages and row.stage_id not in stages
    ]  # fmt: skip
    return sorted(found, key=lambda one: (one.promise or date.max, one.piece))


def _promise(paper: DayPaper, vehicle_id: str) -> date | None:
    known = paper.standing.vehicles.get(vehicle_id)
    return known.promise if known else None


def pieces_table(rows: Sequence[There], name: str, title: str) -> Table:
    """Pieces as rows."""
    return table(
        (name, title, "Vehicles and assemblies; a person decides what moves."),
        (text("stage_id", "stage it stands at, or waits for"),
         whole("position", "position there; 0: none yet", "number"),
         text("piece", "vehicle or assembly"),
         text("vehicle_id", "number it carries or would go to"),
         text("state", "what is done with it, or what keeps it"),
         text("since", "since when it stands there", lambda r: minute(r.since)),
         text("opens", "what ends the wait"), day("ends", "day that is expected; blank: not known"),
         day("promise", "current promise of its vehicle")),
        rows,
    )  # fmt: skip
