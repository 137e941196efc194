"""How far shops, stages and crews are in use, beside what the plan says."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from pacewright.plans.forecast import Beside, Forecast, Use, UseOf
from pacewright.reports.drawings.scale import Scale
from pacewright.reports.drawings.share_row import ShareMark, share_axis, share_row, share_scale
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.simulation.hold_ups import ranked_hold_ups
from pacewright.reports.simulation.interval import PER_CENT, share_plus_minus
from pacewright.reports.written import NONE, number, share
from pacewright.works import Works

FULLEST = 12
"""Places shown at once; all of them stand in the tables behind."""

FULL = 0.95
"""Share in use from which on a place is called full."""

APART = 0.05
"""Difference to the plan from which on it is said in words, beyond the interval."""


@dataclass(frozen=True, slots=True)
class UseRow:
    """One stage or crew as a row."""

    name: str
    shop: str
    bar: Drawing
    used: str
    planned: str
    word: str
    why: str


@dataclass(frozen=True, slots=True)
class ShopRow:
    """One shop: its fullest stage and crew, and what vehicles stand there in a year."""

    name: str
    stage: str
    crew: str
    days: str


@dataclass(frozen=True, slots=True)
class Uses:
    """What the template needs."""

    axis: Drawing
    shops: tuple[ShopRow, ...]
    fullest: tuple[UseRow, ...]
    stages: tuple[UseRow, ...]
    crews: tuple[UseRow, ...]


def uses(works: Works, forecast: Forecast) -> Uses:
    """The use of every place."""
    scale = share_scale(0.0)
    shops = {shop.shop_id: shop.name for shop in works.shops}
    trades = {trade.trade_id: trade.name for trade in works.trades}
    why = {b.place_id: b for b in forecast.beside if b.place_id and not b.agrees}

    def rows(found: Iterable[Use]) -> tuple[UseRow, ...]:
        return tuple(_row(one, scale, shops, trades, why) for one in found)

    return Uses(
        axis=share_axis(scale),
        shops=tuple(
            _shop(shop.shop_id, shop.name, forecast, trades)
            for shop in works.shops
            if any(one.shop_id == shop.shop_id for one in forecast.uses)
        ),
        fullest=rows(sorted(forecast.uses, key=lambda one: -one.use_share)[:FULLEST]),
        stages=rows(one for one in forecast.uses if one.of is UseOf.STAGE),
        crews=rows(one for one in forecast.uses if one.of is UseOf.CREW),
    )


def crew_trade(use: Use, trades: Mapping[str, str]) -> str:
    """Trade of a crew in words; a stage's own name."""
    if use.of is UseOf.STAGE:
        return use.name
    trade_id = use.place_id.split(" ")[-1]
    return trades.get(trade_id, trade_id)


def use_word(use: Use) -> str:
    """What must be said of a use in words: full, or far from the plan."""
    said = ["full"] if use.use_share >= FULL else []
    if use.plan_share is not None:
        apart = use.use_share - use.plan_share
        if abs(apart) > APART + use.half_width:
            said.append("above plan" if apart > 0 else "below plan")
    return ", ".join(said)


def _row(
    use: Use, scale: Scale, shops: Mapping[str, str], trades: Mapping[str, str],
    why: Mapping[str, Beside],
) -> UseRow:  # fmt: skip
    used, name, word = (
        share_plus_minus(use.use_share, use.half_width),
        crew_trade(use, trades),
        use_word(use),
    )
    mark = ShareMark(
        use.use_share, use.half_width, use.plan_share, bar=True, bad=use.use_share >= FULL
    )
    says = f"{name}: {used} in use, plan {share(use.plan_share)}{', ' + word if word else ''}"
    return UseRow(
        name=name,
        shop=shops.get(use.shop_id, use.shop_id),
        bar=share_row(mark, scale, says),
        used=used,
        planned=share(use.plan_share),
        word=word,
        why=why[use.place_id].why if use.place_id in why else "",
    )


def _shop(shop_id: str, name: str, forecast: Forecast, trades: Mapping[str, str]) -> ShopRow:
    def fullest(of: UseOf) -> str:
        mine = [one for one in forecast.uses if one.of is of and one.shop_id == shop_id]
        if not mine:
            return NONE
        most = max(mine, key=lambda one: one.use_share)
        return f"{crew_trade(most, trades)} {share(most.use_share)}".replace(" %", PER_CENT)

    days = [h.vehicle_days_a_year for h in ranked_hold_ups(forecast) if h.shop_id == shop_id]
    return ShopRow(name, fullest(UseOf.STAGE), fullest(UseOf.CREW), number(sum(days), 0))
