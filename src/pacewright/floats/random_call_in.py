"""Random call-in: vehicles come as they will, and units are short by Poisson-like laws."""

import math

import numpy as np
from numpy.typing import NDArray

from pacewright.floats.count_law import Complex, CountLaws, Window, from_transform, window
from pacewright.floats.lots import even_part
from pacewright.floats.problem import Stream, TypeNeed
from pacewright.floats.purchase import gathering_transform
from pacewright.floats.readiness import ReadyTable, trimmed
from pacewright.floats.turn_time import (
    MOMENT_DAYS,
    TurnLaw,
    WaitingTurn,
    longest_days,
    mean_beyond,
)
from pacewright.floats.two_sites import random_draws, site_draw

Array = NDArray[np.float64]

CELLS = 160
"""Cells into which the days since removal are cut for vehicles that carry several units."""


def poisson_law(mean: float) -> CountLaws:
    """Units out when they come off at random and each turns by itself (Palm 1938; from memory).

    Parameters
    ----------
    mean : rate times mean turn [units]; the law of the turn does not matter.
    """
    where = window(np.array([mean]), mean)
    return from_transform(np.exp(mean * (where.turns - 1))[None, :], where)


def skellam_law(out_mean: float, early_mean: float) -> CountLaws:
    """Units short under an offset: Poisson(out) - Poisson(early), random call-in.

    Parameters
    ----------
    out_mean : rate x E(T - o)+ [units]; early_mean : rate x E(o - T)+ [units].
    """
    where = window(np.array([out_mean - early_mean]), out_mean + early_mean)
    found = random_draws(np.array([out_mean]), np.array([early_mean]), where)
    return from_transform(found, where)


def negative_binomial_law(mean: float, variance_to_mean: float) -> CountLaws:
    """Units out when the rate itself is not known (a gamma prior over a Poisson count).

    Parameters
    ----------
    variance_to_mean : above 1; a rate known with variation cv gives 1 + cv^2 mean.
    """
    share = 1 / variance_to_mean
    shape = mean * share / (1 - share)
    where = window(np.array([mean]), 2 * mean * variance_to_mean, margin=20 * variance_to_mean)
    found = (share / (1 - (1 - share) * where.turns)) ** shape
    return from_transform(found[None, :], where)


def batch_law(events_mean: float, batch_mean: float) -> CountLaws:
    """Units out when they come off in geometric batches that share one turn.

    Parameters
    ----------
    events_mean : rate of batches x mean turn; batch_mean : units of a batch on average, above 1.

    Equations: compound Poisson (Feeney & Sherbrooke 1966; abstract read).
    """
    share = 1 / batch_mean
    variance = events_mean * (2 - share) / share**2
    where = window(np.array([events_mean * batch_mean]), 2 * variance, margin=20 * batch_mean)
    batch = share * where.turns / (1 - (1 - share) * where.turns)
    return from_transform(np.exp(events_mean * (batch - 1))[None, :], where)


def start_up_mean(turn: TurnLaw, rate_a_day: float, days: float) -> float:
    """Units out on average ``days`` after a programme starts: rate x E min(T, days)."""
    whole, rest = mean_beyond(turn, np.array([0.0, days]))
    return float(rate_a_day * (whole - rest))


def random_readiness(stream: Stream) -> ReadyTable:
    """Readiness at the need when the same vehicles come at random instead of every takt.

    Vehicles come as a Poisson stream with the mix of types; each adds a thinned count of units
    (compound Poisson). Lots add Uniform{0 .. Q-1}, exact for a constant turn, an upper figure
    for a scattered one. For one unit a vehicle the law is the Skellam law of ``skellam_law``.
    """
    turn = _with_despatch(stream)
    out, early = (stream.site_a_day * part for part in site_draw(stream, 0.0))
    cells = [_cells(stream, turn, need) for need in stream.needs]
    mean, spread = out - early, out + early
    for need, (drawn, returned) in zip(stream.needs, cells, strict=True):
        weight = need.per_vehicle * float((drawn[1] * drawn[0]).sum())
        weight_back = need.per_vehicle * float((returned[1] * returned[0]).sum())
        mean += weight - weight_back
        spread += (weight + weight_back) * need.per_vehicle
    gathering = stream.lot_size + stream.purchase_lot * (stream.scrap_share > 0)
    where = window(np.full(len(stream.needs), mean + gathering / 2), spread, 2.0 * gathering + 6)
    found = random_draws(np.array([out]), np.array([early]), where)
    found = found * np.exp(_exponent(stream, cells, where))[None, :]
    found = found * even_part(stream.lot_size, where) * gathering_transform(stream, where)
    return _table(stream, turn, np.repeat(found, len(stream.needs), axis=0), where)


def _with_despatch(stream: Stream) -> TurnLaw:
    if stream.despatch_days <= 0:
        return stream.turn
    waits = (np.arange(12) + 0.5) / 12 * stream.despatch_days
    return WaitingTurn(stream.turn, tuple(float(wait) for wait in waits))


Cells = tuple[tuple[Array, Array], tuple[Array, Array]]


def _cells(stream: Stream, turn: TurnLaw, need: TypeNeed) -> Cells:
    """(vehicles, chance) by cells of days: drawn and still out; not drawn yet and back."""
    offset = need.needed_day - need.removed_day
    end = max(longest_days(turn), stream.purchase_days if stream.scrap_share else 0.0, offset)
    rate = need.share / stream.takt_days

    def averages(first: float, last: float) -> tuple[Array, Array]:
        edges = np.linspace(first, last, CELLS + 1)
        beyond = (1 - stream.scrap_share) * mean_beyond(turn, edges)
        beyond += stream.scrap_share * np.maximum(0.0, stream.purchase_days - edges)
        width = (last - first) / CELLS
        away = -np.diff(beyond) / width if width > 0 else np.zeros(CELLS)
        return np.full(CELLS, rate * width), np.clip(away, 0.0, 1.0)

    vehicles, away = averages(offset, end)
    earlier, not_back = averages(0.0, offset)
    share = stream.removal_share
    return (vehicles, share * away), (earlier, share * (1 - not_back))


def _exponent(stream: Stream, cells: list[Cells], where: Window) -> Complex:
    turns, back = where.turns - 1, 1 / where.turns - 1
    total = np.zeros(turns.size, dtype=complex)
    for need, (drawn, returned) in zip(stream.needs, cells, strict=True):
        for (vehicles, chance), step in ((drawn, turns), (returned, back)):
            one = 1 + np.outer(chance, step)
            each = one.copy()
            for _ in range(need.per_vehicle - 1):
                each *= one
            total += (vehicles[:, None] * (each - 1)).sum(axis=0)
    return total


def _table(stream: Stream, turn: TurnLaw, others: Complex, where: Window) -> ReadyTable:
    spared = from_transform(others, where)
    own = np.ones_like(others)
    for place, need in enumerate(stream.needs):
        offset = np.array([need.needed_day - need.removed_day + MOMENT_DAYS])
        away = (1 - stream.scrap_share) * float(turn.survival(offset)[0])
        away += stream.scrap_share * float(offset[0] < stream.purchase_days)
        own[place] = (1 + stream.removal_share * away * (where.turns - 1)) ** need.per_vehicle
    most = max(0, int(where.low.max()) + where.size)
    ready = from_transform(others * own, where).ready(most)
    counts = np.array([need.per_vehicle for need in stream.needs])
    nothing_off = (1 - stream.removal_share) ** counts[:, None]
    ready = ready + nothing_off * (1 - spared.ready(most))
    return ReadyTable(
        type_ids=tuple(need.type_id for need in stream.needs),
        shares=tuple(need.share for need in stream.needs),
        look_days=(0.0,),
        ready=trimmed(np.minimum(ready, 1.0)[None, :, :]),
    )


def rate_unknown(mean: float, rate_cv: float) -> CountLaws:
    """Units out when the rate is known only within a coefficient of variation ``rate_cv``."""
    return negative_binomial_law(mean, 1 + rate_cv**2 * mean)


def least_float_poisson(mean: float, chance: float) -> int:
    """Least float S with P(units out <= S - 1) >= ``chance``: a unit on the shelf at the need."""
    law = poisson_law(mean)
    return law.least_float(chance) + 1 if math.isfinite(mean) else 0
