"""Decisions that the line asks for: what holds the pace up, what is tight, what is promised."""

from collections.abc import Iterator
from dataclasses import replace
from math import erf, exp, isfinite, pi, sqrt

from pacewright.plans.line import Gear, Line, PlantLoad, StageLoad, TradeLoad, TypeTurn
from pacewright.plans.plan import Plan
from pacewright.reports.decision import YEAR_WEEKS, Decision, Urgency
from pacewright.reports.written import number, rate, share, some, why_and_remedy
from pacewright.works import Works

Load = StageLoad | TradeLoad | PlantLoad


def line_decisions(plan: Plan, works: Works) -> Iterator[Decision]:
    """Stages, trades and plant slower than the pace; turn times promised shorter than expected."""
    line = plan.line
    shops = {shop.shop_id: shop.name for shop in works.shops}
    trades = {trade.trade_id: trade.name for trade in works.trades}
    hours = works.shop_hours_a_day
    for stage in line.stages:
        wait = _wait_days(stage.wait_hours, hours.get(stage.shop_id, works.calendar.hours_a_day))
        place = f"{stage.name}, {shops.get(stage.shop_id, stage.shop_id)}"
        said = ("stage", place, _stage_remedy(stage))
        found = _of(stage, plan, said, wait, works.week_days)
        yield from _at(stage.stage_id, found)
    for trade in line.trades:
        place = f"{trades.get(trade.trade_id, trade.trade_id)}, "
        place += shops.get(trade.shop_id, trade.shop_id)
        delayed = short_share(trade) * works.week_days
        said = ("trade", place, _trade_remedy(trade))
        found = _of(trade, plan, said, delayed, works.week_days)
        yield from _at(f"{trade.shop_id} {trade.trade_id}", found)
    for plant in line.plant:
        wait = _wait_days(plant.wait_hours, hours.get(plant.shop_id, works.calendar.hours_a_day))
        place = f"{plant.name}, {shops.get(plant.shop_id, plant.shop_id)}"
        yield from _of(plant, plan, ("plant", place, _plant_remedy(plant)), wait, works.week_days)
    for turn in line.turns:
        yield from _turn(turn, line, works)


def _at(place_id: str, found: Iterator[Decision]) -> Iterator[Decision]:
    return (replace(one, place_id=place_id) for one in found)


def _of(
    load: Load, plan: Plan, said: tuple[str, str, str], wait_days: float, week_days: int
) -> Iterator[Decision]:
    kind, place, remedy = said
    able, pace = load.able_a_week, plan.line.pace_a_week
    why, remedy = why_and_remedy(load.reason, remedy)
    if load.gear == Gear.HOLDS_UP:
        lost = max(0.0, pace - able)
        yield Decision(
            Urgency.HELD_UP,
            kind,
            f"Holds up: passes {rate(able)} of {rate(pace)} vehicles a week",
            place,
            f"{why} The queue before it grows by {number(lost, 2)} vehicles a week.",
            remedy,
            lost * YEAR_WEEKS * YEAR_WEEKS * week_days / 2,
            "vehicles it cannot pass in a year, each waiting half its working days",
        )
    elif load.gear == Gear.TIGHT:
        yield Decision(
            Urgency.HELD_UP,
            kind,
            f"Tight: {share(load.use_share)} used at the pace",
            place,
            f"{why} Able on average, short when work scatters.",
            remedy,
            wait_days * pace * YEAR_WEEKS,
            "mean wait a vehicle has here [working days] times vehicles a year",
        )


def _wait_days(hours: float, hours_a_day: float) -> float:
    return hours / hours_a_day if isfinite(hours) and hours_a_day > 0 else 0.0


def short_share(trade: TradeLoad) -> float:
    """Share of a week's work that is left undone, on average: E[(need - able)+] / need.

    Equations
    ---------
    Need taken as normal with mean m and sd s, able a, z = (a - m) / s:
    E[(need - a)+] = s phi(z) - (a - m) (1 - Phi(z)) (loss function of the normal law, any
    inventory textbook; from memory).
    """
    spread, spare = trade.hours_sd, trade.hours_able - trade.hours_mean
    if trade.hours_mean <= 0:
        return 0.0
    if spread <= 0:
        return max(0.0, -spare) / trade.hours_mean
    z = spare / spread
    above = 0.5 * (1 - erf(z / sqrt(2)))
    return max(0.0, spread * exp(-z * z / 2) / sqrt(2 * pi) - spare * above) / trade.hours_mean


def _stage_remedy(stage: StageLoad) -> str:
    more = stage.positions_wanted - stage.positions
    if more > 0:
        return (
            f"{some(more, 'more position')} ({stage.positions_wanted} instead of"
            f" {stage.positions}), or shorten its {number(stage.hours_mean)} h on the position."
        )
    return f"Even out its times: mean {number(stage.hours_mean)} h, sd {number(stage.hours_sd)} h."


def _trade_remedy(trade: TradeLoad) -> str:
    more = trade.people_wanted - trade.people
    if more > 0:
        return (
            f"{number(more)} more people ({number(trade.people_wanted)} instead of"
            f" {number(trade.people)}), as much overtime, or people lent by a shop that runs ahead."
        )
    return "Hold a second-trade reserve for the weeks above the mean."


def _plant_remedy(plant: PlantLoad) -> str:
    more = plant.how_many_wanted - plant.how_many
    text = f"Fill its charges better (now {share(plant.fill_share)} full) or run it longer hours"
    if more > 0:
        text += f"; else {more} more like it"
    return text + ". Cure and soak times are not shortened."


def _turn(turn: TypeTurn, line: Line, works: Works) -> Iterator[Decision]:
    over = turn.expected_days - turn.promised_days
    if over <= 0.05 or not isfinite(over):
        return
    name = {t.type_id: t.name for t in works.vehicle_types}.get(turn.type_id, turn.type_id)
    yield Decision(
        Urgency.HELD_UP,
        "promise",
        f"Promised in {number(turn.promised_days)} working days,"
        f" expected in {number(turn.expected_days)}",
        name,
        f"The route alone takes {number(turn.route_days)}; waits for positions add"
        f" {number(turn.expected_days - turn.route_days)} working days.",
        "Promise the expected time, or take the waits out at the tight places above.",
        over * turn.share * line.pace_a_week * YEAR_WEEKS,
        "working days over the promise times vehicles of the type a year",
    )
