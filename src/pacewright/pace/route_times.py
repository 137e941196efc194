"""Time inside of each type: by its route alone, with mean waits, and what may wait for what."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from pacewright.pace.critical_path import CRITICAL_DAYS, Charge, ChargeTimes, network_of
from pacewright.pace.factory_physics import vehicles_inside
from pacewright.pace.positions import StageWait
from pacewright.pace.problem import LineProblem
from pacewright.plans.line import RouteStage, TypeTurn, UnitSlack
from pacewright.shops.route import Route
from pacewright.works import Works


@dataclass(frozen=True)
class TypeRoute:
    """One type's route worked out.

    Parameters
    ----------
    bare, bare_days : without waits. ``expected``, ``expected_days`` : with mean waits.
    at_first : without waits, every test passed at first.
    """

    route: Route
    bare: dict[Charge, ChargeTimes]
    bare_days: float
    expected: dict[Charge, ChargeTimes]
    expected_days: float
    at_first: dict[Charge, ChargeTimes]

    def charges(self, stage_id: str, *, at_first: bool = False) -> list[ChargeTimes]:
        """The charges of one stage, first to last, without waits."""
        times = self.at_first if at_first else self.bare
        return [one for charge, one in times.items() if charge[0] == stage_id]


def type_routes(problem: LineProblem, waits: Mapping[str, StageWait]) -> dict[str, TypeRoute]:
    """The route of every type of the mix."""
    days = {stage_id: time.mean_days for stage_id, time in problem.times.items()}
    once = {stage_id: time.once_days for stage_id, time in problem.times.items()}
    delay = {stage_id: wait.days for stage_id, wait in waits.items()}
    found = {}
    for type_id, route in problem.routes.items():
        bare, expected = network_of(route, days), network_of(route, days, delay)
        found[type_id] = TypeRoute(
            route,
            bare.schedule(),
            bare.length,
            expected.schedule(),
            expected.length,
            network_of(route, once).schedule(),
        )
    return found


def route_stages(routes: Mapping[str, TypeRoute]) -> tuple[RouteStage, ...]:
    """Every stage of every type: first start to last end of its charges, least slack of them."""
    found = []
    for type_id, one in routes.items():
        for stage in one.route.stages:
            charges = one.charges(stage.stage_id)
            slack = min(times.slack for times in charges)
            found.append(
                RouteStage(
                    type_id=type_id,
                    stage_id=stage.stage_id,
                    earliest_start_day=min(times.earliest_start for times in charges),
                    earliest_end_day=max(times.earliest_end for times in charges),
                    latest_start_day=min(times.latest_start for times in charges),
                    latest_end_day=max(times.latest_end for times in charges),
                    slack_days=0.0 if slack < CRITICAL_DAYS else slack,
                    critical=slack < CRITICAL_DAYS,
                )
            )
    return tuple(found)


def type_turns(
    works: Works, problem: LineProblem, routes: Mapping[str, TypeRoute]
) -> tuple[TypeTurn, ...]:
    """Time inside of every type of the mix, and how many of it are inside."""
    promised = {one.type_id: one.turn_days for one in works.vehicle_types}
    return tuple(
        TypeTurn(
            type_id=type_id,
            share=share,
            route_days=routes[type_id].bare_days,
            expected_days=routes[type_id].expected_days,
            promised_days=promised[type_id],
            inside_mean=vehicles_inside(problem.pace_a_day * share, routes[type_id].expected_days),
        )
        for type_id, share in problem.mix.items()
    )


def unit_slacks(works: Works, routes: Mapping[str, TypeRoute]) -> tuple[UnitSlack, ...]:
    """Every unit kind on every type that carries it and passes its strip and its fit stage."""
    kinds = {one.unit_kind_id: one for one in works.unit_kinds}
    found = []
    for fit in works.fits:
        kind = kinds[fit.unit_kind_id]
        one = routes.get(fit.type_id)
        if one is None or not {kind.strip_stage_id, kind.fit_stage_id} <= set(one.route.passes):
            continue
        removed, needed = _removed_and_needed(one, kind.strip_stage_id, kind.fit_stage_id)
        found.append(
            UnitSlack(
                type_id=fit.type_id,
                unit_kind_id=kind.unit_kind_id,
                removed_day=removed,
                needed_day=needed,
                offset_days=needed - removed,
                turn_days=kind.turn_days,
                slack_days=needed - removed - kind.turn_days,
            )
        )
    return tuple(found)


def _removed_and_needed(one: TypeRoute, strip_id: str, fit_id: str) -> tuple[float, float]:
    """The shortest of the pieces' offsets; piece by piece where both stages handle the same."""
    every = {stage.stage_id: stage for stage in one.route.stages}
    strip, fit = (one.charges(stage_id, at_first=True) for stage_id in (strip_id, fit_id))
    pieces = one.route.passes[strip_id]
    if one.route.passes[fit_id] != pieces:
        return max(c.earliest_end for c in strip), min(c.earliest_start for c in fit)
    pairs = [
        (
            strip[piece // every[strip_id].charge_size].earliest_end,
            fit[piece // every[fit_id].charge_size].earliest_start,
        )
        for piece in range(pieces)
    ]
    return min(pairs, key=lambda pair: pair[1] - pair[0])


def overlong_waits(problem: LineProblem, routes: Mapping[str, TypeRoute]) -> Iterable[str]:
    """A sentence for each stage whose expected wait after a stage before is longer than allowed.

    A working day of waiting is 24 hours by the clock, for paint dries and parts rust at night.
    """
    for type_id, one in routes.items():
        for stage in one.route.stages:
            allowed = stage.longest_wait_hours
            if allowed is None:
                continue
            for before in one.route.follows[stage.stage_id]:
                hours = 24 * _longest_gap(one.expected, before, stage.stage_id)
                if hours > allowed + 1e-6:
                    yield (
                        f"Type {type_id} waits about {hours:.0f} h between {before} and "
                        f"{stage.stage_id}; at most {allowed:.0f} h are allowed. Start {before} "
                        f"later, or give {stage.stage_id} another position."
                    )


def _longest_gap(expected: Mapping[Charge, ChargeTimes], before: str, stage_id: str) -> float:
    ends = [times.earliest_end for charge, times in expected.items() if charge[0] == before]
    starts = [times.earliest_start for charge, times in expected.items() if charge[0] == stage_id]
    return max(starts[-1] - ends[-1], starts[0] - ends[0])
