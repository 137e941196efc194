"""What one vehicle really needs: what inspection found, and shares where it has not looked."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator

from pacewright.control.door_units import suits
from pacewright.control.scope_seen import Seen, is_condemned, is_judged, seen_of
from pacewright.events.standing import PieceStanding, Standing, UnitStanding
from pacewright.events.things import WHOLE, Verdict
from pacewright.parts.tables import Fit, Operation, UnitKind
from pacewright.plans.scope import Basis, Growth, Scope, ScopeClass, ScopePart, ScopeWork
from pacewright.works import Works


def scope_of(works: Works, now: Standing, vehicle_id: str) -> Scope:
    """The scope of a vehicle inside the works.

    Parameters
    ----------
    works : the works; its operations, unit kinds and their shares make the standard.
    now : where everything stands, with the findings of this visit.
    vehicle_id : vehicle inside.

    Returns
    -------
    Every operation and unit kind of its type, with totals by trade and by place. What inspection
    found needed counts in full, what it passed counts nothing, what it has not looked at counts by
    its share; must-change always counts in full. The standard is the same with nothing found.

    Raises
    ------
    KeyError : the record does not know the vehicle.

    Equations
    ---------
    Hours of an operation on n pieces, of which k were found to need it and m were looked at:
    (k + (n - m) p) h, with p its share and h its standard hours; the standard is n p h.
    """
    type_id = now.vehicles[vehicle_id].type_id
    seen = seen_of(now, vehicle_id)
    parts = tuple(_parts(works, type_id, seen))
    off = {one.unit_kind_id: (one.changed, one.standard_changed) for one in parts}
    work = (
        *_stage_work(works, type_id, seen),
        *_unit_work(works, type_id, seen, off),
        *_campaign_work(works, now, vehicle_id, seen),
    )
    total = _sum(work)
    weighed = sum(one.standard_hours for one in work)
    looked = sum(one.standard_hours * one.looked_at / one.pieces for one in work if one.pieces)
    return Scope(
        vehicle_id=vehicle_id,
        type_id=type_id,
        work=work,
        parts=parts,
        looked_at_share=looked / weighed if weighed else 1.0,
        by_trade=_by(work, lambda one: one.trade_id),
        by_place=_by(work, lambda one: one.place_id),
        total=total,
        scope_class=_class(works, total),
        beyond=tuple(_beyond(seen, {*(one.operation_id for one in work), *off})),
    )


def _class(works: Works, total: Growth) -> ScopeClass:
    plan = works.settings.plan
    if total.ratio < plan.light_scope:
        return ScopeClass.LIGHT
    return ScopeClass.HEAVY if total.ratio > plan.heavy_scope else ScopeClass.STANDARD


# -- units ---------------------------------------------------------------------------------------


def _parts(works: Works, type_id: str, seen: Seen) -> Iterator[ScopePart]:
    kinds = {one.unit_kind_id: one for one in works.unit_kinds}
    for fit in works.fits:
        if fit.type_id == type_id and suits(fit, list(seen.campaigns)):
            yield _part(kinds[fit.unit_kind_id], fit, seen)


def _part(kind: UnitKind, fit: Fit, seen: Seen) -> ScopePart:
    carried, verdict = fit.per_vehicle, seen.verdict(kind.unit_kind_id)
    known = len(seen.off.get(kind.unit_kind_id, ()))
    share = 1.0 if kind.must_change else kind.removal_share
    basis = Basis.SHARE
    if kind.must_change:
        off, basis = float(carried), Basis.ALWAYS
    elif verdict is not None:
        off, basis = float(known if verdict is Verdict.USE else carried), Basis.FOUND
    elif seen.stripped:
        off, basis = float(known), Basis.FOUND
    else:
        off = known + max(0, carried - known) * share
    return ScopePart(
        unit_kind_id=kind.unit_kind_id,
        name=kind.name,
        basis=basis,
        carried=carried,
        changed=off,
        lost=_lost(kind, off, verdict, seen),
        standard_changed=carried * share,
        standard_lost=carried * share * kind.scrap_share,
        condemned=tuple(one.unit.serial for one in seen.condemned(kind.unit_kind_id)),
    )


def _lost(kind: UnitKind, off: float, verdict: Verdict | None, seen: Seen) -> float:
    if verdict is Verdict.SCRAP:
        return off
    judged = sum(is_judged(one) for one in seen.off.get(kind.unit_kind_id, ()))
    return len(seen.condemned(kind.unit_kind_id)) + max(0.0, off - judged) * kind.scrap_share


# -- work ----------------------------------------------------------------------------------------


def _stage_work(works: Works, type_id: str, seen: Seen) -> Iterator[ScopeWork]:
    passes = works.routes[type_id].passes
    assembly_of = {one.stage_id: one.assembly_id for one in works.stages}
    for one in works.operations:
        if one.stage_id is None or one.stage_id not in passes or not _of_type(one, type_id):
            continue
        count, pieces = passes[one.stage_id], _pieces(seen, assembly_of[one.stage_id])
        verdicts = [seen.verdict(one.operation_id, piece) for piece in pieces[:count]]
        verdicts += [seen.verdict(one.operation_id)] * (count - len(verdicts))
        yield _work(one, one.stage_id, verdicts, float(count))


def _pieces(seen: Seen, assembly_id: str) -> list[PieceStanding | None]:
    if assembly_id == WHOLE:
        return [None]
    return [one for one in seen.assemblies if one.piece.assembly_id == assembly_id]


def _unit_work(
    works: Works, type_id: str, seen: Seen, off: dict[str, tuple[float, float]]
) -> Iterator[ScopeWork]:
    for one in works.operations:
        kind = one.unit_kind_id
        if kind is None or kind not in off or not _of_type(one, type_id):
            continue
        known = seen.off.get(kind, ())
        verdicts = [_on_unit(unit, one.operation_id) for unit in known]
        if not known and seen.verdict(kind) is Verdict.SCRAP:
            verdicts = [Verdict.SCRAP] * round(off[kind][0])
        coming, standard = off[kind]
        yield _work(one, kind, verdicts, max(coming, float(len(known))), standard)


def _on_unit(unit: UnitStanding, operation_id: str) -> Verdict | None:
    if is_condemned(unit):
        return Verdict.SCRAP
    found = unit.found.get(operation_id)
    return found.verdict if found else None


def _of_type(operation: Operation, type_id: str) -> bool:
    return operation.type_id in (None, type_id)


def _work(
    one: Operation,
    place_id: str,
    verdicts: list[Verdict | None],
    pieces: float,
    standard_pieces: float | None = None,
) -> ScopeWork:
    """The operation on so many pieces, some of which were looked at.

    On a unit, the verdict scrap means that nothing is done on it.
    """
    share = 1.0 if one.must_change else one.occurrence_share
    on_unit = one.unit_kind_id is not None
    looked = sum(verdict is not None for verdict in verdicts)
    spared = {Verdict.SCRAP} if on_unit else set()
    if not one.must_change:
        spared.add(Verdict.USE)
    needed = sum(verdict is not None and verdict not in spared for verdict in verdicts)
    hours = (needed + (pieces - looked) * share) * one.standard_hours
    basis = Basis.FOUND if looked else Basis.SHARE
    standard = pieces if standard_pieces is None else standard_pieces
    return ScopeWork(
        operation_id=one.operation_id,
        name=one.name,
        place_id=place_id,
        trade_id=one.trade_id,
        basis=Basis.ALWAYS if one.must_change else basis,
        looked_at=pieces if share == 1.0 else float(looked),
        pieces=pieces,
        hours=hours,
        standard_hours=standard * share * one.standard_hours,
    )


def _campaign_work(works: Works, now: Standing, vehicle_id: str, seen: Seen) -> Iterator[ScopeWork]:
    vehicle = now.vehicles[vehicle_id]
    came = vehicle.due_in or (vehicle.arrived_at.date() if vehicle.arrived_at else None)
    for one in works.campaigns:
        due = came is not None and one.first <= came <= one.last
        if one.type_id != vehicle.type_id or not due or one.campaign_id in seen.campaigns:
            continue
        hours = one.standard_hours
        yield ScopeWork(
            operation_id=one.campaign_id,
            name=one.name,
            place_id=one.stage_id,
            trade_id=one.trade_id,
            basis=Basis.ALWAYS,
            looked_at=1.0,
            pieces=1.0,
            hours=hours,
            standard_hours=hours,
        )


# -- sums ----------------------------------------------------------------------------------------


def _by(work: Iterable[ScopeWork], key: Callable[[ScopeWork], str]) -> dict[str, Growth]:
    grouped: dict[str, list[ScopeWork]] = defaultdict(list)
    for one in work:
        grouped[key(one)].append(one)
    return {name: _sum(them) for name, them in grouped.items()}


def _sum(work: Iterable[ScopeWork]) -> Growth:
    rows = tuple(work)
    return Growth(sum(one.hours for one in rows), sum(one.standard_hours for one in rows))


def _beyond(seen: Seen, known: set[str]) -> Iterator[str]:
    for piece in (seen.whole, *seen.assemblies):
        for item_id, found in piece.found.items():
            if item_id not in known and found.verdict is not Verdict.USE:
                yield f"{item_id} on {piece.piece}: {found.verdict.value}"
