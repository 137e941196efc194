"""The flow picture: which stages, branches and stores it shows, and what is said of each."""

from collections import defaultdict
from collections.abc import Iterable, Sequence

from pacewright.plans.forecast import Cause, FloatForecast, Forecast, Queue
from pacewright.reports.drawings.flow_node import Node, Store
from pacewright.reports.drawings.flow_picture import Lane, flow_picture
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.simulation.interval import plus_minus
from pacewright.reports.simulation.uses import FULL
from pacewright.reports.written import listed, number, share, some
from pacewright.shops.route import stage_order
from pacewright.shops.tables import WHOLE
from pacewright.works import Works

STANDS_FROM = 0.5
"""Pieces that wait on average from which on the picture says that work stands, or piles up."""


def flow_drawing(works: Works, forecast: Forecast) -> Drawing:
    """The picture of one forecast."""
    queues = in_route_order(works, forecast.queues)
    before, after = _whole(works, queues)
    branches = [_branch(a, works, forecast) for a in _assemblies(works, queues)]
    units = _unit_shops(works, forecast.floats)
    return flow_picture(
        ("flow", "Flow of the works: where work stands and where it piles up", ""),
        Lane("Vehicle, whole, up to parting", _nodes(works, before)),
        [*branches, *([units] if units.nodes else [])],
        Lane("Vehicle, whole again, from marriage to release", _nodes(works, after)),
    )


def in_route_order(works: Works, queues: Iterable[Queue]) -> list[Queue]:
    """Each stage after all it follows, over all types; unknown stages last, as they come."""
    known = {stage.stage_id for stage in works.stages}
    follows: dict[str, Sequence[str]] = {
        s.stage_id: [f for f in s.follows if f in known] for s in works.stages
    }
    place = {stage_id: n for n, stage_id in enumerate(stage_order(follows))}
    return sorted(queues, key=lambda q: place.get(q.stage_id, len(place)))


def last_full_stage(works: Works, forecast: Forecast) -> Queue | None:
    """The stage furthest along the route that is full while work stands before it.

    It keeps the positions before it held, so the queue shows back along the route; what follows
    it is not full. None where no stage is both.
    """
    queues = in_route_order(works, forecast.queues)
    before, after = _whole(works, queues)
    order = [*before, *(q for q in queues if q.assembly_id != WHOLE), *after]
    return next((q for q in reversed(order) if _is_full(q) and stands(q)), None)


def stands(queue: Queue) -> bool:
    """True where so much waits before a stage that it must be said."""
    return queue.waiting_mean >= STANDS_FROM


def _is_full(queue: Queue) -> bool:
    return queue.on_positions_mean >= FULL * queue.positions > 0


def _whole(works: Works, queues: Iterable[Queue]) -> tuple[list[Queue], list[Queue]]:
    """Stages of the whole vehicle: those before parting, and those some assembly stage precedes."""
    parted = {q.stage_id for q in queues if q.assembly_id != WHOLE}
    before: list[Queue] = []
    after: list[Queue] = []
    for one in queues:
        if one.assembly_id == WHOLE:
            later = any(
                route.is_before(stage_id, one.stage_id)
                for route in works.routes.values()
                for stage_id in parted
            )
            (after if later else before).append(one)
    return before, after


def _assemblies(works: Works, queues: Iterable[Queue]) -> list[str]:
    passed = {q.assembly_id for q in queues} - {WHOLE}
    known = [a.assembly_id for a in works.assemblies if a.assembly_id in passed]
    return list(dict.fromkeys([*known, *sorted(passed)]))


def _branch(assembly_id: str, works: Works, forecast: Forecast) -> Lane:
    name = next((a.name for a in works.assemblies if a.assembly_id == assembly_id), assembly_id)
    queues = in_route_order(works, (q for q in forecast.queues if q.assembly_id == assembly_id))
    return Lane(
        f"{name}, {some(len(queues), 'stage')}",
        _nodes(works, queues),
        _store(assembly_id, name, works, forecast),
    )


def _store(assembly_id: str, name: str, works: Works, forecast: Forecast) -> Store | None:
    """What lies at the end of a branch: the leading assembly stands, the others are stored."""
    leads = {t.type_id for t in works.vehicle_types if leading(t.type_id, works) == assembly_id}
    stored = [
        p for p in forecast.piles
        if p.kind == "assembly" and p.place_id.split(" ")[-1] == assembly_id
    ]  # fmt: skip
    if stored:
        pieces = sum(p.pieces_mean for p in stored)
        return Store(
            "stored to be married", pieces, "piles up" if pieces >= STANDS_FROM else "",
            f"{name}: {number(pieces)} stored on average, wait for vehicles",
        )  # fmt: skip
    days = sum(
        h.vehicle_days_a_year for h in forecast.holdups
        if h.cause is Cause.ASSEMBLY and h.place_id.split(" ")[0] in leads
    )  # fmt: skip
    if not leads or not days:
        return None
    # Little's law: vehicles that stand = vehicle-days a year over working days of the year.
    pieces = days / working_days_a_year(forecast)
    return Store(
        "wait for the other branch", pieces, "stands" if pieces >= STANDS_FROM else "",
        f"{name}: {number(pieces)} wait on average for the assembly they are to be married with",
    )  # fmt: skip


def leading(type_id: str, works: Works) -> str:
    """The assembly that carries the vehicle's identity: the first of which it has just one."""
    return next(
        (a.assembly_id for a in works.assemblies if a.type_id == type_id and a.count == 1), ""
    )


def working_days_a_year(forecast: Forecast) -> float:
    """Working days in a year of 52 weeks, as they fall in the weeks measured."""
    days = [week.working_days for week in forecast.weeks if week.measured]
    return 52 * sum(days) / len(days) if sum(days) else 260.0


def _nodes(works: Works, queues: Sequence[Queue]) -> tuple[Node, ...]:
    types = {s.stage_id: s.type_ids for s in works.stages}
    shops = {shop.shop_id: shop.name for shop in works.shops}
    return tuple(_node(q, types.get(q.stage_id, ()), shops.get(q.shop_id, q.shop_id))
                 for q in queues)  # fmt: skip


def _node(queue: Queue, type_ids: Sequence[str], shop: str) -> Node:
    held = queue.on_positions_mean
    only = f", only {', '.join(type_ids)}" if type_ids else ""
    return Node(
        name=queue.name,
        waiting=queue.waiting_mean,
        held=held,
        places=queue.positions,
        below=f"{number(held)} of {queue.positions}",
        stands=stands(queue),
        says=(
            f"{queue.name}, {shop}{only}: {plus_minus(queue.waiting_mean, queue.half_width)} wait,"
            f" {number(held)} of {some(queue.positions, 'position')} held"
            f" ({share(held / queue.positions if queue.positions else None)}),"
            f" {number(queue.passed_a_week)} a week"
        ),
        not_all=bool(type_ids),
    )


def _unit_shops(works: Works, floats: Iterable[FloatForecast]) -> Lane:
    """Shops that make units good: what vehicles wait for, and what lies ready."""
    by_shop: dict[str, list[FloatForecast]] = defaultdict(list)
    for one in floats:
        by_shop[one.shop_id].append(one)
    names = {shop.shop_id: shop.name for shop in works.shops}
    order = [*names, *sorted(set(by_shop) - set(names))]
    nodes = tuple(
        _unit_shop(names.get(shop_id, shop_id), by_shop[shop_id])
        for shop_id in order
        if shop_id in by_shop
    )
    return Lane("Units: shops that make them good; dots are units owed", nodes, chained=False)


def _unit_shop(name: str, kinds: Sequence[FloatForecast]) -> Node:
    owed = sum(k.owed_mean for k in kinds)
    shelf, held = sum(k.on_shelf_mean for k in kinds), sum(k.held for k in kinds)
    worst = sorted((k for k in kinds if k.owed_mean > 0.05), key=lambda k: -k.owed_mean)
    most = listed([f"{k.name} {number(k.owed_mean)}" for k in worst], 3)
    return Node(
        name=name,
        waiting=owed,
        held=min(float(held), shelf),
        places=held,
        below=f"{number(shelf, 0)} ready",
        stands=owed >= STANDS_FROM,
        says=(
            f"{name}: {some(len(kinds), 'unit kind')}, {number(owed)} units owed on average"
            f"{f' (most: {most})' if worst else ''}, {number(shelf)} ready, float {held}"
        ),
    )
