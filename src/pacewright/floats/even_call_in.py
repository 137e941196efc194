"""Even call-in: a vehicle every takt, and the exact law of the units short at a need."""

import numpy as np
from numpy.typing import NDArray

from pacewright.floats.count_law import (
    WIDE,
    CountLaws,
    from_transform,
    window,
    yes_or_no_sum,
)
from pacewright.floats.fast_lots import SMALL_SHARE, fast_lots, lot_spread
from pacewright.floats.lots import lot_transforms
from pacewright.floats.moments import Ints, Moments, alike, groups, moments
from pacewright.floats.problem import Stream, TypeNeed
from pacewright.floats.purchase import gathering_transform
from pacewright.floats.readiness import ReadyTable, trimmed
from pacewright.floats.turn_time import MOMENT_DAYS, TurnLaw
from pacewright.floats.two_sites import random_draws, site_draw

Array = NDArray[np.float64]


def shortage(
    turn: TurnLaw, takt_days: float, offset_days: float, per_vehicle: int = 1
) -> CountLaws:
    """Law of the count D: a vehicle is on time with S units of float if and only if D <= S.

    Parameters
    ----------
    turn : law of the turn time T.
    takt_days : one vehicle every takt, tau.
    offset_days : from removal to need on the same vehicle, o.
    per_vehicle : units on a vehicle, q, all removed and all wanted.

    Equations: D = sum_{k>=0} q Bern P(T > o + k tau) - sum_{k>=1, k tau < o} q Bern
    P(T <= o - k tau); own derivation (a Poisson-binomial law; design, section 8).
    """
    stream = Stream(takt_days, (TypeNeed("", 1.0, per_vehicle, 0.0, offset_days),), turn)
    return _laws(stream, next(moments(stream, (0.0,))))[0]


def even_readiness(stream: Stream, look_days: tuple[float, ...] = (0.0,)) -> ReadyTable:
    """Readiness under even call-in for every type, wait and float.

    A vehicle from which nothing came off does not wait: ready = P(D <= S) + P(nothing came
    off it and D > S).
    """
    needs = groups(stream.needs)
    sums = np.zeros((len(look_days), len(needs), 1))
    counts = np.zeros((len(look_days), len(needs), 1))
    for rows in moments(stream, look_days):
        ready = _ready(stream, rows)
        longer = ready.shape[1] - sums.shape[2]
        # Beyond the last float of a table nothing is wanting.
        if longer > 0:
            sums = np.concatenate([sums, np.repeat(counts, longer, axis=2)], axis=2)
        elif longer < 0:
            ready = np.pad(ready, ((0, 0), (0, -longer)), constant_values=1.0)
        np.add.at(sums, (rows.look_index, rows.group_index), ready)
        np.add.at(counts, (rows.look_index, rows.group_index), 1)
    place = [next(n for n, one in enumerate(needs) if alike(one, need)) for need in stream.needs]
    table = (sums / counts)[:, place]
    # Later looks average over fewer places: waiting longer never leaves a vehicle less ready.
    later = np.argsort(look_days, kind="stable")
    table[later] = np.maximum.accumulate(table[later], axis=0)
    return ReadyTable(
        type_ids=tuple(need.type_id for need in stream.needs),
        shares=tuple(need.share for need in stream.needs),
        look_days=look_days,
        ready=trimmed(np.minimum(table, 1.0)),
    )


def _ready(stream: Stream, rows: Moments) -> Array:
    """Readiness by moment and float."""
    laws, spared = _laws(stream, rows)
    most = max(0, int(laws.low.max()) + laws.weights.shape[1])
    ready = laws.ready(most)
    if stream.removal_share < 1:
        nothing_off = (1 - stream.removal_share) ** rows.units[:, rows.own, None]
        ready = ready + nothing_off * (1 - spared.ready(most))
    return np.asarray(ready)


def _laws(stream: Stream, rows: Moments) -> tuple[CountLaws, CountLaws]:
    """Laws of D, and of D when nothing came off the vehicle in question (if that can be)."""
    chances, units, shift = _yes_or_no(stream, rows)
    extra = (stream.lot_size - 1) / 2 + (stream.purchase_lot - 1) / 2 * (stream.scrap_share > 0)
    drawn, returned = _site(stream, rows)
    means = (units * chances).sum(axis=1) - shift + extra + drawn - returned
    scatter = (units * chances * (1 - chances)).sum(axis=1)
    gathering = stream.lot_size + stream.purchase_lot * (stream.scrap_share > 0)
    others = scatter - (units * chances * (1 - chances))[:, rows.own]
    in_short = _lots_in_short(stream, rows, others)
    where = window(
        means,
        float((scatter + drawn + returned).max()),
        margin=gathering / 2,
        least_variance=float(others.min()) if in_short is not None else 0.0,
    )
    if in_short is None:
        whole, spared = lot_transforms(stream, rows, where)
    else:
        own = (1 + chances[:, rows.own, None] * (where.turns - 1)) ** units[:, rows.own, None]
        units[:, rows.own] = 0
        spared = yes_or_no_sum(chances, where, units) * where.shifted(shift)
        whole = own * spared
        if stream.lot_size > 1:
            whole, spared = (part * fast_lots(stream, in_short, where) for part in (whole, spared))
    beside = gathering_transform(stream, where) * random_draws(drawn, returned, where)
    laws = from_transform(whole * beside, where)
    # Where every unit is removed, something always comes off.
    return laws, laws if stream.removal_share >= 1 else from_transform(spared * beside, where)


def _lots_in_short(stream: Stream, rows: Moments, scatter: Array) -> Array | None:
    """Variance that lots add where that is known in short; None: the chain must tell."""
    if stream.lot_size == 1:
        return np.zeros(scatter.size)
    if stream.despatch_days > 0 or float(scatter.min()) < WIDE:
        return None
    spread = lot_spread(stream, rows)
    return spread if bool((spread <= SMALL_SHARE * scatter).all()) else None


def _yes_or_no(stream: Stream, rows: Moments) -> tuple[Array, Ints, Ints]:
    """Chances of the yes-or-no counts whose sum less ``shift`` is D, and units that have each."""
    wait = rows.despatch_wait(stream.despatch_days, rows.ago_days)
    away = stream.turn.survival(rows.ago_days - wait + MOMENT_DAYS)
    bought = rows.ago_days + MOMENT_DAYS >= stream.purchase_days
    back = (1 - stream.scrap_share) * (1 - away) + stream.scrap_share * bought
    back = np.where(rows.ago_days + MOMENT_DAYS >= 0, back, 0.0) * stream.removal_share
    # A unit back early lowers D by one: count it as one less, plus one if it is not back.
    chances = np.where(rows.needed, stream.removal_share - back, 1 - back)
    live = rows.needed | (back > 0)
    early = live & ~rows.needed
    units = np.where(live, rows.units, 0)
    return chances, units, np.where(early, units, 0).sum(axis=1)


def _site(stream: Stream, rows: Moments) -> tuple[Array, Array]:
    if stream.site_a_day <= 0:
        return np.zeros(rows.own_late.size), np.zeros(rows.own_late.size)
    late, place = np.unique(rows.own_late, return_inverse=True)
    parts = stream.site_a_day * np.array([site_draw(stream, float(one)) for one in late])
    return parts[place, 0], parts[place, 1]
