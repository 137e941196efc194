"""The judge of people and plant: hours and charges summed again, operation by operation."""

from collections import defaultdict
from collections.abc import Iterator
from math import erfc, isclose, sqrt
from statistics import NormalDist

from pacewright.parts.tables import Operation
from pacewright.plans.line import Line, PlantLoad, TradeLoad
from pacewright.shops.tables import Plant, Stage
from pacewright.works import Works

_Key = tuple[str, str]


def judge_trades(works: Works, line: Line) -> Iterator[str]:
    """Hours needed and able, people and the chance of a short week, of every trade."""
    needed = _hours_needed(works, line)
    crews = {(one.shop_id, one.trade_id): one for one in works.people}
    shown = {(one.shop_id, one.trade_id): one for one in line.trades}
    busy = {key for key, hours in needed.items() if hours > 0}
    for key in sorted((busy | set(crews)) ^ set(shown)):
        yield f"Trade {key[1]} in shop {key[0]} is missing, or has neither work nor people."
    for key, load in shown.items():
        here = f"Trade {key[1]} in shop {key[0]}"
        if not isclose(load.hours_mean - load.campaign_hours, needed[key], rel_tol=1e-6):
            yield f"{here}: the week asks {needed[key]:g} h without campaigns."
        crew = crews.get(key)
        each = works.week_days * 8.0
        if crew:
            each = crew.hours_a_day * works.week_days * crew.attendance_share * crew.performance
        people = crew.people if crew else 0.0
        if load.people != people or not isclose(load.hours_able, people * each, rel_tol=1e-9):
            yield f"{here}: able hours are not people x hours x attendance x performance."
        if load.hours_shown != (crew.shown_hours_a_week if crew else None):
            yield f"{here}: hours shown are not those of the table."
        yield from _judge_people(works, here, load, each)
        yield from _judge_trade_gear(line, here, load)
    yield from _judge_campaigns(works, line)


def _hours_needed(works: Works, line: Line) -> dict[_Key, float]:
    """Mean hours a week without campaigns."""
    needed: dict[_Key, float] = defaultdict(float)
    stages = {one.stage_id: one for one in works.stages}
    stage_shops = {one.stage_id: one.shop_id for one in works.stages}
    kinds = {one.unit_kind_id: one for one in works.unit_kinds}
    carried = {(one.unit_kind_id, one.type_id): one.per_vehicle for one in works.fits}
    for operation in works.operations:
        share = 1.0 if operation.must_change else operation.occurrence_share
        hours = share * operation.standard_hours
        if operation.stage_id is not None:
            key = (stage_shops[operation.stage_id], operation.trade_id)
            times = _per_vehicle_at_stage(works, line, operation)
            times *= _work_with_repeats(stages[operation.stage_id])
        else:
            kind = kinds[operation.unit_kind_id or ""]
            key = (kind.shop_id, operation.trade_id)
            off = 1.0 if kind.must_change else kind.removal_share
            times = sum(
                turn.share * off * carried.get((kind.unit_kind_id, turn.type_id), 0)
                for turn in line.turns
                if operation.type_id in (None, turn.type_id)
            )
            if operation.type_id is None:
                needed[key] += kind.site_a_week * hours
        needed[key] += line.pace_a_week * times * hours
    return needed


def _work_with_repeats(stage: Stage) -> float:
    """Work of a piece until its test is passed, in times of the first, failure by failure."""
    once = stage.hours_least / 6 + stage.hours_usual * 2 / 3 + stage.hours_most / 6
    chance, failures, work = stage.first_pass_share, 0, 0.0
    while chance > 1e-12:
        work += chance * (1 + failures * (1 + stage.rectify_hours / once))
        failures += 1
        chance *= 1 - stage.first_pass_share
    return work


def _per_vehicle_at_stage(works: Works, line: Line, operation: Operation) -> float:
    return sum(
        turn.share * works.routes[turn.type_id].passes.get(operation.stage_id or "", 0)
        for turn in line.turns
        if operation.type_id in (None, turn.type_id)
    )


def _judge_campaigns(works: Works, line: Line) -> Iterator[str]:
    """No campaign hours beyond all campaigns of the trade at once, and none without one."""
    shops = {one.stage_id: one.shop_id for one in works.stages}
    shares = {turn.type_id: turn.share for turn in line.turns}
    most: dict[_Key, float] = defaultdict(float)
    for one in works.campaigns:
        hours = line.pace_a_week * shares.get(one.type_id, 0.0) * one.standard_hours
        most[shops[one.stage_id], one.trade_id] += hours
    for load in line.trades:
        if load.campaign_hours > most[load.shop_id, load.trade_id] + 1e-6:
            yield f"Trade {load.trade_id} in shop {load.shop_id}: too many campaign hours."


def _judge_people(works: Works, here: str, load: TradeLoad, each: float) -> Iterator[str]:
    z = max(0.0, NormalDist().inv_cdf(works.settings.plan.position_confidence))
    if each:
        wanted = {
            "people_mean": load.hours_mean / each,
            "people_wanted": (load.hours_mean + z * load.hours_sd) / each,
            "use_share": load.hours_mean / load.hours_able if load.hours_able else 0.0,
        }
        for name, value in wanted.items():
            if not isclose(getattr(load, name), value, rel_tol=1e-6, abs_tol=1e-9):
                yield f"{here}: {name} is {getattr(load, name):g}, not {value:g}."
    spare = load.hours_able - load.hours_mean
    if load.hours_sd > 0:
        short = erfc(spare / load.hours_sd / sqrt(2)) / 2
    else:
        short = 1.0 if spare < -1e-6 else 0.0
    if abs(load.short_chance - short) > 1e-6:
        yield f"{here}: the chance of a short week is {short:.3f}, not {load.short_chance:.3f}."


def _judge_trade_gear(line: Line, here: str, load: TradeLoad) -> Iterator[str]:
    able = load.hours_able / load.hours_mean * line.pace_a_week if load.hours_mean else 0.0
    if not isclose(load.able_a_week, able, rel_tol=1e-6, abs_tol=1e-9):
        yield f"{here}: able to {able:g} a week, not {load.able_a_week:g}."
    over = able / line.pace_a_week - 1 if load.hours_mean else 0.0
    if not isclose(load.over_share, over, rel_tol=1e-6, abs_tol=1e-9):
        yield f"{here}: over_share is {over:g}, not {load.over_share:g}."
    shown_short = load.hours_shown is not None and load.hours_shown < load.hours_mean
    if load.hours_able < load.hours_mean * (1 - 1e-9):
        expected = {"holds up"}
    elif load.people < load.people_wanted * (1 - 1e-9) or shown_short:
        expected = {"tight"}
    else:
        expected = {"geared", "runs ahead"}
    if str(load.gear) not in expected or not load.reason:
        yield f"{here}: gear {load.gear} or its reason does not fit its figures."


def judge_plant(works: Works, line: Line) -> Iterator[str]:
    """Pieces, charges and gear of every plant."""
    if [one.plant_id for one in line.plant] != [one.plant_id for one in works.plant]:
        yield "The plant of the line is not that of the works."
        return
    for plant, load in zip(works.plant, line.plant, strict=True):
        here = f"Plant {plant.plant_id}"
        pieces = _plant_pieces(works, line, plant)
        if not isclose(load.pieces_a_day, pieces, rel_tol=1e-6, abs_tol=1e-9):
            yield f"{here}: {pieces:g} pieces a day, not {load.pieces_a_day:g}."
        if not isclose(load.charges_needed_a_day, pieces / plant.batch_size, abs_tol=1e-9):
            yield f"{here}: charges needed are not pieces / charge size."
        yield from _judge_charges(works, line, here, plant, load)


def _plant_pieces(works: Works, line: Line, plant: Plant) -> float:
    kinds = {one.unit_kind_id: one for one in works.unit_kinds}
    total = 0.0
    for load in (one for one in works.plant_loads if one.plant_id == plant.plant_id):
        for turn in line.turns:
            vehicles = line.pace_a_day * turn.share
            passes = works.routes[turn.type_id].passes.get(load.stage_id or "", 0)
            total += vehicles * passes * load.pieces
            for fit in works.fits:
                if (fit.unit_kind_id, fit.type_id) == (load.unit_kind_id, turn.type_id):
                    kind = kinds[fit.unit_kind_id]
                    off = 1.0 if kind.must_change else kind.removal_share
                    total += vehicles * fit.per_vehicle * off * load.pieces
        if load.unit_kind_id:
            total += kinds[load.unit_kind_id].site_a_week / works.week_days * load.pieces
    return total


def _judge_charges(
    works: Works, line: Line, here: str, plant: Plant, load: PlantLoad
) -> Iterator[str]:
    day = 24.0 if plant.night_goes_on else works.shop_hours_a_day[plant.shop_id]
    most = plant.how_many * day / plant.cycle_hours
    if not 0 < load.charges_able_a_day <= most * (1 + 1e-3):
        yield f"{here}: {load.charges_able_a_day:g} charges a day do not go into {day:g} h."
    use = load.charges_needed_a_day / load.charges_able_a_day
    if not isclose(load.use_share, use, rel_tol=1e-6, abs_tol=1e-9):
        yield f"{here}: use is {use:g}, not {load.use_share:g}."
    able = line.pace_a_week / use if use else 0.0
    if not isclose(load.able_a_week, able, rel_tol=1e-6, abs_tol=1e-9):
        yield f"{here}: able to {able:g} a week, not {load.able_a_week:g}."
    if use and not isclose(load.over_share, 1 / use - 1, rel_tol=1e-6, abs_tol=1e-9):
        yield f"{here}: over_share is {1 / use - 1:g}, not {load.over_share:g}."
    if (use > 1 + 1e-9) != (load.gear == "holds up") or not load.reason:
        yield f"{here}: gear {load.gear} or its reason does not fit a use of {use:.2f}."
    if not use <= 1 and load.how_many_wanted <= plant.how_many:
        yield f"{here}: holds up, yet no more are wanted."
    if load.fill_share > 1 + 1e-9:
        yield f"{here}: charges are more than full."
