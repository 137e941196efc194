"""The rows of unit kinds: the pipeline from removal to the pool, and what the float holds."""

from math import sqrt

import numpy as np

from pacewright.parts.tables import UnitKind
from pacewright.simulate.calendars import Stretch
from pacewright.simulate.chance import key_of
from pacewright.simulate.laws import constant, likelier, lognormal
from pacewright.simulate.table import Floats, Ints, KindRows
from pacewright.works import Works


def kind_rows(works: Works, stretch: Stretch, scatter: bool) -> KindRows:
    """The rows of the unit kinds.

    Where benches are given, the turn time without waiting is split into the time before the bench
    and that on it; the wait for a bench comes on top by itself.

    Equations
    ---------
    With mean turn T, its deviation S and mean bench time b (exponential, so its deviation is b):
    the time before the bench has mean T - b and variance S^2 - b^2, each at least 0. So who never
    waits turns in the mean and the deviation of the table.
    """
    kinds = works.unit_kinds
    hours = works.shop_hours_a_day
    own = stretch.lengths[0]
    held = {one.unit_kind_id: one for one in works.floats}
    return KindRows(
        key=_keys(kinds, ""),
        site_key=_keys(kinds, "site/"),
        float_key=_keys(kinds, "float/"),
        removal_share=np.array([likelier(removal_share(one), scatter) for one in kinds]),
        scrap_share=np.array([likelier(one.scrap_share, scatter) for one in kinds]),
        lot=_ints([one.lot_size for one in kinds]),
        despatch_days=_ints([_despatch(one) for one in kinds]),
        purchase_lot=_ints([one.purchase_lot for one in kinds]),
        purchase_minutes=_ints([round(one.purchase_days * own) for one in kinds]),
        turn=np.array([_turn(one, hours[one.shop_id], scatter) * own for one in kinds]),
        benches=_ints([one.benches or 0 for one in kinds]),
        bench_minutes=np.array([60 * one.bench_hours for one in kinds]),
        calendar=_ints([stretch.calendar_of(hours[one.shop_id]) for one in kinds]),
        site_gap=np.array([_site_gap(one, works.week_days, own) for one in kinds]),
        transit_minutes=_ints([round(one.site_transit_days * own) for one in kinds]),
        serviceable=_ints(
            [held[k.unit_kind_id].serviceable if k.unit_kind_id in held else 0 for k in kinds]
        ),
        unserviceable=_ints(
            [held[k.unit_kind_id].unserviceable if k.unit_kind_id in held else 0 for k in kinds]
        ),
        rob_minutes=_ints([round(60 * works.rob_hours[one.unit_kind_id]) for one in kinds]),
    )


def removal_share(kind: UnitKind) -> float:
    """Share of vehicles on which a unit of the kind comes off; all, if it must be changed."""
    return 1.0 if kind.must_change else kind.removal_share


def _despatch(kind: UnitKind) -> int:
    return max(1, round(kind.despatch_days)) if kind.despatch_days > 0 else 0


def _turn(kind: UnitKind, shop_hours: float, scatter: bool) -> Floats:
    """The law of the turn, or of what comes before the bench [days]."""
    bench_days = kind.bench_hours / shop_hours if kind.benches else 0.0
    mean = max(0.0, kind.turn_days - bench_days)
    sd = sqrt(max(0.0, kind.turn_sd_days**2 - bench_days**2))
    return lognormal(mean, sd) if scatter else constant(mean)


def _site_gap(kind: UnitKind, week_days: int, own: int) -> float:
    return week_days * own / kind.site_a_week if kind.site_a_week > 0 else 0.0


def _keys(kinds: tuple[UnitKind, ...], prefix: str) -> np.ndarray:
    return np.array([key_of(f"{prefix}{one.unit_kind_id}") for one in kinds], np.uint64)


def _ints(values: list[int]) -> Ints:
    return np.array(values, np.int64)
