"""What must hold of units that are matched with units of another kind."""

from collections.abc import Callable, Iterator, Sequence

from pacewright.base.faults import Finding
from pacewright.parts.tables import Fit, UnitKind


def kept_with_another(unit_kinds: Sequence[UnitKind], fits: Sequence[Fit]) -> Iterator[Finding]:
    """A kind is kept with another one, of which its vehicle types carry as many."""
    carried = {(one.unit_kind_id, one.type_id): one.per_vehicle for one in fits}
    for index, one in enumerate(unit_kinds):
        mate = one.keep_with_kind_id
        if mate is None:
            continue
        types = {type_id for kind_id, type_id in carried if kind_id in (one.unit_kind_id, mate)}
        unlike = [
            type_id
            for type_id in sorted(types)
            if carried.get((one.unit_kind_id, type_id)) != carried.get((mate, type_id))
        ]
        if mate == one.unit_kind_id or unlike:
            yield Finding(
                "unit_kinds",
                index,
                "keep_with_kind_id",
                f"unit kind {one.unit_kind_id}: kept with {mate}"
                + (f", of which {', '.join(unlike)} carries another number" if unlike else ""),
                "A unit is matched with one of another kind, of which each type carries as many.",
                "Name the other kind, correct fits, or leave it blank.",
            )


CHECKS: tuple[Callable[..., Iterator[Finding]], ...] = (kept_with_another,)
"""Every check of matched units."""
