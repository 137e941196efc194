"""A works, a programme and options compiled to the instruction table of a run."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from pacewright.parts.lots import lot_notes
from pacewright.plans.programme import Programme
from pacewright.simulate.calendars import DAY, Stretch, stretch_of
from pacewright.simulate.chains import Chains, chains_of
from pacewright.simulate.chance import key_of
from pacewright.simulate.coming import Coming, called_in, evenly, mix_of, standing_inside
from pacewright.simulate.compile_record import Recorded, with_record
from pacewright.simulate.crews import Crews, crew_rows
from pacewright.simulate.kinds import kind_rows
from pacewright.simulate.laws import constant, exponential, likelier, whole_days_scale
from pacewright.simulate.live_start import LiveStart, brought_in
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.stages import stage_rows, step_rows
from pacewright.simulate.standing_start import MeanRoute, Standing
from pacewright.simulate.start_table import There
from pacewright.simulate.table import (
    NOT_THERE,
    FlowNames,
    FlowTable,
    Ints,
    OwedRows,
    PieceRows,
    UpsetRows,
    VehicleRows,
)
from pacewright.works import Works


class NoPaceError(ValueError):
    """Neither a programme nor a pace was given."""

    def __init__(self) -> None:
        super().__init__(
            "simulate: no pace is known. Even calls need a pace, calls of a programme need the "
            "programme. Give pace_a_day, or plan the call-in first."
        )


def compile_flow(
    works: Works,
    programme: Programme | None = None,
    options: FlowOptions | None = None,
    live: LiveStart | None = None,
) -> FlowTable:
    """The instruction table; the same for the same arguments.

    Parameters
    ----------
    works : a works that passed its checks.
    programme : the call-in programme; None: only even calls at a given pace can be run.
    options : what is run; None: the programme from today's standing under every chance.
    live : the record from which the run goes on, in place of what the tables say is inside. The
        weeks then count from the week of its moment, and all of the run is measured.

    Raises
    ------
    NoPaceError : no pace is known.
    NoChainError : a route cannot be run through piece by piece.
    """
    options = options or FlowOptions()
    pace_a_day = options.pace_a_day or (programme.pace_a_day if programme else 0.0)
    if pace_a_day <= 0 or (programme is None and options.calls is Calls.PROGRAMME):
        raise NoPaceError
    weeks = options.weeks or works.settings.plan.horizon_weeks
    begin = live.stretch(works, weeks) if live else None
    stretch = begin or stretch_of(works, weeks, options.measure_from_week)
    chains = chains_of(works)
    mix = mix_of(works, programme)
    crews = Crews(works, pace_a_day, mix)
    rows, notes = crew_rows(crews, chains.steps, stretch, options)
    brought = brought_in(works, chains, live, stretch) if live else []
    first = [one.coming for one in brought]
    if live is None and options.inside_now:
        first += standing_inside(works, stretch)
    coming = [*first, *_later(works, programme, options, pace_a_day, stretch, first)]
    standings = _standings(works, chains, coming)
    plan = works.settings.plan
    robbing = plan.robbing if options.robbing is None else options.robbing
    upsets, upset_names = _upsets(works, stretch, options)
    table = FlowTable(
        days=stretch.days,
        vehicles=_vehicles(works, chains, coming, options),
        pieces=_pieces(chains, coming, standings),
        types=chains.rows(),
        steps=step_rows(works, chains, crews, stretch, options),
        stages=stage_rows(works, stretch, options.scatter),
        crews=rows,
        kinds=kind_rows(works, stretch, options.scatter),
        owed=_owed(works, coming, standings, stretch.lengths[0]),
        upsets=upsets,
        exponential=exponential() if options.scatter else constant(1.0),
        inside_limit=plan.inside_limit or 0,
        robbing=int(robbing),
        names=FlowNames(
            vehicles=tuple(one.name for one in coming),
            types=tuple(chains.of_type),
            assemblies=tuple(f"{one.type_id} {one.assembly_id}" for one in chains.parted),
            stages=tuple(one.stage_id for one in works.stages),
            crews=crews.names,
            kinds=tuple(one.unit_kind_id for one in works.unit_kinds),
            upsets=upset_names,
        ),
        notes=(*notes, *_slow_lots(works, crews)),
    )
    if live is None:
        return table
    return with_record(table, Recorded(works, chains, crews, stretch, live, brought))


def _slow_lots(works: Works, crews: Crews) -> Iterator[str]:
    """Lots that stand about: they leave only when they are full, however long is run."""
    count = works.calendar.count(works.settings.plan.start, works.horizon_end())
    for kind in works.unit_kinds:
        yield from lot_notes(kind, crews.removed_a_day(kind), count)


def _later(
    works: Works,
    programme: Programme | None,
    options: FlowOptions,
    pace_a_day: float,
    stretch: Stretch,
    first: Sequence[Coming],
) -> Iterator[Coming]:
    """Who comes after those whom the tables, or the record, already have here or on the way."""
    known = {one.vehicle_id for one in first if one.vehicle_id}
    awaited = [one.day for one in first if one.there is There.TO_COME]
    if programme is not None and options.calls is Calls.PROGRAMME:
        start = stretch.days.before[stretch.days.start // DAY]
        for call in called_in(programme, stretch):
            if call.vehicle_id not in known and call.day >= start:
                yield call
        return
    # Even calls go on where the record's calls end.
    yield from (
        one
        for one in evenly(pace_a_day, mix_of(works, programme), stretch)
        if one.day > max(awaited, default=-1)
    )


def _standings(works: Works, chains: Chains, coming: Sequence[Coming]) -> dict[int, Standing]:
    """Vehicle index -> how far it has come, for the vehicles inside."""
    routes = {name: MeanRoute(works, route) for name, route in works.routes.items()}
    return {
        v: Standing(chains.of_type[one.type_id], routes[one.type_id], one.stage_id)
        for v, one in enumerate(coming)
        if one.stage_id
    }


def _vehicles(
    works: Works, chains: Chains, coming: Sequence[Coming], options: FlowOptions
) -> VehicleRows:
    types = {name: t for t, name in enumerate(chains.of_type)}
    depots = {one.depot_id: one for one in works.depots}
    sizes = _sizes(chains)
    late = np.zeros((len(coming), 2))
    if options.late_calls:
        for v, one in enumerate(coming):
            depot = depots.get(one.depot_id)
            if depot is not None:
                share = likelier(depot.late_share, options.scatter)
                late[v] = share, whole_days_scale(depot.late_days)
    counts = [sizes[one.type_id] for one in coming]
    return VehicleRows(
        key=np.array([key_of(one.name) for one in coming], np.uint64),
        type=_ints([types[one.type_id] for one in coming]),
        inside=_ints([int(one.there) for one in coming]),
        day=_ints([one.day for one in coming]),
        slot=_ints([one.slot for one in coming]),
        late_share=late[:, 0].copy(),
        late_scale=late[:, 1].copy(),
        piece=_ints([0, *np.cumsum(counts).tolist()][: len(coming)]),
    )


def _sizes(chains: Chains) -> dict[str, int]:
    """Type -> pieces of one vehicle, the leading one included."""
    return {
        name: 1 + sum(chain.pieces for chain in one.parts[1:])
        for name, one in chains.of_type.items()
    }


@dataclass
class _PieceLists:
    vehicle: list[int]
    assembly: list[int]
    place: list[int]
    first_step: list[int]
    start_step: list[int]


def _pieces(chains: Chains, coming: Sequence[Coming], standings: dict[int, Standing]) -> PieceRows:
    number = {(one.type_id, one.assembly_id): a for a, one in enumerate(chains.parted)}
    made = _PieceLists([], [], [], [], [])
    for v, one in enumerate(coming):
        parts = chains.of_type[one.type_id].parts
        made.assembly.append(-1)
        made.place.append(0)
        made.first_step.append(parts[0].first_step if parts else -1)
        for chain in parts[1:]:
            made.assembly += [number[chain.type_id, chain.assembly_id]] * chain.pieces
            made.place += range(chain.pieces)
            made.first_step += [chain.first_step] * chain.pieces
        count = len(made.place) - len(made.vehicle)
        made.vehicle += [v] * count
        made.start_step += standings[v].start_steps() if v in standings else [NOT_THERE] * count
    return PieceRows(
        vehicle=_ints(made.vehicle),
        assembly=_ints(made.assembly),
        place=_ints(made.place),
        first_step=_ints(made.first_step),
        start_step=_ints(made.start_step),
    )


def _owed(
    works: Works, coming: Sequence[Coming], standings: dict[int, Standing], own: int
) -> OwedRows:
    carried = {(one.unit_kind_id, one.type_id): one.per_vehicle for one in works.fits}
    rows = []
    for v, standing in standings.items():
        for k, kind in enumerate(works.unit_kinds):
            units = carried.get((kind.unit_kind_id, coming[v].type_id), 0)
            off = units and standing.passed(kind.strip_stage_id)
            if off and not standing.passed(kind.fit_stage_id):
                ago = round(standing.days_since(kind.strip_stage_id) * own)
                rows.append((v, k, units, ago))
    table = np.array(rows, np.int64).reshape(-1, 4)
    vehicle, kind_index, units_each, minutes = (table[:, n].copy() for n in range(4))
    return OwedRows(vehicle, kind_index, units_each, minutes)


def _upsets(
    works: Works, stretch: Stretch, options: FlowOptions
) -> tuple[UpsetRows, tuple[str, ...]]:
    stages = {one.stage_id: s for s, one in enumerate(works.stages)}
    kinds = {one.unit_kind_id: k for k, one in enumerate(works.unit_kinds)}
    own = stretch.lengths[0]
    rows: list[tuple[str, int, int, float, float, int]] = []
    if options.upsets:
        for one in works.upsets:
            where = stages.get(one.stage_id or "", -1), kinds.get(one.unit_kind_id or "", -1)
            rows.append((one.upset_id, *where, one.mean_days_between * own, 60 * one.mean_hours, 0))
    for n, loss in enumerate(options.losses):
        where = stages.get(loss.stage_id, -1), kinds.get(loss.unit_kind_id, -1)
        begin = stretch.minute(loss.first)
        out = float(stretch.minute(loss.last + timedelta(days=1)) - begin)
        rows += [(f"loss/{n}/{place}", *where, 0.0, out, begin) for place in range(loss.how_many)]
    return UpsetRows(
        key=np.array([key_of(f"upset/{row[0]}") for row in rows], np.uint64),
        stage=_ints([row[1] for row in rows]),
        kind=_ints([row[2] for row in rows]),
        gap=np.array([row[3] for row in rows], float),
        out=np.array([row[4] for row in rows], float),
        at=_ints([row[5] for row in rows]),
    ), tuple(row[0] for row in rows)


def _ints(values: list[int]) -> Ints:
    return np.array(values, np.int64)
