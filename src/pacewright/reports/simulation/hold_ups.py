"""Hold-ups by cause and by place, ranked."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isfinite

from pacewright.plans.forecast import Cause, Estimate, Forecast, HoldUp
from pacewright.reports.drawings.cause_marks import cause_mark
from pacewright.reports.drawings.ranked_bar import ranked_axis, ranked_bar, ranked_scale
from pacewright.reports.drawings.scale import Scale
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.simulation.interval import plus_minus
from pacewright.reports.written import NONE, number, share
from pacewright.works import Works

MOST_SHOWN = 12
"""Hold-ups in the ranked list; all of them stand in the table behind it."""

EACH = "holdup_days_"
"""Beginning of the keys of the figures by cause [working days a vehicle]."""

MEANS = {
    Cause.GATE: "as many are inside as may be",
    Cause.POSITION: "no position is free at the next stage",
    Cause.PART: "a unit is not there on the day it is to be fitted",
    Cause.ASSEMBLY: "the assembly it is to be married with is not there",
    Cause.BATCH: "the charge of an oven or booth is not full",
    Cause.PEOPLE: "no people of the trade are free",
    Cause.INSPECTION: "a failed test is put right, or work is done again",
}


@dataclass(frozen=True, slots=True)
class HoldRow:
    """One hold-up as a row."""

    cause: str
    mark: Drawing
    name: str
    shop: str
    bar: Drawing
    days: str
    touched: str
    each: str


@dataclass(frozen=True, slots=True)
class CauseRow:
    """One cause over all places."""

    cause: str
    mark: Drawing
    means: str
    bar: Drawing
    each: str
    days: str
    part: str


@dataclass(frozen=True, slots=True)
class HoldUps:
    """What the template needs."""

    axis: Drawing
    rows: tuple[HoldRow, ...]
    left: int
    left_days: str
    cause_axis: Drawing
    causes: tuple[CauseRow, ...]


def hold_ups(works: Works, forecast: Forecast) -> HoldUps:
    """The hold-ups of one forecast."""
    found = ranked_hold_ups(forecast)
    shown, left = found[:MOST_SHOWN], found[MOST_SHOWN:]
    scale = ranked_scale([_reach(h) for h in shown])
    totals = days_by_cause(found)
    each = {e.key.removeprefix(EACH): e for e in forecast.figures if e.key.startswith(EACH)}
    across = ranked_scale([each[c].mean + _half(each[c].half_width) for c in totals if c in each])
    shops = {shop.shop_id: shop.name for shop in works.shops}
    return HoldUps(
        axis=ranked_axis(scale, "vehicle-days a year"),
        rows=tuple(_row(h, scale, shops) for h in shown),
        left=len(left),
        left_days=number(sum(h.vehicle_days_a_year for h in left), 0),
        cause_axis=ranked_axis(across, "working days a vehicle"),
        causes=tuple(_cause(c, totals, each.get(c), across) for c in totals),
    )


def ranked_hold_ups(forecast: Forecast) -> list[HoldUp]:
    """Those at which anything waits, heaviest first."""
    some_days = (h for h in forecast.holdups if h.vehicle_days_a_year > 0)
    return sorted(some_days, key=lambda h: (-h.vehicle_days_a_year, h.cause.value, h.place_id))


def days_by_cause(found: Sequence[HoldUp]) -> dict[Cause, float]:
    """Vehicle-days a year by cause, heaviest first."""
    totals: dict[Cause, float] = defaultdict(float)
    for one in found:
        totals[one.cause] += one.vehicle_days_a_year
    return dict(sorted(totals.items(), key=lambda item: (-item[1], item[0].value)))


def place_name(hold_up: HoldUp) -> str:
    """Where it is, in words."""
    return hold_up.name or ("Gate" if hold_up.cause is Cause.GATE else hold_up.place_id)


def _reach(one: HoldUp) -> float:
    return one.vehicle_days_a_year + _half(one.half_width)


def _half(half_width: float) -> float:
    return half_width if isfinite(half_width) else 0.0


def _row(one: HoldUp, scale: Scale, shops: Mapping[str, str]) -> HoldRow:
    days = plus_minus(one.vehicle_days_a_year, one.half_width)
    cause, name, shop = one.cause.value, place_name(one), shops.get(one.shop_id, one.shop_id)
    return HoldRow(
        cause=cause,
        mark=cause_mark(cause),
        name=name.removesuffix(f", {shop}"),
        shop=shop,
        bar=ranked_bar(one.vehicle_days_a_year, one.half_width, scale, cause,
                       f"{cause}, {name}: {days} vehicle-days a year"),
        days=days,
        touched=share(one.touched_share),
        each=number(one.days_each),
    )  # fmt: skip


def _cause(
    cause: Cause, totals: Mapping[Cause, float], each: Estimate | None, scale: Scale
) -> CauseRow:
    days, whole = totals[cause], sum(totals.values())
    mean, half = (each.mean, each.half_width) if each else (0.0, 0.0)
    said = plus_minus(mean, half) if each else NONE
    return CauseRow(
        cause=cause.value,
        mark=cause_mark(cause.value),
        means=MEANS[cause],
        bar=ranked_bar(mean, half, scale, cause.value, f"{cause.value}: {said} days a vehicle"),
        each=said,
        days=number(days, 0),
        part=share(days / whole if whole else None),
    )
