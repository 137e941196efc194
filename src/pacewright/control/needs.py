"""What units each vehicle inside still needs, at which stage, and by when."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from pacewright.control.ahead import Ahead
from pacewright.control.marriage import AssemblyAhead, VehicleAhead
from pacewright.control.way import Way
from pacewright.events.standing import Standing
from pacewright.events.things import WHOLE, Condition, Piece, Unit
from pacewright.parts.tables import Fit, UnitKind
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
    asker = _Asker(works, standing, seen)
    found = [need for debtor in _debtors(standing, seen) for need in asker.needs_of(debtor)]
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


class _Asker:
    """Asks each vehicle and loose assembly for its needs."""

    def __init__(self, works: Works, standing: Standing, seen: Ahead) -> None:
        self.standing, self.seen = standing, seen
        self.kinds = {one.unit_kind_id: one for one in works.unit_kinds}
        self.issued = issued_for(standing)
        self.fits: dict[str, list[Fit]] = defaultdict(list)
        for fit in works.fits:
            self.fits[fit.type_id].append(fit)
        self.off_at = {
            (type_id, kind.unit_kind_id): assembly_at(way, kind.strip_stage_id)
            for type_id, way in seen.all_ways.items()
            for kind in works.unit_kinds
        }

    def needs_of(self, debtor: _Debtor) -> Iterator[Need]:
        one = debtor.one
        carried = carried_kinds(self.fits[one.on_way.type_id], self.standing, debtor.piece)
        begins = {stage.stage_id: stage.begins for stage in reversed(one.coming)}
        for kind_id in sorted({*debtor.owed, *carried} & self.kinds.keys()):
            kind = self.kinds[kind_id]
            owed = debtor.owed.get(kind_id, 0)
            expected = self._expected(debtor, kind, carried.get(kind_id, 0), owed, begins)
            if not owed and expected < _LEAST:
                continue
            yield Need(
                unit_kind_id=kind_id,
                piece=debtor.piece,
                vehicle_id=debtor.vehicle_id,
                type_id=one.on_way.type_id,
                owed=owed,
                issued=min(owed, self.issued[debtor.piece, kind_id]),
                expected=expected,
                must_change=kind.must_change,
                fit_stage_id=kind.fit_stage_id,
                needed_day=needed_day(self.seen, one, kind.fit_stage_id, begins),
            )

    def _expected(
        self, debtor: _Debtor, kind: UnitKind, count: int, owed: int, begins: Mapping[str, float]
    ) -> float:
        # Units still to come off, those owed already not among them.
        if not count:
            return 0.0
        share = self._share_off(debtor.one, kind, begins)
        if share:
            return max(0.0, count * share - owed)
        if kind.must_change:
            return _never_changed(self.standing, debtor.one, kind.unit_kind_id, count)
        return 0.0

    def _share_off(
        self, one: VehicleAhead | AssemblyAhead, kind: UnitKind, begins: Mapping[str, float]
    ) -> float:
        # Of what one vehicle carries, the share that comes off at a stage this has not passed.
        off_at = self.off_at[one.on_way.type_id, kind.unit_kind_id]
        still = kind.strip_stage_id in begins
        share = 1.0 if kind.must_change else kind.removal_share
        if isinstance(one, AssemblyAhead):
            pieces = self.seen.all_ways[one.on_way.type_id].counts.get(off_at, 1)
            return share / pieces if still and off_at == one.piece.assembly_id else 0.0
        if off_at == WHOLE:
            still = still and one.vehicle.stripped_at is None
        return share if still or (off_at != WHOLE and one.parts_coming) else 0.0


def carried_kinds(fits: Iterable[Fit], standing: Standing, piece: Piece) -> dict[str, int]:
    """Unit kind -> how many a vehicle carries by the fits of its type, as it is modified now."""
    done = standing.pieces[piece].campaigns
    return {
        fit.unit_kind_id: fit.per_vehicle
        for fit in fits
        if (fit.needs_campaign_id is None or fit.needs_campaign_id in done)
        and (fit.until_campaign_id is None or fit.until_campaign_id not in done)
    }


def assembly_at(way: Way, stage_id: str) -> str:
    """What passes the stage: an assembly, or ``vehicle``."""
    for assembly_id, leg in way.parts.items():
        if any(stage.stage_id == stage_id for stage in leg):
            return assembly_id
    return WHOLE


def _never_changed(
    standing: Standing, one: VehicleAhead | AssemblyAhead, kind_id: str, count: int
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


def needed_day(
    seen: Ahead,
    one: VehicleAhead | AssemblyAhead,
    fit_stage_id: str,
    begins: Mapping[str, float],
) -> float:
    """When the stage begins at which the unit goes on; now when it has begun or is behind.

    Parameters
    ----------
    begins : stage -> first begin, of the stages coming of ``one``.
    """
    if fit_stage_id in begins:
        return max(seen.now_day, begins[fit_stage_id])
    if isinstance(one, AssemblyAhead):
        return seen.now_day
    others = [part[fit_stage_id] for part in one.parts_coming.values() if fit_stage_id in part]
    if not others:
        # A debt of the whole is also made up on an assembly that was parted from it.
        others = [
            stage.begins
            for loose in seen.parted_from.get(one.vehicle.vehicle_id, ())
            for stage in loose.coming
            if stage.stage_id == fit_stage_id
        ]
    return max(seen.now_day, min(others, default=seen.now_day))
