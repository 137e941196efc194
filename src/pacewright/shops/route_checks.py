"""What must hold of the route as a graph, for each vehicle type that goes round it.

A check is called with what its parameters are named for: tables, ``type_ids`` (every vehicle
type), ``routes`` (vehicle type -> its route, when the stages run in no circle).
"""

from collections.abc import Callable, Iterator, Mapping, Sequence

from pacewright.base.faults import Finding
from pacewright.shops.route import Route, RouteLoopError, stage_order
from pacewright.shops.tables import WHOLE, Assembly, Stage


def route_has_no_loop(stages: Sequence[Stage]) -> Iterator[Finding]:
    """The stages run in no circle."""
    place = {one.stage_id: index for index, one in enumerate(stages)}
    links = {s.stage_id: [f for f in s.follows if f in place] for s in stages}
    while loop := _loop(links):
        yield Finding(
            "stages",
            place[loop[-1]],
            "follows",
            f"the stages run in a circle: {' -> '.join(loop)}",
            "No stage comes, even through others, after itself.",
            "Take one stage of the circle out of the follows of the next.",
        )
        # Opened here, the circle gives way to the next one.
        links[loop[-1]].remove(loop[-2])


def _loop(links: dict[str, list[str]]) -> tuple[str, ...]:
    try:
        stage_order({name: tuple(before) for name, before in links.items()})
    except RouteLoopError as error:
        return error.loop
    return ()


def follows_shares_type(stages: Sequence[Stage]) -> Iterator[Finding]:
    """A stage follows only stages that some type of its own passes too."""
    types_of = {one.stage_id: set(one.type_ids) for one in stages}
    for index, one in enumerate(stages):
        own = types_of[one.stage_id]
        for earlier in one.follows:
            others = types_of.get(earlier, set())
            if own and others and not own & others:
                yield Finding(
                    "stages",
                    index,
                    "follows",
                    f"stage {one.stage_id} ({' '.join(sorted(own))}) follows {earlier} "
                    f"({' '.join(sorted(others))})",
                    "A stage follows stages that one of its types passes.",
                    "Correct follows, or the type_ids of one of the two.",
                )


def type_has_route(type_ids: Sequence[str], routes: Mapping[str, Route]) -> Iterator[Finding]:
    """Each vehicle type passes at least one stage."""
    for index, type_id in enumerate(type_ids):
        if not routes[type_id].stages:
            yield Finding(
                "vehicle_types",
                index,
                "type_id",
                f"type {type_id} passes no stage",
                "Each vehicle type has a route through the works.",
                "Name the type in the stages it passes, or leave their type_ids blank.",
            )


def stage_is_passed(stages: Sequence[Stage], routes: Mapping[str, Route]) -> Iterator[Finding]:
    """Each stage is passed by at least one vehicle type."""
    passed = {one.stage_id for route in routes.values() for one in route.stages}
    for index, stage in enumerate(stages):
        if stage.stage_id not in passed:
            yield Finding(
                "stages",
                index,
                "type_ids",
                f"no type passes stage {stage.stage_id}",
                "A stage is passed by one type at least: named in type_ids (blank: all), "
                "and having the stage's assembly.",
                "Correct type_ids or assembly_id, or delete the stage.",
            )


def route_begins_and_ends_whole(
    stages: Sequence[Stage], routes: Mapping[str, Route]
) -> Iterator[Finding]:
    """The route of a type begins at one stage and ends at one stage, the vehicle whole at both."""
    place = {one.stage_id: index for index, one in enumerate(stages)}
    for type_id, route in routes.items():
        gates = [one for one in route.stages if not route.follows[one.stage_id]]
        ends = [one for one in route.stages if not route.leads_to[one.stage_id]]
        for word, found in (("begins", gates), ("ends", ends)):
            parted = [one for one in found if one.assembly_id != WHOLE]
            wrong = parted or found[1:]
            if not wrong:
                continue
            listed = ", ".join(f"{one.stage_id} ({one.assembly_id})" for one in found)
            yield Finding(
                "stages",
                place[wrong[0].stage_id],
                "follows",
                f"the route of type {type_id} {word} at {listed}",
                f"A route {word} at one stage, which the whole vehicle passes; what was parted "
                "is married again.",
                "Let the stage follow, or be followed by, the stage that is meant.",
            )


def one_place_at_a_time(stages: Sequence[Stage], routes: Mapping[str, Route]) -> Iterator[Finding]:
    """A whole vehicle, and each assembly, stands at one stage at a time."""
    place = {one.stage_id: index for index, one in enumerate(stages)}
    for type_id, route in routes.items():
        for index, first in enumerate(route.stages):
            for second in route.stages[index + 1 :]:
                # The whole vehicle excludes everything else; an assembly only itself.
                excluded = WHOLE in (first.assembly_id, second.assembly_id)
                if not excluded and first.assembly_id != second.assembly_id:
                    continue
                if route.is_before(first.stage_id, second.stage_id):
                    continue
                yield Finding(
                    "stages",
                    place[second.stage_id],
                    "follows",
                    f"type {type_id} passes {second.stage_id} ({second.assembly_id}) and "
                    f"{first.stage_id} ({first.assembly_id}) in no order",
                    "A whole vehicle and each of its assemblies stands at one stage at a time.",
                    "Let one of the two follow the other.",
                )


def assembly_keeps_its_name(
    stages: Sequence[Stage], routes: Mapping[str, Route]
) -> Iterator[Finding]:
    """From an assembly's stage the way leads to a stage of the same assembly, or to marrying."""
    place = {one.stage_id: index for index, one in enumerate(stages)}
    for type_id, route in routes.items():
        passed = {one.stage_id: one.assembly_id for one in route.stages}
        for stage_id, before in route.follows.items():
            for earlier in before:
                pair = {passed[earlier], passed[stage_id]}
                if len(pair) == 1 or WHOLE in pair:
                    continue
                yield Finding(
                    "stages",
                    place[stage_id],
                    "follows",
                    f"type {type_id}: {stage_id} ({passed[stage_id]}) follows {earlier} "
                    f"({passed[earlier]})",
                    "An assembly does not become another: only the whole vehicle parts, and only "
                    "into it are assemblies married.",
                    "Correct follows or assembly_id; put a stage of the whole vehicle between.",
                )


def assembly_has_stages(
    assemblies: Sequence[Assembly], routes: Mapping[str, Route]
) -> Iterator[Finding]:
    """Each assembly of a type passes a stage of its own."""
    for index, one in enumerate(assemblies):
        route = routes[one.type_id]
        if not any(stage.assembly_id == one.assembly_id for stage in route.stages):
            yield Finding(
                "assemblies",
                index,
                "assembly_id",
                f"assembly {one.assembly_id} of type {one.type_id} passes no stage",
                "What a vehicle parts into goes round stages of its own.",
                "Add its stages, or delete the assembly.",
            )


def vehicle_parts_once(stages: Sequence[Stage], routes: Mapping[str, Route]) -> Iterator[Finding]:
    """A vehicle is whole, then in assemblies, then whole again: it parts once."""
    place = {one.stage_id: index for index, one in enumerate(stages)}
    for type_id, route in routes.items():
        parted = [one.stage_id for one in route.stages if one.assembly_id != WHOLE]
        for one in route.stages:
            before = [other for other in parted if route.is_before(other, one.stage_id)]
            after = [other for other in parted if route.is_before(one.stage_id, other)]
            if one.assembly_id == WHOLE and before and after:
                yield Finding(
                    "stages",
                    place[one.stage_id],
                    "assembly_id",
                    f"type {type_id} passes {one.stage_id} whole, between {before[0]} and "
                    f"{after[0]} in assemblies",
                    "A vehicle parts once and is married once.",
                    "Give the stage the assembly that passes it, or correct follows.",
                )


def one_assembly_leads(assemblies: Sequence[Assembly]) -> Iterator[Finding]:
    """A type that parts has an assembly of count 1; the first of these keeps its number."""
    leads = {one.type_id for one in assemblies if one.count == 1}
    for index, one in enumerate(assemblies):
        if one.type_id not in leads:
            leads.add(one.type_id)
            yield Finding(
                "assemblies",
                index,
                "count",
                f"type {one.type_id} has {one.count} of {one.assembly_id}, and of no assembly one",
                "One assembly that a vehicle has once (its body) keeps the vehicle's number.",
                "Add that assembly, or write count 1.",
            )


CHECKS: tuple[Callable[..., Iterator[Finding]], ...] = (
    route_has_no_loop,
    follows_shares_type,
    type_has_route,
    stage_is_passed,
    route_begins_and_ends_whole,
    one_place_at_a_time,
    assembly_keeps_its_name,
    assembly_has_stages,
    vehicle_parts_once,
    one_assembly_leads,
)
"""Every check of the route, in the order in which a route is drawn up."""
