"""Floats as they came out beside the closed form, and what piles up while vehicles wait."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite

from pacewright.plans.forecast import FloatForecast, Forecast, Pile
from pacewright.reports.drawings.ranked_bar import ranked_axis, ranked_bar, ranked_scale
from pacewright.reports.drawings.scale import Scale
from pacewright.reports.drawings.share_row import ShareMark, share_axis, share_row, share_scale
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.simulation.interval import plus_minus, share_plus_minus
from pacewright.reports.written import NONE, number, share
from pacewright.works import Works

MOST_SHOWN = 20
"""Unit kinds drawn; the others stand in the table."""

MOST_PILES = 8
"""Piles of one kind drawn."""

KINDS = {"assembly": "Finished assemblies in store", "unit": "Units ready on the shelf"}
"""Kind of a pile -> in words."""


@dataclass(frozen=True, slots=True)
class ReadyRow:
    """One unit kind as a row."""

    unit_kind_id: str
    name: str
    shop: str
    bar: Drawing
    simulated: str
    planned: str
    word: str
    held: str
    needed: str
    shelf: str
    owed: str
    wait: str


@dataclass(frozen=True, slots=True)
class PileRow:
    """What waits for vehicles, one sort."""

    name: str
    bar: Drawing
    pieces: str


@dataclass(frozen=True, slots=True)
class PileGroup:
    """Piles of one kind on one scale, the greatest first; ``left`` more are not drawn."""

    key: str
    kind: str
    axis: Drawing
    rows: tuple[PileRow, ...]
    left: int


@dataclass(frozen=True, slots=True)
class Readiness:
    """What the template needs."""

    axis: Drawing
    rows: tuple[ReadyRow, ...]
    left: int
    target: str
    together: str
    agree: int
    kinds: int
    piles: tuple[PileGroup, ...]


def readiness(works: Works, forecast: Forecast) -> Readiness:
    """Kinds that kept vehicles waiting longest stand first."""
    kinds = sorted(asked(forecast), key=_order)
    shown = kinds[:MOST_SHOWN]
    least = min((min(_low(f), f.ready_plan) for f in shown), default=0.9)
    scale = share_scale(max(0.0, least))
    shops = {shop.shop_id: shop.name for shop in works.shops}
    return Readiness(
        axis=share_axis(scale),
        rows=tuple(_row(f, scale, shops) for f in shown),
        left=len(kinds) - len(shown),
        target=share(works.settings.plan.readiness_target),
        together=_together(forecast),
        agree=sum(not apart(f) for f in kinds),
        kinds=len(kinds),
        piles=tuple(
            group for key, kind in KINDS.items() if (group := _pile_group(key, kind, forecast)).rows
        ),
    )


def _together(forecast: Forecast) -> str:
    """The units of all kinds at once: run through, and by the closed form; blank if not known."""
    found = next((e for e in forecast.figures if e.key == "all_units_share"), None)
    if found is None or not isfinite(found.mean):
        return ""
    plan = next((share(b.plan, 1) for b in forecast.beside if b.figure == found.name), NONE)
    return f"{share_plus_minus(found.mean, found.half_width)} run through, closed form {plan}"


def _order(one: FloatForecast) -> tuple[float, float, str]:
    return -wait_days_a_year(one), -abs(one.ready_share - one.ready_plan), one.name


def asked(forecast: Forecast) -> list[FloatForecast]:
    """Unit kinds that any vehicle asked for while it counted."""
    return [f for f in forecast.floats if f.demands_a_year > 0 and isfinite(f.ready_share)]


def wait_days_a_year(one: FloatForecast) -> float:
    """Working days a year that demands wait for the kind."""
    days = one.wait_days_mean * one.demands_a_year
    return days if isfinite(days) else 0.0


def apart(one: FloatForecast) -> str:
    """Whether the simulation lies beyond its interval from the closed form: the word, or nothing.

    A difference of less than one in a hundred matters to nobody and is not named.
    """
    beyond = one.ready_share - one.ready_plan
    if abs(beyond) <= max(one.half_width, 0.01) or not isfinite(one.half_width):
        return ""
    return "better" if beyond > 0 else "worse"


def _low(one: FloatForecast) -> float:
    return one.ready_share - (one.half_width if isfinite(one.half_width) else 0.0)


def _row(one: FloatForecast, scale: Scale, shops: Mapping[str, str]) -> ReadyRow:
    simulated, word = share_plus_minus(one.ready_share, one.half_width), apart(one)
    mark = ShareMark(one.ready_share, one.half_width, one.ready_plan, bad=word == "worse")
    says = f"{one.name}: {simulated} ready, closed form {share(one.ready_plan, 1)}" + (
        f", {word} than the closed form" if word else ""
    )
    return ReadyRow(
        unit_kind_id=one.unit_kind_id,
        name=one.name,
        shop=shops.get(one.shop_id, one.shop_id),
        bar=share_row(mark, scale, says),
        simulated=simulated,
        planned=share(one.ready_plan, 1),
        word=word,
        held=f"{one.held:,}",
        needed=f"{one.needed:,}",
        shelf=number(one.on_shelf_mean),
        owed=number(one.owed_mean, 2),
        wait=number(one.wait_days_mean, 2),
    )


def _pile_group(key: str, kind: str, forecast: Forecast) -> PileGroup:
    mine = [p for p in forecast.piles if p.kind == key and p.pieces_mean > 0]
    mine.sort(key=lambda p: -p.pieces_mean)
    shown = mine[:MOST_PILES]
    scale = ranked_scale(
        [p.pieces_mean + (p.half_width if isfinite(p.half_width) else 0.0) for p in shown]
    )
    return PileGroup(
        key,
        kind,
        ranked_axis(scale, "pieces"),
        tuple(_pile(p, scale) for p in shown),
        len(mine) - len(shown),
    )


def _pile(one: Pile, scale: Scale) -> PileRow:
    pieces = plus_minus(one.pieces_mean, one.half_width)
    return PileRow(
        name=one.name,
        bar=ranked_bar(one.pieces_mean, one.half_width, scale, one.kind, f"{one.name}: {pieces}"),
        pieces=pieces,
    )
