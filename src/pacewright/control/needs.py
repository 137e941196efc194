"""What units each vehicle inside still needs, at which stage, and by when."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from pacewright.control.ahead import Ahead
from pacewright.control.marriage import AssemblyAhead, VehicleAhead
from pacewright.control.way import Way
from pacewright.events.standing import Standing
from pacewright.events.things import WHOLE, Condition, Piece, Unit
from pacewright.parts.tables import UnitKind
from pacewright.works import Works

_LEAST = 1e-9


@dataclass(frozen=True, slots=True)
class Need:
    """Units of one kind that one vehicle, or one loose assembly, still needs.

    Parameters
    ----------
    unit_kind_id : what is needed.
    piece : vehicle (its account serves its lead too) or loose assembly.
    vehicle_id : vehicle that waits for it: its number, or the one an assembly would go to.
    owed : taken off and not made up for.
    issued : of those owed, given out for it and not fitted yet.
    expected : still to come off, by the removal share; every one where it must be changed.
    must_change : changed on every vehicle, whatever is found; never left out when short.
    fit_stage_id : stage where it goes on.
    needed_day : begin of that stage on the clock; now when it has begun or is behind.
    """

    unit_kind_id: str
    piece: Piece
    vehicle_id: str
    type_id: str
    owed: int
    issued: int
    expected: float
    must_change: bool
    fit_stage_id: str
    needed_day: float

    @property
    def wanted(self) -> float:
        """Units that must still come from the pool."""
        return self.owed - self.issued + self.expected


@dataclass(frozen=True)
class _Debtor:
    """A vehicle or a loose assembly, and what lies ahead of it."""

    piece: Piece
    vehicle_id: str
    one: VehicleAhead | AssemblyAhead
    owed: Mapping[str, int]


def needs(works: Works, standing: Standing, seen: Ahead) -> tuple[Need, ...]:
    """Every need of every vehicle and loose assembly inside, earliest first.

    Parameters
    ----------
    works : unit kinds and what fits what.
    standing : where everything stands.
    seen : what lies ahead, by ``ahead`` of the same standing.
    """
    issued = issued_for(standing)
    found = [
        need
        for debtor in _debtors(standing, seen)
        for need in _needs_of(works, standing, seen, debtor, issued)
    ]
    return tuple(sorted(found, key=lambda one: (one.needed_day, one.piece, one.unit_kind_id)))


def issued_for(standing: Standing) -> Counter[tuple[Piece, str]]:
    """(vehicle or loose assembly, kind) -> serviceable units given out for it and not fitted."""
    count: Counter[tuple[Piece, str]] = Counter()
    for unit, known in standing.units.items():
        if known.issued_to is not None and known.condition is Condition.SERVICEABLE:
            to = known.issued_to
            number = standing.pieces[to].vehicle_id
            count[Piece(WHOLE, number) if number else to, unit.unit_kind_id] += 1
    return count


def _debtors(standing: Standing, seen: Ahead) -> Iterator[_Debtor]:
    for vehicle_id, one in seen.vehicles.items():
        whole = standing.whole(vehicle_id)
        yield _Debtor(whole.piece, vehicle_id, one, whole.owed)
    for piece, loose in seen.assemblies.items():
        yield _Debtor(piece, loose.goes_to, loose, standing.pieces[piece].owed)


def _needs_of(
    works: Works,
    standing: Standing,
    seen: Ahead,
    debtor: _Debtor,
    issued: Counter[tuple[Piece, str]],
) -> Iterator[Need]:
    one = debtor.one
    carried = carried_kinds(works, standing, debtor.piece, one.on_way.type_id)
    kinds = {kind.unit_kind_id: kind for kind in works.unit_kinds}
    for kind_id in sorted({*debtor.owed, *carried} & kinds.keys()):
        kind = kinds[kind_id]
        owed = debtor.owed.get(kind_id, 0)
        off = expected_off(seen, one, kind, carried.get(kind_id, 0))
        if kind.must_change and kind_id in carried and not off:
            off = _never_changed(standing, seen, one, kind_id, carried[kind_id]) + owed
        expected = max(0.0, off - owed)
        if not owed and expected < _LEAST:
            continue
        yield Need(
            unit_kind_id=kind_id,
            piece=debtor.piece,
            vehicle_id=debtor.vehicle_id,
            type_id=one.on_way.type_id,
            owed=owed,
            issued=min(owed, issued[debtor.piece, kind_id]),
            expected=expected,
            must_change=kind.must_change,
            fit_stage_id=kind.fit_stage_id,
            needed_day=needed_day(seen, one, kind.fit_stage_id),
        )


def carried_kinds(works: Works, standing: Standing, piece: Piece, type_id: str) -> dict[str, int]:
    """Unit kind -> how many a vehicle of the type carries, as it is modified now."""
    done = standing.pieces[piece].campaigns
    return {
        fit.unit_kind_id: fit.per_vehicle
        for fit in works.fits
        if fit.type_id == type_id
        and (fit.needs_campaign_id is None or fit.needs_campaign_id in done)
        and (fit.until_campaign_id is None or fit.until_campaign_id not in done)
    }


def expected_off(
    seen: Ahead, one: VehicleAhead | AssemblyAhead, kind: UnitKind, per_vehicle: int
) -> float:
    """Units of a kind that come off at a stage it has not passed, those off already included.

    A loose assembly carries its share of what the vehicle has; of what has the stage behind it
    no more comes off.
    """
    way = seen.all_ways[one.on_way.type_id]
    share = 1.0 if kind.must_change else kind.removal_share
    off_at = assembly_at(way, kind.strip_stage_id)
    still = any(stage.stage_id == kind.strip_stage_id for stage in one.coming)
    if isinstance(one, AssemblyAhead):
        mine = off_at == one.piece.assembly_id
        return per_vehicle * share / way.counts[off_at] if mine and still else 0.0
    if off_at == WHOLE:
        still = still and one.vehicle.stripped_at is None
    elif one.parts_coming:
        still = True
    return per_vehicle * share if still else 0.0


def assembly_at(way: Way, stage_id: str) -> str:
    """What passes the stage: an assembly, or ``vehicle``."""
    for assembly_id, leg in way.parts.items():
        if any(stage.stage_id == stage_id for stage in leg):
            return assembly_id
    return WHOLE


def _never_changed(
    standing: Standing, seen: Ahead, one: VehicleAhead | AssemblyAhead, kind_id: str, count: int
) -> float:
    # Of what must be changed: units that neither came off nor were fitted on this visit, though
    # the stage where they come off is behind. Only told of a vehicle that is whole again.
    if isinstance(one, AssemblyAhead) or not one.on_way.married:
        return 0.0
    vehicle_id, since = one.vehicle.vehicle_id, one.vehicle.admitted_at
    fitted = sum(
        1
        for unit in standing.units_on(vehicle_id)
        if unit.unit_kind_id == kind_id and _fitted_since(standing, unit, since)
    )
    owed = standing.whole(vehicle_id).owed.get(kind_id, 0)
    return max(0, count - owed - fitted)


def _fitted_since(standing: Standing, unit: Unit, since: datetime | None) -> bool:
    fitted_at = standing.units[unit].fitted_at
    return fitted_at is not None and (since is None or fitted_at >= since)


def needed_day(seen: Ahead, one: VehicleAhead | AssemblyAhead, fit_stage_id: str) -> float:
    """When the stage begins at which the unit goes on; now when it has begun or is behind."""
    begins = [stage.begins for stage in one.coming if stage.stage_id == fit_stage_id]
    if not begins and isinstance(one, VehicleAhead):
        begins = [
            stage.begins
            for loose in seen.assemblies.values()
            if loose.on_way.known.came_from == one.vehicle.vehicle_id
            for stage in loose.coming
            if stage.stage_id == fit_stage_id
        ]
        begins += [part[fit_stage_id] for part in one.parts_coming.values() if fit_stage_id in part]
    return max(seen.now_day, min(begins, default=seen.now_day))
