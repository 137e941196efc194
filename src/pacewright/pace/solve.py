"""The line: what the pace of the programme asks of every stage, trade, plant and of the route."""

from collections.abc import Sequence
from time import perf_counter

from pacewright.pace.factory_physics import LineBounds
from pacewright.pace.gear import amount
from pacewright.pace.people import trade_loads
from pacewright.pace.plant import plant_loads
from pacewright.pace.positions import stage_loads
from pacewright.pace.problem import LineProblem, problem_of
from pacewright.pace.repeats import charge_notes, repeat_notes
from pacewright.pace.route_times import (
    TypeRoute,
    overlong_waits,
    route_stages,
    type_routes,
    type_turns,
    unit_slacks,
)
from pacewright.pace.takt import called_pace, pace_notes
from pacewright.plans.card import ResultCard
from pacewright.plans.line import Gear, Line, PlantLoad, StageLoad, TradeLoad, TypeTurn
from pacewright.plans.programme import Programme
from pacewright.works import Works

METHOD = "Little's law, paced-queue law for positions, occurrence variance for hours, critical path"
PLACES_NAMED = 5
Loads = tuple[tuple[StageLoad, ...], tuple[TradeLoad, ...], tuple[PlantLoad, ...]]


def line(works: Works, programme: Programme) -> Line:
    """Everything the pace asks of the works.

    Parameters
    ----------
    works : the works, cross-checked.
    programme : the call-in programme; ``pace_a_day`` is the pace the line is geared to, its
        calls of the firm and planned zones give the mix of types.

    Returns
    -------
    The line. Without a pace or a type to work on it is empty, its card says "impossible" and a
    note says why.
    """
    started = perf_counter()
    problem = problem_of(works, programme)
    if problem.pace_a_day <= 0 or not problem.mix:
        return _nothing(problem, perf_counter() - started)
    stages, waits = stage_loads(problem)
    loads = (stages, trade_loads(works, problem), plant_loads(works, problem))
    routes = type_routes(problem, waits)
    turns = type_turns(works, problem, routes)
    slowest, able = slowest_of(loads)
    inside = sum(turn.inside_mean for turn in turns)
    notes = [
        *pace_notes(problem.pace_a_day, called_pace(programme), problem.week_days),
        *_pile_notes(problem, loads),
        *_turn_notes(turns),
        *overlong_waits(problem, routes),
        *repeat_notes(works, problem),
        *charge_notes(works, problem),
        *_limit_notes(works, problem, routes, able, inside),
    ]
    return Line(
        card=_card(able, perf_counter() - started, "closed form"),
        pace_a_day=problem.pace_a_day,
        pace_a_week=problem.pace_a_week,
        takt_days=1 / problem.pace_a_day,
        takt_hours=works.calendar.hours_a_day / problem.pace_a_day,
        inside_mean=inside,
        turns=turns,
        stages=stages,
        trades=loads[1],
        plant=loads[2],
        route=route_stages(routes),
        units=unit_slacks(works, routes),
        slowest=slowest,
        able_a_week=able,
        notes=tuple(notes),
    )


def slowest_of(loads: Loads) -> tuple[str, float]:
    """The place that can turn out least, in words, and the vehicles a week it is able to."""
    stages, trades, plant = loads
    able = [(one.able_a_week, f"stage {one.stage_id}, {one.name}") for one in stages]
    able = [pair for pair, one in zip(able, stages, strict=True) if one.pieces_a_day]
    able += [
        (one.able_a_week, f"trade {one.trade_id} in shop {one.shop_id}")
        for one in trades
        if one.hours_mean
    ]
    able += [
        (one.able_a_week, f"plant {one.plant_id}, {one.name}") for one in plant if one.pieces_a_day
    ]
    if not able:
        return "", 0.0
    least, name = min(able)
    return name, least


def _pile_notes(problem: LineProblem, loads: Loads) -> Sequence[str]:
    """Where work piles up: before every place that is slower than the pace."""
    stages, trades, plant = loads
    held = [(one.able_a_week, f"stage {one.stage_id}") for one in stages if _holds(one)]
    held += [
        (one.able_a_week, f"trade {one.trade_id} in shop {one.shop_id}")
        for one in trades
        if _holds(one)
    ]
    held += [(one.able_a_week, f"plant {one.plant_id}") for one in plant if _holds(one)]
    if not held:
        return []
    shown = [
        f"{name} (short by {amount(problem.pace_a_week - able)} vehicles a week)"
        for able, name in sorted(held)[:PLACES_NAMED]
    ]
    more = len(held) - len(shown)
    tail = f" and {more} more" if more else ""
    return [
        f"Slower than the pace, slowest first: {'; '.join(shown)}{tail}. Work piles up before the "
        "first of them on the way; those behind it show once it is mended. Expected times leave "
        "growing queues out."
    ]


def _holds(load: StageLoad | TradeLoad | PlantLoad) -> bool:
    return load.gear is Gear.HOLDS_UP


def _turn_notes(turns: Sequence[TypeTurn]) -> Sequence[str]:
    return [
        f"Type {one.type_id} is promised in {one.promised_days:g} working days and takes "
        f"{one.expected_days:.1f} on average ({one.route_days:.1f} without waits), units and "
        "people taken to be there. Shorten the critical stages or promise later."
        for one in turns
        if one.expected_days > one.promised_days
    ]


def _limit_notes(
    works: Works,
    problem: LineProblem,
    routes: dict[str, TypeRoute],
    able_a_week: float,
    inside: float,
) -> Sequence[str]:
    limit = works.settings.plan.inside_limit
    if limit is None:
        return []
    bare = sum(share * routes[one].bare_days for one, share in problem.mix.items())
    bounds = LineBounds(able_a_week / problem.week_days, bare)
    low = bounds.practical_worst_a_day(limit) * problem.week_days
    high = bounds.best_a_day(limit) * problem.week_days
    said = (
        f"With at most {limit} vehicles inside the works can pass {low:.1f} (in full disorder) "
        f"to {high:.1f} (nothing scatters) vehicles a week; the pace is "
        f"{problem.pace_a_week:.1f} and keeps {inside:.0f} inside."
    )
    if inside > limit:
        said += " The limit is too low for the pace: raise it or shorten the time inside."
    return [said]


def _card(able_a_week: float, seconds: float, status: str) -> ResultCard:
    return ResultCard(
        method=METHOD,
        status=status,
        objective=able_a_week,
        bound=able_a_week,
        gap=0.0,
        unit="vehicles a week the whole works is able to",
        seconds=seconds,
    )


def _nothing(problem: LineProblem, seconds: float) -> Line:
    return Line(
        card=_card(0.0, seconds, "impossible"),
        pace_a_day=problem.pace_a_day,
        pace_a_week=problem.pace_a_week,
        takt_days=0.0,
        takt_hours=0.0,
        inside_mean=0.0,
        turns=(),
        stages=(),
        trades=(),
        plant=(),
        route=(),
        units=(),
        slowest="",
        able_a_week=0.0,
        notes=("The programme calls no vehicle in, so there is no pace to gear the works to.",),
    )
