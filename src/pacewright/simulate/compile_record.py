"""What the record adds to the instruction table: the start as it stands, piece by piece."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pacewright.simulate.calendars import Stretch
from pacewright.simulate.chains import Chains
from pacewright.simulate.chance import key_of
from pacewright.simulate.crews import Crews
from pacewright.simulate.live_start import Brought, LiveStart
from pacewright.simulate.start_pieces import PieceStarts
from pacewright.simulate.start_table import LiveRows, There
from pacewright.simulate.start_units import UnitStarts
from pacewright.simulate.table import FlowTable, UpsetRows
from pacewright.works import Works

_DAY_HOURS = 24.0
"""How long a place is taken to be out of use when no table of upsets says (our rule)."""


@dataclass(frozen=True)
class Recorded:
    """The parts of a table that the record's rows are made from."""

    works: Works
    chains: Chains
    crews: Crews
    stretch: Stretch
    live: LiveStart
    brought: Sequence[Brought]


def with_record(table: FlowTable, of: Recorded) -> FlowTable:
    """The table with pieces, units and lost places as the record knows them."""
    laws = table.stages.minutes
    starts = PieceStarts(of.works, of.chains, of.crews, of.stretch, of.live, of.brought, laws)
    units = UnitStarts(of.works, of.stretch, of.live, table.kinds)
    away, scrapped = units.rows()
    upsets, lost = _out_of_use(table.upsets, of)
    return replace(
        table,
        kinds=units.pool(),
        upsets=upsets,
        names=replace(table.names, upsets=(*table.names.upsets, *lost)),
        notes=(*table.notes, *_notes(of)),
        live=LiveRows(starts.rows(), away, scrapped, of.live.today(of.stretch)),
    )


def _out_of_use(upsets: UpsetRows, of: Recorded) -> tuple[UpsetRows, list[str]]:
    """Places that are out of use now: for as long as their kind of upset lasts in the mean."""
    stages = {one.stage_id: s for s, one in enumerate(of.works.stages)}
    kinds = {one.unit_kind_id: k for k, one in enumerate(of.works.unit_kinds)}
    hours = {(one.stage_id or one.unit_kind_id): one.mean_hours for one in of.works.upsets}
    places = [p for p in sorted(of.live.standing.out_of_use) if p[0] in stages or p[0] in kinds]
    names = [f"out/{place}/{number}" for place, number in places]
    out = [60 * hours.get(place, _DAY_HOURS) for place, _ in places]
    return UpsetRows(
        key=np.append(upsets.key, np.array([key_of(f"upset/{n}") for n in names], np.uint64)),
        stage=np.append(upsets.stage, np.array([stages.get(p, -1) for p, _ in places], np.int64)),
        kind=np.append(upsets.kind, np.array([kinds.get(p, -1) for p, _ in places], np.int64)),
        gap=np.append(upsets.gap, np.zeros(len(places))),
        out=np.append(upsets.out, np.array(out, np.float64)),
        at=np.append(upsets.at, np.full(len(places), of.stretch.days.start)),
    ), names


def _notes(of: Recorded) -> Iterator[str]:
    known = {one.type_id for one in of.works.vehicle_types}
    for one in of.live.standing.inside():
        if one.type_id not in known:
            yield (
                f"vehicle {one.vehicle_id}: the record says type {one.type_id!r}, which the works "
                "does not know; it is not forecast. Add the type, or correct the record."
            )
    for brought in of.brought:
        if brought.coming.there is There.INSIDE and brought.whole is None:
            for chain in of.chains.of_type[brought.coming.type_id].parts:
                lacks = chain.pieces - len(brought.pieces.get(chain.assembly_id, ()))
                if lacks > 0:
                    yield (
                        f"vehicle {brought.coming.vehicle_id}: no {chain.assembly_id} is inside "
                        "for it; in the forecast it waits for one that comes in with another "
                        "vehicle, or for ever. Enter the one it is to get."
                    )
