"""The section on load: every shop, stage, trade and plant against the pace."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite

from pacewright.plans.line import Gear, PlantLoad, StageLoad, TradeLoad
from pacewright.plans.plan import Plan
from pacewright.reports.drawings.load_bar import Reach, load_axis, load_bar
from pacewright.reports.drawings.marks import badge
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.written import number, rate, share, some
from pacewright.works import Works

NINE_OF_TEN = 1.645
"""Standard deviations either side of the mean within which nine weeks of ten fall (normal law)."""


@dataclass(frozen=True, slots=True)
class LoadRow:
    """One place as a row of its table; ``cells`` are the figures of its kind."""

    name: str
    shop: str
    bar: Drawing
    able: str
    over: str
    cells: tuple[str, ...]
    gear: str
    badge: Drawing
    reason: str


@dataclass(frozen=True, slots=True)
class LoadSection:
    """What the template of the section needs."""

    axis: Drawing
    shops: tuple[LoadRow, ...]
    stages: tuple[LoadRow, ...]
    trades: tuple[LoadRow, ...]
    plant: tuple[LoadRow, ...]
    badges: dict[str, Drawing]
    gears: tuple[tuple[str, str], ...]


def load_section(plan: Plan, works: Works) -> LoadSection:
    """The section of one plan."""
    line, pace = plan.line, plan.line.pace_a_week or 1.0
    shops = {shop.shop_id: shop.name for shop in works.shops}
    trades = {trade.trade_id: trade.name for trade in works.trades}
    return LoadSection(
        axis=load_axis(rate(pace)),
        shops=_shops(plan, works, trades),
        stages=tuple(_stage(one, pace, shops) for one in line.stages),
        trades=tuple(_trade(one, pace, shops, trades) for one in line.trades),
        plant=tuple(_plant(one, pace, shops) for one in line.plant),
        badges={gear.value: badge(gear.value) for gear in Gear},
        gears=(
            (Gear.HOLDS_UP.value, "slower than the pace: work queues before it"),
            (Gear.TIGHT.value, "able on average, short when work scatters"),
            (Gear.GEARED.value, "able, with the allowance for spread and not much more"),
            (Gear.RUNS_AHEAD.value, "much faster than the pace: idle, or piles up behind it"),
        ),
    )


def _row(
    load: StageLoad | TradeLoad | PlantLoad,
    named: tuple[str, str],
    reach: Reach,
    cells: tuple[str, ...],
) -> LoadRow:
    name, shop = named
    able = rate(load.able_a_week)
    says = f"{name}: able {able} vehicles a week, {load.gear.value}"
    return LoadRow(
        name=name,
        shop=shop,
        bar=load_bar(reach, says),
        able=able,
        over=_signed(load.over_share),
        cells=cells,
        gear=load.gear.value,
        badge=badge(load.gear.value),
        reason=load.reason,
    )


def _signed(over: float) -> str:
    if not isfinite(over):
        return "-"
    return f"{'+' if over > 0 else ''}{over * 100:.0f} %".replace("-0 %", "0 %")


def _part(wanted: float, there: float, able: float) -> float | None:
    return able * wanted / there if there > 0 else None


def _stage(one: StageLoad, pace: float, shops: dict[str, str]) -> LoadRow:
    able = one.able_a_week / pace
    reach = Reach(able, one.gear.value, _part(one.positions_wanted, one.positions, able))
    cells = (
        f"{one.positions}",
        f"{one.positions_wanted}",
        number(one.positions_mean),
        share(one.use_share),
        number(one.wait_hours),
    )
    return _row(one, (one.name, shops.get(one.shop_id, one.shop_id)), reach, cells)


def _trade(one: TradeLoad, pace: float, shops: dict[str, str], trades: dict[str, str]) -> LoadRow:
    able, need = one.able_a_week / pace, one.hours_mean
    reach = Reach(
        able,
        one.gear.value,
        _part(one.people_wanted, one.people, able),
        NINE_OF_TEN * one.hours_sd / need if need else 0.0,
        one.hours_shown / need if one.hours_shown is not None and need else None,
    )
    cells = (
        number(one.people),
        number(one.people_wanted),
        number(one.hours_mean, 0),
        number(one.hours_able, 0),
        number(one.hours_shown, 0),
        share(one.short_chance),
    )
    name = trades.get(one.trade_id, one.trade_id)
    return _row(one, (name, shops.get(one.shop_id, one.shop_id)), reach, cells)


def _plant(one: PlantLoad, pace: float, shops: dict[str, str]) -> LoadRow:
    able = one.able_a_week / pace
    reach = Reach(able, one.gear.value, _part(one.how_many_wanted, one.how_many, able))
    cells = (
        f"{one.how_many}",
        f"{one.how_many_wanted}",
        number(one.charges_needed_a_day),
        number(one.charges_able_a_day),
        share(one.fill_share),
        number(one.wait_hours),
    )
    return _row(one, (one.name, shops.get(one.shop_id, one.shop_id)), reach, cells)


def _shops(plan: Plan, works: Works, trades: dict[str, str]) -> tuple[LoadRow, ...]:
    """Each shop by the place in it that reaches least far."""
    line, pace = plan.line, plan.line.pace_a_week or 1.0
    rows = []
    for shop in works.shops:
        places: list[tuple[StageLoad | TradeLoad | PlantLoad, str]] = [
            *((one, one.name) for one in line.stages if one.shop_id == shop.shop_id),
            *((one, trades.get(one.trade_id, one.trade_id)) for one in line.trades
              if one.shop_id == shop.shop_id),
            *((one, one.name) for one in line.plant if one.shop_id == shop.shop_id),
        ]  # fmt: skip
        if not places:
            continue
        worst, name = min(places, key=lambda p: (list(Gear).index(p[0].gear), p[0].able_a_week))
        reach = Reach(worst.able_a_week / pace, worst.gear.value)
        rows.append(_row(worst, (shop.name, ""), reach, (name, _counted([p[0] for p in places]))))
    return tuple(rows)


def _counted(places: Sequence[StageLoad | TradeLoad | PlantLoad]) -> str:
    said = []
    for gear in (Gear.HOLDS_UP, Gear.TIGHT):
        count = sum(one.gear is gear for one in places)
        if count:
            said.append(f"{count} {gear.value}")
    return f"{some(len(places), 'place')}" + (f": {', '.join(said)}" if said else "")
