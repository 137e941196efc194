"""Decisions about what runs ahead of the pace: people, places and plant able to do much more."""

from collections.abc import Iterator, Sequence
from math import isfinite

from pacewright.plans.line import Gear, PlantLoad, StageLoad, TradeLoad
from pacewright.plans.plan import Plan
from pacewright.reports.decision import Decision, Urgency
from pacewright.reports.written import listed, rate, some
from pacewright.works import Works

_NAMED_AND_REMEDY = {
    "stage": (
        ("stage", "stages"),
        "Use the free positions as the room that tight stages lack.",
    ),
    "plant": (
        ("group of plant", "groups of plant"),
        "Leave it off part of the day, or let it serve another shop.",
    ),
    "trade": (
        ("trade in its shop", "trades in their shops"),
        "Lend people to a trade that holds up; nobody works ahead of the pace.",
    ),
}


def ahead_decisions(plan: Plan, works: Works) -> Iterator[Decision]:
    """One decision each for the stages, the plant and the trades that run ahead."""
    shops = {shop.shop_id: shop.name for shop in works.shops}
    trades = {trade.trade_id: trade.name for trade in works.trades}
    line = plan.line

    def trade_name(load: TradeLoad) -> str:
        trade = trades.get(load.trade_id, load.trade_id)
        return f"{trade}, {shops.get(load.shop_id, load.shop_id)}"

    for kind, able in (
        ("stage", _ahead([(one, one.name) for one in line.stages])),
        ("plant", _ahead([(one, one.name) for one in line.plant])),
        ("trade", _ahead([(one, trade_name(one)) for one in line.trades])),
    ):
        if able:
            yield _decision(kind, able, line.pace_a_week)


def _ahead(
    loads: Sequence[tuple[StageLoad | TradeLoad | PlantLoad, str]],
) -> list[tuple[float, str]]:
    found = [
        (load.able_a_week, name)
        for load, name in loads
        if load.gear == Gear.RUNS_AHEAD and isfinite(load.able_a_week)
    ]
    return sorted(found, key=lambda one: (-one[0], one[1]))


def _decision(kind: str, able: list[tuple[float, str]], pace_a_week: float) -> Decision:
    names, remedy = _NAMED_AND_REMEDY[kind]
    return Decision(
        Urgency.IDLE,
        kind,
        f"{some(len(able), *names)} able to do much more than the pace asks",
        listed([f"{name} ({rate(a_week)} a week)" for a_week, name in able], 4),
        f"The pace is {rate(pace_a_week)} vehicles a week. What is turned out early piles up"
        " behind the place.",
        remedy,
        able[0][0] - pace_a_week,
        "vehicles a week that the first of them can pass beyond the pace",
    )
