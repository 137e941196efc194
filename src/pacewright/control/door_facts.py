"""What the rules at the door need of the works, drawn up once so that an event passes quickly."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from pacewright.events.standing import PieceStanding, Standing
from pacewright.events.things import WHOLE
from pacewright.parts.tables import Campaign, Fit, Operation, TestItem, UnitKind
from pacewright.shops.route import Route
from pacewright.shops.tables import Stage
from pacewright.works import Works


@dataclass(frozen=True)
class Facts:
    """The works as the door asks for it.

    Parameters
    ----------
    names : table (or tables joined by " or ") -> every id that may stand for one of its rows.
    type_of : vehicle number -> its type by the fleet table.
    counts : type -> assembly -> how many a vehicle of the type has.
    before : type -> stage -> stages directly before it on the route of the type.
    ends : type -> stages nothing follows.
    parts_at : type -> stages of the whole vehicle after which it is parted.
    ripe : type -> assembly -> stages it has finished when it is married.
    fits : (unit kind, type) -> the row of the bill.
    carriers : unit kind -> types that carry it.
    always : operations and unit kinds that must be done or changed, whatever is found.
    changed : type -> fits of unit kinds that must be changed at every visit.
    must_pass : type -> test items without whose pass nothing is released.
    moving_at : (stage, trade) -> operations of that trade there which move what they are done on.
    """

    names: Mapping[str, frozenset[str]]
    type_of: Mapping[str, str]
    stages: Mapping[str, Stage]
    kinds: Mapping[str, UnitKind]
    operations: Mapping[str, Operation]
    campaigns: Mapping[str, Campaign]
    test_items: Mapping[str, TestItem]
    counts: Mapping[str, Mapping[str, int]]
    before: Mapping[str, Mapping[str, tuple[str, ...]]]
    ends: Mapping[str, tuple[str, ...]]
    parts_at: Mapping[str, tuple[str, ...]]
    ripe: Mapping[str, Mapping[str, tuple[str, ...]]]
    fits: Mapping[tuple[str, str], Fit]
    carriers: Mapping[str, frozenset[str]]
    always: frozenset[str]
    changed: Mapping[str, tuple[Fit, ...]]
    must_pass: Mapping[str, tuple[str, ...]]
    moving_at: Mapping[tuple[str, str], tuple[str, ...]]


def facts_of(works: Works) -> Facts:
    """Draw up what the door needs."""
    kinds = {one.unit_kind_id: one for one in works.unit_kinds}
    types = [one.type_id for one in works.vehicle_types]
    changed = [fit for fit in works.fits if kinds[fit.unit_kind_id].must_change]
    carriers: dict[str, set[str]] = defaultdict(set)
    for fit in works.fits:
        carriers[fit.unit_kind_id].add(fit.type_id)
    moving: dict[tuple[str, str], list[str]] = defaultdict(list)
    for one in works.operations:
        if one.moves_vehicle and one.stage_id is not None:
            moving[one.stage_id, one.trade_id].append(one.operation_id)
    routes = works.routes
    return Facts(
        names=_names(works),
        type_of={one.vehicle_id: one.type_id for one in works.vehicles},
        stages={one.stage_id: one for one in works.stages},
        kinds=kinds,
        operations={one.operation_id: one for one in works.operations},
        campaigns={one.campaign_id: one for one in works.campaigns},
        test_items={one.item_id: one for one in works.test_items},
        counts=_counts(works),
        before={name: route.follows for name, route in routes.items()},
        ends={name: _ends(route) for name, route in routes.items()},
        parts_at={name: _parts_at(route) for name, route in routes.items()},
        ripe={name: _ripe(route) for name, route in routes.items()},
        fits={(fit.unit_kind_id, fit.type_id): fit for fit in works.fits},
        carriers={kind: frozenset(them) for kind, them in carriers.items()},
        always=_always(works),
        changed={name: tuple(fit for fit in changed if fit.type_id == name) for name in types},
        must_pass={name: _must_pass(works, name) for name in types},
        moving_at={place: tuple(them) for place, them in moving.items()},
    )


def type_of_piece(now: Standing, piece: PieceStanding) -> str:
    """Vehicle type of a vehicle or assembly; empty: not told."""
    number = piece.vehicle_id
    return now.vehicles[number].type_id if number else piece.type_id


def _names(works: Works) -> dict[str, frozenset[str]]:
    ids = {
        "vehicles": _ids(one.vehicle_id for one in works.vehicles),
        "vehicle_types": _ids(one.type_id for one in works.vehicle_types),
        "depots": _ids(one.depot_id for one in works.depots),
        "shops": _ids(one.shop_id for one in works.shops),
        "trades": _ids(one.trade_id for one in works.trades),
        "stages": _ids(one.stage_id for one in works.stages),
        "unit_kinds": _ids(one.unit_kind_id for one in works.unit_kinds),
        "operations": _ids(one.operation_id for one in works.operations),
        "test_items": _ids(one.item_id for one in works.test_items),
        "campaigns": _ids(one.campaign_id for one in works.campaigns),
        "assemblies": _ids(one.assembly_id for one in works.assemblies),
        "plant": _ids(one.plant_id for one in works.plant),
    }
    joined = ("stages", "unit_kinds"), ("operations", "unit_kinds", "test_items")
    found = {" or ".join(one): ids[one[0]].union(*(ids[name] for name in one)) for one in joined}
    every = [names for table, names in ids.items() if table != "vehicles"]
    return ids | found | {"any table": frozenset[str]().union(*every)}


def _ids(ids: Iterable[str]) -> frozenset[str]:
    return frozenset(ids)


def _counts(works: Works) -> dict[str, dict[str, int]]:
    counts: dict[str, dict[str, int]] = {one.type_id: {} for one in works.vehicle_types}
    for one in works.assemblies:
        counts[one.type_id][one.assembly_id] = one.count
    return counts


def _ends(route: Route) -> tuple[str, ...]:
    return tuple(one.stage_id for one in route.stages if not route.leads_to[one.stage_id])


def _parts_at(route: Route) -> tuple[str, ...]:
    whole = {one.stage_id for one in route.stages if one.assembly_id == WHOLE}
    parting = {
        earlier
        for one in route.stages
        if one.assembly_id != WHOLE
        for earlier in route.follows[one.stage_id]
        if earlier in whole
    }
    return tuple(sorted(parting))


def _ripe(route: Route) -> dict[str, tuple[str, ...]]:
    of = {one.stage_id: one.assembly_id for one in route.stages}
    ripe: dict[str, dict[str, None]] = {assembly: {} for assembly in of.values()}
    for one in route.stages:
        if one.assembly_id == WHOLE:
            for earlier in route.follows[one.stage_id]:
                ripe[of[earlier]][earlier] = None
    ripe.pop(WHOLE, None)
    return {assembly: tuple(stages) for assembly, stages in ripe.items()}


def _always(works: Works) -> frozenset[str]:
    operations = {one.operation_id for one in works.operations if one.must_change}
    return frozenset(operations | {one.unit_kind_id for one in works.unit_kinds if one.must_change})


def _must_pass(works: Works, type_id: str) -> tuple[str, ...]:
    passed = works.routes[type_id].follows
    return tuple(
        one.item_id
        for one in works.test_items
        if one.must_pass and one.type_id in (None, type_id) and one.stage_id in passed
    )
