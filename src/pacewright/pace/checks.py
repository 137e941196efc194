"""The judge of a line: works every figure out again from works and programme, in its own way."""

from collections import Counter
from collections.abc import Iterable, Iterator
from math import isclose, isfinite
from typing import Any

from pacewright.pace.judge_hours import judge_plant, judge_trades
from pacewright.pace.judge_positions import judge_positions
from pacewright.pace.judge_route import judge_route
from pacewright.pace.judge_stays import charge_of, stay_hours
from pacewright.plans.line import Line, PlantLoad, StageLoad, TradeLoad
from pacewright.plans.programme import Programme
from pacewright.shops.tables import Stage
from pacewright.works import Works


def check_line(works: Works, programme: Programme, line: Line) -> tuple[str, ...]:
    """Everything that is wrong with the line; empty when nothing is.

    The judge does not use what made the line: stays through the night are tried start by start,
    the critical path is found by walking every way, positions wanted are tried in a simulation
    of the stage, hours are summed again from the tables.
    """
    if line.card.status == "impossible":
        return tuple(_judge_empty(programme, line))
    if shape := tuple(_judge_shape(works, line)):
        return shape
    found = [
        *_judge_numbers(line),
        *_judge_takt(works, programme, line),
        *_judge_turns(works, line),
        *_judge_stages(works, line),
        *judge_trades(works, line),
        *judge_plant(works, line),
        *judge_route(works, line),
        *_judge_slowest(line),
    ]
    # A simulation of a line whose sums are already wrong would only add noise.
    return tuple(found) or tuple(judge_positions(works, programme, line))


def _judge_empty(programme: Programme, line: Line) -> Iterator[str]:
    if programme.pace_a_day > 0:
        yield "The card says impossible, but the programme has a pace."
    if line.stages or line.trades or not line.notes:
        yield "An impossible line has loads, or does not say why it is impossible."


def _judge_shape(works: Works, line: Line) -> Iterator[str]:
    """Stages and types are those of the works; without that nothing else can be worked out."""
    if [one.stage_id for one in line.stages] != [one.stage_id for one in works.stages]:
        yield "The stages of the line are not those of the works, in their order."
    if not {turn.type_id for turn in line.turns} <= set(works.routes):
        yield "The line has a type that the works has not."


def _judge_numbers(line: Line) -> Iterator[str]:
    """Every figure is finite and none is negative, over_share and slacks apart."""
    signed = {"over_share", "slack_days", "offset_days"}
    rows: Iterable[Any] = (
        *line.turns,
        *line.stages,
        *line.trades,
        *line.plant,
        *line.route,
        *line.units,
    )
    for row in rows:
        for name in row.__dataclass_fields__:
            value = getattr(row, name)
            if isinstance(value, float) and not isfinite(value):
                yield f"{type(row).__name__} {name} is not finite."
            elif isinstance(value, float) and value < -1e-9 and name not in signed:
                yield f"{type(row).__name__} {name} is below 0: {value:g}."


def _judge_takt(works: Works, programme: Programme, line: Line) -> Iterator[str]:
    pace = programme.pace_a_day
    wanted = {
        "pace_a_day": pace,
        "pace_a_week": pace * works.week_days,
        "takt_days": 1 / pace,
        "takt_hours": works.calendar.hours_a_day / pace,
        "inside_mean": sum(turn.inside_mean for turn in line.turns),
    }
    for name, value in wanted.items():
        if not isclose(getattr(line, name), value, rel_tol=1e-9):
            yield f"{name} is {getattr(line, name):g}, the programme asks {value:g}."


def _judge_turns(works: Works, line: Line) -> Iterator[str]:
    promised = {one.type_id: one.turn_days for one in works.vehicle_types}
    if not isclose(sum(turn.share for turn in line.turns), 1.0, rel_tol=1e-9):
        yield "The shares of the types do not sum to 1."
    waits = {
        one.stage_id: (
            0.0 if one.wait_grows_hours else one.wait_hours / works.shop_hours_a_day[one.shop_id]
        )
        + one.batch_wait_hours / works.shop_hours_a_day[one.shop_id]
        for one in line.stages
    }
    for turn in line.turns:
        most = turn.route_days + sum(waits[stage_id] for stage_id in _passed(works, turn.type_id))
        if not turn.route_days - 1e-9 <= turn.expected_days <= most + 1e-6:
            yield f"Type {turn.type_id}: expected days are not route days with waits."
        if turn.promised_days != promised[turn.type_id]:
            yield f"Type {turn.type_id}: promised days are not those of the table."
        inside = line.pace_a_day * turn.share * turn.expected_days
        if not isclose(turn.inside_mean, inside, rel_tol=1e-9):
            yield f"Type {turn.type_id}: inside is not pace x share x expected days."


def _passed(works: Works, type_id: str) -> list[str]:
    return [stage.stage_id for stage in works.routes[type_id].stages]


def _judge_stages(works: Works, line: Line) -> Iterator[str]:
    for stage, load in zip(works.stages, line.stages, strict=True):
        for name, value in _stage_figures(works, line, stage, load).items():
            if not isclose(getattr(load, name), value, rel_tol=2e-3, abs_tol=1e-6):
                yield f"Stage {stage.stage_id}: {name} is {getattr(load, name):g}, not {value:g}."
        yield from _judge_gear(f"Stage {stage.stage_id}", load, load.positions_wanted)
        yield from _judge_wait(works, stage, load)


def _stage_figures(works: Works, line: Line, stage: Stage, load: StageLoad) -> dict[str, float]:
    day = works.shop_hours_a_day[stage.shop_id]
    mean, sd = stay_hours(stage, day)
    pieces = line.pace_a_day * sum(
        turn.share * works.routes[turn.type_id].passes.get(stage.stage_id, 0) for turn in line.turns
    )
    busy = pieces * mean / day
    charge = charge_of(stage)
    able = stage.positions // charge * charge / busy * line.pace_a_week if busy else 0.0
    slow = max(0.0, 1 - able / line.pace_a_week) if busy else 0.0
    return {
        "pieces_a_day": pieces,
        "hours_mean": mean,
        "hours_sd": sd,
        "batch_size": stage.batch_size,
        "positions": stage.positions,
        "positions_mean": busy,
        "use_share": busy / stage.positions,
        "able_a_week": able,
        "over_share": able / line.pace_a_week - 1 if busy else 0.0,
        "wait_grows_hours": slow * works.week_days * day,
    }


def _judge_wait(works: Works, stage: Stage, load: StageLoad) -> Iterator[str]:
    allowed = 1 - works.settings.plan.position_confidence
    here = f"Stage {stage.stage_id}"
    if not 0 <= load.wait_chance <= 1 + 1e-9:
        yield f"{here}: the chance of a wait is no chance."
    if load.positions_wanted < load.positions_mean - 1e-6:
        yield f"{here}: fewer positions wanted than are busy on average."
    enough = load.positions >= load.positions_wanted
    if load.pieces_a_day and enough != (load.wait_chance <= allowed + 1e-6):
        yield f"{here}: positions wanted and the chance of a wait contradict each other."
    if stage.batch_size == 1 and load.batch_wait_hours:
        yield f"{here}: waits for a batch, but takes one at a time."
    longest = works.week_days * works.shop_hours_a_day[stage.shop_id]
    if not load.wait_grows_hours and load.wait_hours > longest + 1e-6:
        yield f"{here}: the mean wait is longer than a week."


def _judge_gear(here: str, load: StageLoad | TradeLoad | PlantLoad, wanted: float) -> Iterator[str]:
    slower = load.over_share < -1e-9
    if slower != (load.gear == "holds up"):
        yield f"{here}: gear {load.gear} against an able pace {load.over_share:+.0%} of the pace."
    there = getattr(load, "positions", 0)
    if not slower and (there < wanted) != (load.gear == "tight"):
        yield f"{here}: gear {load.gear} with {there} there and {wanted:g} wanted."
    if load.gear == "runs ahead" and there <= wanted:
        yield f"{here}: runs ahead, but none is too many."
    if not load.reason:
        yield f"{here}: no reason is given."


def _judge_slowest(line: Line) -> Iterator[str]:
    able = [one.able_a_week for one in line.stages if one.pieces_a_day]
    able += [one.able_a_week for one in line.trades if one.hours_mean]
    able += [one.able_a_week for one in line.plant if one.pieces_a_day]
    if able and not isclose(line.able_a_week, min(able), rel_tol=1e-9, abs_tol=1e-12):
        yield f"The works is able to {line.able_a_week:g} a week, its slowest place {min(able):g}."
    if not line.slowest and able:
        yield "The slowest place is not named."
    twice = [name for name, times in Counter(_names(line)).items() if times > 1]
    yield from (f"{name} stands twice." for name in twice)


def _names(line: Line) -> Iterator[str]:
    yield from (f"trade {one.trade_id} in {one.shop_id}" for one in line.trades)
    yield from (f"plant {one.plant_id}" for one in line.plant)
    yield from (f"type {one.type_id}" for one in line.turns)
    yield from (f"unit {one.unit_kind_id} on {one.type_id}" for one in line.units)
