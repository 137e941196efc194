"""The works as a picture on one day: every shop and stage, who stands where, what waits."""

from collections.abc import Iterable, Sequence

from pacewright.control.flow_now import leading
from pacewright.plans.flow_day import Doing, FlowDay, Source, StageDay, StoreDay
from pacewright.reports.drawings.flow_node import Store
from pacewright.reports.drawings.flow_picture import Lane, flow_picture
from pacewright.reports.drawings.svg import Drawing, drawing, num, path, rect, words
from pacewright.reports.drawings.works_picture_stage import (
    CELL,
    HEAP,
    LOOKS,
    SQUARE,
    StageBox,
)
from pacewright.reports.written import number, some
from pacewright.shops.route import stage_order
from pacewright.shops.tables import WHOLE
from pacewright.works import Works


def works_picture(works: Works, day: FlowDay) -> Drawing:
    """The picture of one day, and its key.

    Parameters
    ----------
    works : stages, shops and routes. ``day`` : what stands where.
    """
    return Drawing(works_flow(works, day) + works_key(day))


def works_flow(works: Works, day: FlowDay) -> Drawing:
    """The picture alone."""
    stages = _in_route_order(works, day.stages)
    of = {one.stage_id: one.assembly_id for one in works.stages}
    before, after = _whole(works, [one for one in stages if of[one.stage_id] == WHOLE])
    names = dict.fromkeys(one.assembly_id for one in works.assemblies)
    branches = []
    for assembly_id in names:
        mine = [one for one in stages if of[one.stage_id] == assembly_id]
        branches.append(_branch(works, day, assembly_id, mine))
    return flow_picture(
        ("worksflow", "The works as a flow", _about(day)),
        Lane(_gate(day), _boxes(works, day, before)),
        branches,
        Lane("Vehicle, whole again, from marriage to release", _boxes(works, day, after)),
    )


def _gate(day: FlowDay) -> str:
    digits = 1 if day.source is Source.FORECAST else 0
    named = f": {', '.join(day.gate)}" if 0 < len(day.gate) <= 6 else ""
    waits = f"{number(day.at_gate, digits)} wait" if day.at_gate >= 0.05 else "nobody waits"
    return f"Gate: {waits} to be let in{named}. Vehicle, whole, up to parting"


def _branch(works: Works, day: FlowDay, assembly_id: str, stages: Sequence[StageDay]) -> Lane:
    name = next(one.name for one in works.assemblies if one.assembly_id == assembly_id)
    keeps = " (keeps the number of the vehicle)" if assembly_id in leading(works) else ""
    store = next((one for one in day.stores if one.assembly_id == assembly_id), None)
    return Lane(f"{name}{keeps}", _boxes(works, day, stages), _store(day, store))


def _store(day: FlowDay, one: StoreDay | None) -> Store | None:
    if one is None:
        return None
    digits = 1 if day.source is Source.FORECAST else 0
    word = "will pile up" if day.source is Source.FORECAST else "piles up"
    named = f": {', '.join(one.names)}" if one.names else ""
    return Store(
        "done, to be married",
        one.pieces,
        word if one.piles_up else "",
        f"{one.name}: {number(one.pieces, digits)} done, wait for a vehicle{named}. More than "
        f"{one.room} cannot be married at once",
        digits,
    )


def _boxes(works: Works, day: FlowDay, stages: Sequence[StageDay]) -> tuple[StageBox, ...]:
    shops = {one.shop_id: one.name for one in works.shops}
    return tuple(StageBox(one, shops.get(one.shop_id, one.shop_id), day.source) for one in stages)


def _in_route_order(works: Works, stages: Iterable[StageDay]) -> list[StageDay]:
    known = {one.stage_id for one in works.stages}
    order = stage_order({s.stage_id: [f for f in s.follows if f in known] for s in works.stages})
    place = {stage_id: n for n, stage_id in enumerate(order)}
    return sorted(stages, key=lambda one: place[one.stage_id])


def _whole(works: Works, stages: Sequence[StageDay]) -> tuple[list[StageDay], list[StageDay]]:
    """Stages of the whole vehicle: up to parting, and from marriage on."""
    parted = {one.stage_id for one in works.stages if one.assembly_id != WHOLE}
    before: list[StageDay] = []
    after: list[StageDay] = []
    for one in stages:
        later = any(
            route.is_before(stage_id, one.stage_id)
            for route in works.routes.values()
            for stage_id in parted
        )
        (after if later else before).append(one)
    return before, after


def _about(day: FlowDay) -> str:
    stands = [one.name for one in day.stages if one.has_standing]
    piles = [one.name for one in day.stages if one.piles_up]
    piles += [f"{one.name} to be married" for one in day.stores if one.piles_up]
    will = day.source is Source.FORECAST
    return (
        f"{some(len(day.stages), 'stage')} in order of the route, each with its positions and what "
        f"waits before it. Work {'will stand' if will else 'stands'} at: "
        f"{', '.join(stands) or 'no stage'}. It {'will pile' if will else 'piles'} up before: "
        f"{', '.join(piles) or 'no stage'}. The table below says the same."
    )


def works_key(day: FlowDay) -> Drawing:
    """What the looks mean, drawn as they are."""
    ahead = day.source is Source.FORECAST
    x, parts = 24.0, []
    for look, said in (
        *((LOOKS[one], one.value) for one in Doing),
        ("cellfree", "free"),
        ("cellout", "out of use"),
    ):
        parts += [rect(x, 6, (26, CELL), look), words(x + 32, 18, said, "nodeword")]
        x += 52 + 6.1 * len(said)
    for course, look, said in (
        (SQUARE, "signstands", "will stand, in this share of the runs" if ahead else "stands"),
        (HEAP, "signpiles", "will pile up" if ahead else "piles up"),
    ):
        parts.append(f'<g transform="translate({num(x)} 10)">{path(course, look)}</g>')
        parts.append(words(x + 14, 18, said, f"nodeword {look}word"))
        x += 34 + 6.1 * len(said)
    about = ("Key of the picture", "Looks of positions and signs, each with its meaning")
    return drawing("worksflowkey", (1164, 28), about, *parts)
