"""What the record tells of must still be known to the tables when a table is replaced."""

from collections.abc import Iterator

from pacewright.base.faults import Finding
from pacewright.events.standing import Phase, Standing
from pacewright.works import Works

_RULE = "What stands in the works by the record must be known to its tables."
_REMEDY = "Leave its row in the table until nothing of it is in the works any more."
_HERE = (Phase.CALLED, Phase.AT_GATE, Phase.INSIDE)


def no_longer_known(works: Works, standing: Standing) -> tuple[Finding, ...]:
    """Every type, stage and unit kind that the record needs and the tables do not have.

    Parameters
    ----------
    works : with the table that is to be taken up.
    standing : where everything stands by the record.
    """
    return tuple(sorted(set(_lost(works, standing)), key=str))


def _lost(works: Works, standing: Standing) -> Iterator[Finding]:
    types = {one.type_id for one in works.vehicle_types}
    stages = {one.stage_id: one.positions for one in works.stages}
    kinds = {one.unit_kind_id for one in works.unit_kinds}
    for one in standing.vehicles.values():
        if one.phase in _HERE and one.type_id not in types:
            found = f"no type {one.type_id!r}, of which vehicle {one.vehicle_id} is {one.phase}"
            yield Finding("vehicle_types", None, "type_id", found, _RULE, _REMEDY)
    for (stage_id, position), pieces in standing.occupied.items():
        if pieces and stage_id not in stages:
            found = f"no stage {stage_id!r}, on which {pieces[0]} stands"
            yield Finding("stages", None, "stage_id", found, _RULE, _REMEDY)
        elif pieces and position > stages[stage_id]:
            found = f"{stages[stage_id]} positions at {stage_id}; {pieces[0]} is on {position}"
            yield Finding("stages", None, "positions", found, _RULE, _REMEDY)
    for kind in sorted({unit.unit_kind_id for unit in standing.units} - kinds):
        found = f"no unit kind {kind!r}, of which the record has units"
        yield Finding("unit_kinds", None, "unit_kind_id", found, _RULE, _REMEDY)
