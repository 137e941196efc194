"""The list of what strip inspection looks at on one vehicle, to be filled in and handed back."""

from collections.abc import Iterator
from dataclasses import dataclass

from pacewright.control.door_units import suits
from pacewright.control.scope_seen import Seen, seen_of
from pacewright.events.scan import code_of
from pacewright.events.standing import Standing
from pacewright.events.things import Piece, Verdict
from pacewright.works import Works


@dataclass(frozen=True, slots=True)
class FormLine:
    """One item to inspect.

    Parameters
    ----------
    piece : code of what it is on: an assembly, or the vehicle (its lead while it is in pieces).
    verdict : set where it must be changed or done whatever is found; else blank.
    least, most : limits of the measurement; None: none on that side, or by eye.
    """

    piece: str
    item_id: str
    name: str
    verdict: str
    least: float | None
    most: float | None
    reading_unit: str


def form_of(works: Works, now: Standing, vehicle_id: str) -> tuple[FormLine, ...]:
    """Every item whose need is a question on a vehicle inside, and what must be changed.

    Operations and unit kinds that are neither in question nor must-change are left out: they are
    done on every vehicle without looking. What was looked at already is left out too.

    Raises
    ------
    KeyError : the record does not know the vehicle.
    """
    type_id = now.vehicles[vehicle_id].type_id
    seen, stands = seen_of(now, vehicle_id), now.stands_at(vehicle_id).piece
    return (*_operations(works, type_id, seen, stands), *_kinds(works, type_id, seen, stands))


def _operations(works: Works, type_id: str, seen: Seen, stands: Piece) -> Iterator[FormLine]:
    passes = works.routes[type_id].passes
    assembly_of = {one.stage_id: one.assembly_id for one in works.stages}
    for one in works.operations:
        if one.stage_id not in passes or one.type_id not in (None, type_id):
            continue
        if not one.must_change and one.occurrence_share in (0.0, 1.0):
            continue
        for piece in _on(seen, assembly_of[one.stage_id], stands):
            if not _looked_at(seen, piece, one.operation_id):
                yield FormLine(
                    code_of(piece),
                    one.operation_id,
                    one.name,
                    Verdict.REPAIR.value if one.must_change else "",
                    one.inspect_least,
                    one.inspect_most,
                    one.inspect_unit,
                )


def _kinds(works: Works, type_id: str, seen: Seen, stands: Piece) -> Iterator[FormLine]:
    kinds = {one.unit_kind_id: one for one in works.unit_kinds}
    for fit in works.fits:
        kind = kinds[fit.unit_kind_id]
        if fit.type_id != type_id or not suits(fit, list(seen.campaigns)):
            continue
        asked = kind.must_change or kind.removal_share < 1
        if asked and seen.verdict(kind.unit_kind_id) is None:
            verdict = Verdict.REPLACE.value if kind.must_change else ""
            yield FormLine(code_of(stands), kind.unit_kind_id, kind.name, verdict, None, None, "")


def _on(seen: Seen, assembly_id: str, stands: Piece) -> list[Piece]:
    mine = [one.piece for one in seen.assemblies if one.piece.assembly_id == assembly_id]
    return mine or [stands]


def _looked_at(seen: Seen, piece: Piece, item_id: str) -> bool:
    known = next((one for one in seen.assemblies if one.piece == piece), None)
    return seen.verdict(item_id, known) is not None
