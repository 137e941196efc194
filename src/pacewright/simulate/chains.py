"""The route of each type as chains of steps: whole, parted, whole again."""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from pacewright.shops.route import Route
from pacewright.shops.tables import WHOLE, Stage
from pacewright.simulate.table import Ints, Then, TypeRows
from pacewright.works import Works


class NoChainError(ValueError):
    """A route cannot be run through piece by piece; the message says where and why."""


@dataclass(frozen=True)
class Chain:
    """The stages one piece passes in their one order.

    Parameters
    ----------
    type_id, assembly_id : whose; ``vehicle`` while whole.
    pieces : pieces of one vehicle that pass it.
    stages : in order.
    first_step : number of its first step.
    """

    type_id: str
    assembly_id: str
    pieces: int
    stages: tuple[Stage, ...]
    first_step: int

    @property
    def end_step(self) -> int:
        """The step after its last."""
        return self.first_step + len(self.stages)


@dataclass(frozen=True)
class TypeChains:
    """All chains of one type.

    Parameters
    ----------
    before : whole, up to parting.
    parts : one chain an assembly, the leading one first; none when the type does not part.
    after : whole, from marriage on; no stages when the type does not part.
    """

    before: Chain
    parts: tuple[Chain, ...]
    after: Chain

    @property
    def all(self) -> tuple[Chain, ...]:
        return (self.before, *self.parts, self.after)


@dataclass(frozen=True)
class Step:
    """One step: its chain, its place in it, what comes before and after."""

    chain: Chain
    stage: Stage
    then: Then
    stage_before: Stage | None


@dataclass(frozen=True)
class Chains:
    """The chains of every type, and their steps in one row."""

    of_type: dict[str, TypeChains]

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        return tuple(step for one in self.of_type.values() for step in _steps(one))

    @cached_property
    def parted(self) -> tuple[Chain, ...]:
        """The assemblies a that are parted off and taken again by any vehicle of the type."""
        return tuple(chain for one in self.of_type.values() for chain in one.parts[1:])

    def rows(self) -> TypeRows:
        """The table of types."""
        every = tuple(self.of_type.values())
        counts = [max(0, len(one.parts) - 1) for one in every]
        return TypeRows(
            first_step=_ints(one.before.first_step for one in every),
            marriage_step=_ints(one.after.first_step if one.parts else -1 for one in every),
            assembly_first=np.concatenate([[0], np.cumsum(counts)]).astype(np.int64),
            assembly_count=_ints(chain.pieces for chain in self.parted),
        )


def chains_of(works: Works) -> Chains:
    """The chains of every vehicle type.

    Raises
    ------
    NoChainError : a piece would have to stand at two stages at once, or no assembly leads.
    """
    found: dict[str, TypeChains] = {}
    step = 0
    for type_id, route in works.routes.items():
        found[type_id] = _type_chains(works, type_id, route, step)
        step = found[type_id].after.end_step
    return Chains(found)


def _type_chains(works: Works, type_id: str, route: Route, step: int) -> TypeChains:
    parted = [stage for stage in route.stages if stage.assembly_id != WHOLE]
    whole = [stage for stage in route.stages if stage.assembly_id == WHOLE]
    after = [w for w in whole if any(route.is_before(p.stage_id, w.stage_id) for p in parted)]
    before = [stage for stage in whole if stage not in after]
    groups = [(WHOLE, 1, before), *_parted_groups(works, type_id, parted), (WHOLE, 1, after)]
    chains = []
    for assembly_id, pieces, stages in groups:
        _refuse_unordered(route, stages)
        chains.append(Chain(type_id, assembly_id, pieces, tuple(stages), step))
        step += len(stages)
    one = TypeChains(chains[0], tuple(chains[1:-1]), chains[-1])
    if not before or (parted and not after):
        raise NoChainError(
            f"stages.csv: type {type_id} is not whole at the gate and at release. A vehicle comes "
            "in and goes out whole. Add the stage, or correct follows."
        )
    return one


def _parted_groups(
    works: Works, type_id: str, parted: list[Stage]
) -> Iterator[tuple[str, int, list[Stage]]]:
    mine = [one for one in works.assemblies if one.type_id == type_id]
    passing = [one for one in mine if any(s.assembly_id == one.assembly_id for s in parted)]
    leads = [one for one in passing if one.count == 1]
    if passing and not leads:
        raise NoChainError(
            f"assemblies.csv: type {type_id} has no assembly of count 1. One assembly that a "
            "vehicle has once keeps its number. Add it, or write count 1."
        )
    for one in [*leads[:1], *(other for other in passing if other not in leads[:1])]:
        stages = [stage for stage in parted if stage.assembly_id == one.assembly_id]
        yield one.assembly_id, one.count, stages


def _refuse_unordered(route: Route, stages: list[Stage]) -> None:
    for first, second in itertools.pairwise(stages):
        if not route.is_before(first.stage_id, second.stage_id):
            raise NoChainError(
                f"stages.csv: type {route.type_id} passes {first.stage_id} and {second.stage_id} "
                "in no order. A piece stands at one stage at a time. Let one follow the other."
            )


def _steps(one: TypeChains) -> Iterator[Step]:
    ends = {id(one.before): Then.PART if one.parts else Then.RELEASE, id(one.after): Then.RELEASE}
    for place, chain in enumerate(one.parts):
        ends[id(chain)] = Then.STORE if place else Then.MARRY
    for chain in one.all:
        earlier = _stage_before(one, chain)
        for stage in chain.stages:
            last = stage is chain.stages[-1]
            yield Step(chain, stage, ends[id(chain)] if last else Then.GO_ON, earlier)
            earlier = stage


def _stage_before(one: TypeChains, chain: Chain) -> Stage | None:
    """The stage before the first of a chain, by the way of the leading piece."""
    if chain is one.before:
        return None
    if chain is one.after:
        return one.parts[0].stages[-1] if one.parts else None
    return one.before.stages[-1]


def _ints(values: Iterator[int]) -> Ints:
    return np.array(list(values), np.int64)
