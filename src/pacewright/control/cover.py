"""How long the float of each unit kind lasts: days covered, day it runs out, and the chance."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import inf

import numpy as np

from pacewright.control.ahead import Ahead
from pacewright.control.demand import Demand
from pacewright.control.pool import IN_REPAIR, IN_STORE, Pool
from pacewright.control.turn_left import Floats
from pacewright.floats.count_law import from_transform, window, yes_or_no_sum

CHANCE_DAYS = 10
"""Working days ahead within which the chance to run out is told."""
LOOK_DAYS = 60
"""Working days ahead within which the day of running out is looked for."""
TIGHT_CHANCE = 0.1
"""From this chance to run out on a float is tight."""


class Cover(StrEnum):
    """How a float stands; words, so that no colour is needed to read it."""

    OUT = "none left"
    RUNS_OUT = "runs out"
    TIGHT = "tight"
    COVERED = "covered"
    NO_DEMAND = "no demand"


@dataclass(frozen=True, slots=True)
class FloatCover:
    """The float of one unit kind.

    Parameters
    ----------
    serviceable, issued, unserviceable, quarantine : units off vehicles now; never to be summed.
    demand_a_day : units a working day at the pace.
    cover_days : serviceable over demand: how long it lasts if nothing came back.
    runs_out_day : first day of the clock on which, with the returns expected, more is wanted
        than is there; None: not within ``LOOK_DAYS``.
    chance_out : chance that it runs out within ``CHANCE_DAYS``.
    word : see ``Cover``.
    demand_source, turn_source : where demand and turn time come from.
    """

    unit_kind_id: str
    name: str
    shop_id: str
    serviceable: int
    issued: int
    unserviceable: int
    quarantine: int
    demand_a_day: float
    cover_days: float
    runs_out_day: float | None
    chance_out: float
    word: Cover
    demand_source: str
    turn_source: str


def covers(seen: Ahead, pool: Mapping[str, Pool], asked: Demand) -> tuple[FloatCover, ...]:
    """The cover of every unit kind, the first to run out first.

    Parameters
    ----------
    seen : for its clock and moment.
    pool : pools of the same standing.
    asked : demand at the pace.

    Equations
    ---------
    Expected stock in t days = serviceable + sum of P(back by t)(1 - scrap) over units in repair
    + d (1 - scrap) E(t - T)+ - d t, with d the demand a day and T the turn time: the last two
    terms are those that come off from now on and what is wanted. Chance to be out by t:
    P(D + N > S + n), N the number not back of n expected (sum of yes-or-no counts), D Poisson
    with mean d t - d (1 - scrap) E(t - T)+; the greatest over the days up to ``CHANCE_DAYS``. It
    is taken as if vehicles came at random, which is cautious: even call-in scatters less.
    """
    found = [_cover(seen, one, asked) for one in pool.values()]
    return tuple(
        sorted(
            found,
            key=lambda one: (
                one.runs_out_day if one.runs_out_day is not None else inf,
                -one.chance_out,
                one.cover_days,
                one.unit_kind_id,
            ),
        )
    )


def _cover(seen: Ahead, pool: Pool, asked: Demand) -> FloatCover:
    a_day = asked.a_day.get(pool.kind.unit_kind_id, 0.0)
    days = np.arange(1.0, LOOK_DAYS + 1)
    out, chance = None, 0.0
    if a_day > 0:
        backs = chances_back(pool, seen.now_day, days)
        net = net_demand(pool, a_day, days)
        stock = pool.serviceable + backs.sum(axis=1) - net
        short = np.flatnonzero(stock < 0)
        out = seen.now_day + float(days[short[0]]) if short.size else None
        soon = slice(0, CHANCE_DAYS)
        chance = _chance_out(pool.serviceable, backs[soon], net[soon])
    return FloatCover(
        unit_kind_id=pool.kind.unit_kind_id,
        name=pool.kind.name,
        shop_id=pool.kind.shop_id,
        serviceable=pool.serviceable,
        issued=pool.issued,
        unserviceable=pool.unserviceable,
        quarantine=pool.quarantine,
        demand_a_day=a_day,
        cover_days=pool.serviceable / a_day if a_day > 0 else inf,
        runs_out_day=out,
        chance_out=chance,
        word=_word(seen, pool, a_day, out, chance),
        demand_source=asked.source,
        turn_source=pool.turn.source,
    )


def chances_back(pool: Pool, now_day: float, days: Floats) -> Floats:
    """Chance, by day (rows), that each unit not in store (columns) is back and not scrapped."""
    later = np.array([one.source != IN_STORE for one in pool.coming], dtype=bool)
    kept = np.array([1 - pool.kind.scrap_share * (one.source == IN_REPAIR) for one in pool.coming])
    chances = pool.chances_by(now_day + days, now_day) * kept
    return np.asarray(chances[:, later])


def net_demand(pool: Pool, a_day: float, days: Floats) -> Floats:
    """Mean units wanted within each of ``days`` less those that came off since and are back."""
    back = np.maximum(0.0, pool.turn.back_mean(days)) * (1 - pool.kind.scrap_share)
    return np.asarray(a_day * (days - back))


def _chance_out(serviceable: int, backs: Floats, net: Floats) -> float:
    missing = 1 - backs
    many = missing.shape[1]
    means = missing.sum(axis=1) + net
    variance = float((missing * (1 - missing)).sum(axis=1).max() + net.max())
    where = window(means, variance)
    chances = missing if many else np.zeros((len(net), 1))
    transform = yes_or_no_sum(chances, where) * np.exp(np.outer(net, where.turns - 1))
    within = from_transform(transform, where).ready(serviceable + many)[:, -1]
    return float(min(1.0, max(0.0, 1 - within.min())))


def _word(seen: Ahead, pool: Pool, a_day: float, out: float | None, chance: float) -> Cover:
    if a_day <= 0:
        return Cover.NO_DEMAND
    if not pool.serviceable:
        return Cover.OUT
    if out is not None and out <= seen.now_day + CHANCE_DAYS:
        return Cover.RUNS_OUT
    return Cover.TIGHT if chance >= TIGHT_CHANCE else Cover.COVERED
