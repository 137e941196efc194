"""The route as a graph: which stage follows which, for one vehicle type."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from graphlib import CycleError, TopologicalSorter

from pacewright.shops.tables import WHOLE, Assembly, Stage


class RouteLoopError(ValueError):
    """The stages run in a circle; ``loop`` names them in order, the first again at the end."""

    def __init__(self, loop: Sequence[str]) -> None:
        self.loop = tuple(loop)
        super().__init__(" -> ".join(loop))


def stage_order(follows: dict[str, Sequence[str]]) -> tuple[str, ...]:
    """Stage ids so that each stands after all it follows.

    Raises
    ------
    RouteLoopError : the stages run in a circle.
    """
    try:
        return tuple(TopologicalSorter(follows).static_order())
    except CycleError as error:
        raise RouteLoopError(error.args[1]) from error


@dataclass(frozen=True)
class Route:
    """The stages one vehicle type passes, in an order in which they can be done.

    Parameters
    ----------
    type_id : the vehicle type.
    stages : its stages; each stands after all it follows.
    follows : stage id -> stage ids of this route directly before it.
    passes : stage id -> how many pieces of one vehicle pass the stage (1 while whole).
    """

    type_id: str
    stages: tuple[Stage, ...]
    follows: dict[str, tuple[str, ...]]
    passes: dict[str, int]

    @cached_property
    def leads_to(self) -> dict[str, tuple[str, ...]]:
        """Stage id -> stage ids directly after it."""
        after: dict[str, list[str]] = {stage.stage_id: [] for stage in self.stages}
        for stage_id, before in self.follows.items():
            for earlier in before:
                after[earlier].append(stage_id)
        return {stage_id: tuple(later) for stage_id, later in after.items()}

    @cached_property
    def _earlier(self) -> dict[str, frozenset[str]]:
        sets: dict[str, frozenset[str]] = {}
        for stage in self.stages:
            direct = self.follows[stage.stage_id]
            sets[stage.stage_id] = frozenset(direct).union(*(sets[one] for one in direct))
        return sets

    def is_before(self, first: str, second: str) -> bool:
        """True when stage ``first`` is always done before stage ``second``."""
        return first in self._earlier.get(second, frozenset())


def route_of(type_id: str, stages: Iterable[Stage], assemblies: Iterable[Assembly]) -> Route:
    """The route of one vehicle type; a stage the type does not pass hands its links on.

    Raises
    ------
    RouteLoopError : the stages run in a circle.
    """
    every = {stage.stage_id: stage for stage in stages}
    counts = {one.assembly_id: one.count for one in assemblies if one.type_id == type_id}
    counts[WHOLE] = 1
    order = stage_order({s.stage_id: [f for f in s.follows if f in every] for s in every.values()})
    passed = {
        stage_id
        for stage_id in order
        if (not every[stage_id].type_ids or type_id in every[stage_id].type_ids)
        and every[stage_id].assembly_id in counts
    }
    before: dict[str, tuple[str, ...]] = {}
    for stage_id in order:
        links: list[str] = []
        for earlier in every[stage_id].follows:
            if earlier in every:
                links += [earlier] if earlier in passed else before[earlier]
        before[stage_id] = tuple(dict.fromkeys(links))
    return Route(
        type_id=type_id,
        stages=tuple(every[stage_id] for stage_id in order if stage_id in passed),
        follows={stage_id: before[stage_id] for stage_id in order if stage_id in passed},
        passes={stage_id: counts[every[stage_id].assembly_id] for stage_id in passed},
    )
