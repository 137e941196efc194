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
from pacewright.reports.written import number, share
from pacewright.works import Works

MOST_SHOWN = 20
"""Unit kinds drawn; the others stand in the table."""

MOST_PILES = 12
"""Piles drawn, assemblies first."""


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

    kind: str
    name: str
    bar: Drawing
    pieces: str


@dataclass(frozen=True, slots=True)
class Readiness:
    """What the template needs."""

    axis: Drawing
    rows: tuple[ReadyRow, ...]
    left: int
    target: str
    agree: int
    kinds: int
    pile_axis: Drawing
    piles: tuple[PileRow, ...]
    piles_left: int


def readiness(works: Works, forecast: Forecast) -> Readiness:
    """Kinds that kept vehicles waiting longest stand first."""
    kinds = sorted(asked(forecast), key=lambda f: (-wait_days_a_year(f), f.name))
    shown = kinds[:MOST_SHOWN]
    least = min((min(_low(f), f.ready_plan) for f in shown), default=0.9)
    scale = share_scale(max(0.0, least))
    shops = {shop.shop_id: shop.name for shop in works.shops}
    piles = sorted(
        (p for p in forecast.piles if p.pieces_mean > 0), key=lambda p: (p.kind, -p.pieces_mean)
    )
    across = ranked_scale(max((p.pieces_mean for p in piles[:MOST_PILES]), default=1.0))
    return Readiness(
        axis=share_axis(scale),
        rows=tuple(_row(f, scale, shops) for f in shown),
        left=len(kinds) - len(shown),
        target=share(works.settings.plan.readiness_target),
        agree=sum(not apart(f) for f in kinds),
        kinds=len(kinds),
        pile_axis=ranked_axis(across, "pieces"),
        piles=tuple(_pile(p, across) for p in piles[:MOST_PILES]),
        piles_left=max(0, len(piles) - MOST_PILES),
    )


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


def _pile(one: Pile, scale: Scale) -> PileRow:
    pieces = plus_minus(one.pieces_mean, one.half_width)
    return PileRow(
        kind="assembly, finished" if one.kind == "assembly" else "unit, on the shelf",
        name=one.name,
        bar=ranked_bar(one.pieces_mean, one.half_width, scale, one.kind, f"{one.name}: {pieces}"),
        pieces=pieces,
    )
