"""Readiness behind a loaded shop: the queue before the benches sets when units come back."""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pacewright.floats.count_law import Complex, CountLaws, Window, from_transform, window
from pacewright.floats.finite_shop import PacedShop, paced_shop
from pacewright.floats.lots import even_part
from pacewright.floats.problem import Bench, Stream, TypeNeed
from pacewright.floats.purchase import gathering_transform, poisson_weights
from pacewright.floats.readiness import ReadyTable, trimmed
from pacewright.floats.turn_time import MOMENT_DAYS, mean_and_sd
from pacewright.floats.two_sites import random_draws

Array = NDArray[np.float64]

STRETCH = 48
"""Points of the transform worked out at a time, until it has died away."""


@dataclass(frozen=True, slots=True)
class ShopTurn:
    """The turn through a loaded shop [working days].

    Parameters
    ----------
    rest_days : what passes outside the benches, taken as constant.
    mean_days, sd_days : rest, queue and bench together; the spread is that of random call-in.
    """

    rest_days: float
    mean_days: float
    sd_days: float


@dataclass(frozen=True)
class _Feed:
    # What comes to the benches: each takt a batch of the mix and the second site's units.
    shop: PacedShop
    mix: Array
    site: Array

    def come(self, state: Complex, back: Complex) -> Complex:
        """One batch joins: vehicles of the mix (each unit one less in D) and the site's units."""
        return _join(_join(state, self.mix, back), self.site, np.ones_like(back))


@dataclass(frozen=True)
class _Beside:
    # What adds to D outside the benches: mean units drawn and returned, lots, purchase lots.
    stream: Stream
    drawn: Array
    returned: Array

    def transform(self, where: Window) -> Complex:
        draws = random_draws(self.drawn, self.returned, where)
        gathered = gathering_transform(self.stream, where) * even_part(self.stream.lot_size, where)
        return np.asarray(draws * gathered)


def loaded_readiness(
    stream: Stream, bench: Bench, look_days: tuple[float, ...], at_random: bool = False
) -> tuple[ReadyTable, ShopTurn]:
    """Readiness when the benches, not a free turn, set when units come back.

    The stated mean turn also holds what passes outside the benches (transport, stores): that
    stays as a constant rest, at least 0. The mix of types feeds the shop, each vehicle drawn
    from it by itself; each type is looked at with its own offset, the others as having the same.

    Parameters
    ----------
    at_random : vehicles come at random; those of one takt are counted in at its end.

    Equations: with u = offset + wait - rest counted from the removal, D = units in the shop at u
    less the units of later vehicles that came by u; for u < 0 plus the units of this vehicle and
    of those before it that came after u. Own derivation on the chain of ``paced_shop``.
    """
    mix = _mix(stream, at_random)
    site_rate = stream.site_a_day * (1 - stream.scrap_share) * stream.takt_days
    site = poisson_weights(site_rate, math.ceil(site_rate + 8 * math.sqrt(site_rate) + 4))
    feed = _Feed(paced_shop(stream.takt_days, np.convolve(mix, site), bench), mix, site)
    turn = _turn(stream, feed)
    tables = [_one_type(stream, feed, need, turn.rest_days, look_days) for need in stream.needs]
    most = max(table.shape[1] for table in tables)
    padded = [
        np.pad(table, ((0, 0), (0, most - table.shape[1])), constant_values=1.0) for table in tables
    ]
    found = ReadyTable(
        type_ids=tuple(need.type_id for need in stream.needs),
        shares=tuple(need.share for need in stream.needs),
        look_days=look_days,
        ready=trimmed(np.minimum(np.stack(padded, axis=1), 1.0)),
    )
    return found, turn


def _some_of(units: int, share: float) -> Array:
    """Chances that 0, 1, ... of ``units`` are removed, each with chance ``share``."""
    found = np.ones(1)
    for _ in range(units):
        found = np.convolve(found, [1 - share, share])
    return found


def _mix(stream: Stream, at_random: bool) -> Array:
    share = stream.removal_share * (1 - stream.scrap_share)
    size = max(need.per_vehicle for need in stream.needs) + 1
    mix = np.zeros(size)
    mix[0] = 1 - sum(need.share for need in stream.needs)
    for need in stream.needs:
        batch = _some_of(need.per_vehicle, share)
        mix[: batch.size] += need.share * batch
    mix = np.maximum(mix, 0.0)
    if not at_random:
        return mix
    # As many vehicles in a takt as a Poisson count of mean one gives.
    vehicles, found, power = poisson_weights(1.0, 12), np.zeros(12 * size), np.ones(1)
    for chance in vehicles:
        found[: power.size] += chance * power
        power = np.convolve(power, mix)
    return np.asarray(found / found.sum())


def _turn(stream: Stream, feed: _Feed) -> ShopTurn:
    batch = np.convolve(feed.mix, feed.site)
    rate = float(batch @ np.arange(batch.size)) / stream.takt_days
    inside_days = feed.shop.mean_inside / rate
    stated, _ = mean_and_sd(stream.turn)
    rest = max(0.0, stated - inside_days)
    bench_days = feed.shop.bench.bench_days
    # As under random call-in: a wait that is exponential once there is one.
    wait = max(0.0, inside_days - bench_days)
    spread = math.sqrt(bench_days**2 + wait**2)
    return ShopTurn(rest, rest + inside_days, spread)


def _one_type(
    stream: Stream, feed: _Feed, need: TypeNeed, rest_days: float, look_days: tuple[float, ...]
) -> Array:
    offset = need.needed_day - need.removed_day
    late = np.array(look_days)
    at = offset + late - rest_days - stream.despatch_days / 2 + MOMENT_DAYS
    beside = _Beside(stream, *_drawn_beside(stream, need, rest_days, late))
    where = _window(stream, feed, at, beside.drawn + beside.returned)
    share = stream.removal_share * (1 - stream.scrap_share)
    laws = _laws(feed, at, _some_of(need.per_vehicle, share), where, beside)
    most = max(0, int(where.low.max()) + where.size)
    nothing_off = (1 - stream.removal_share) ** need.per_vehicle
    ready = laws.ready(most)
    if nothing_off > 0:
        spared = _laws(feed, at, np.ones(1), where, beside)
        ready = ready + nothing_off * (1 - spared.ready(most))
    return np.asarray(ready)


def _drawn_beside(
    stream: Stream, need: TypeNeed, rest_days: float, late: Array
) -> tuple[Array, Array]:
    """Units drawn and returned on average outside the benches: condemned ones, the site's."""
    offset = need.needed_day - need.removed_day
    condemned = stream.units_a_takt / stream.takt_days * stream.scrap_share
    ahead = stream.purchase_days - offset - late
    drawn = condemned * np.maximum(ahead, 0.0)
    returned = condemned * np.minimum(offset + late, np.maximum(-ahead, 0.0))
    # The site's units on their way or in the rest are not among those in the shop.
    site_days = np.maximum(0.0, rest_days + stream.site_transit_days - late)
    repaired = (1 - stream.scrap_share) * site_days
    bought = stream.scrap_share * np.maximum(0.0, stream.purchase_days - late)
    return drawn + stream.site_a_day * (repaired + bought), returned


def _window(stream: Stream, feed: _Feed, at: Array, beside: Array) -> Window:
    counts = np.arange(feed.mix.size)
    mean = float(feed.mix @ counts)
    inside = feed.shop.mean_inside
    squares = float(feed.shop.after @ np.arange(feed.shop.after.size) ** 2)
    variance = squares - float(feed.shop.after @ np.arange(feed.shop.after.size)) ** 2
    vehicles = np.abs(at) / stream.takt_days + 1
    variance += float(vehicles.max()) * (float(feed.mix @ counts**2) - mean**2)
    gathering = stream.lot_size + stream.purchase_lot
    means = inside - mean * at / stream.takt_days + beside
    # A queue has a long tail: as far as the law of the shop goes.
    tail = feed.shop.after.size - inside
    spread = 2 * (variance + float(beside.max()))
    beyond = max(0.0, tail - 7 * math.sqrt(spread))
    return window(means, spread, margin=2.0 * gathering + 10 + beyond)


def _laws(feed: _Feed, at: Array, own: Array, where: Window, beside: _Beside) -> CountLaws:
    parts: list[Complex] = []
    for first in range(0, where.kept, STRETCH):
        stretch = replace(where, first=first, kept=min(first + STRETCH, where.kept))
        parts.append(_transforms(feed, at, own, stretch) * beside.transform(stretch))
        # Units leave the benches one by one, so that the law is smooth: where its transform has
        # died away it does not come back.
        if float(np.abs(parts[-1][:, -4:]).max()) < 1e-12:
            break
    rows = np.concatenate(parts, axis=1)
    return from_transform(rows, replace(where, kept=rows.shape[1]))


def _transforms(feed: _Feed, at: Array, own: Array, where: Window) -> Complex:
    takt = feed.shop.takt_days
    rows = np.zeros((at.size, where.steps.size), dtype=complex)
    # Walk on through the batches from the vehicle's own, one look after the other.
    state = _own_joined(feed, own, where)
    passed = 0
    for place in np.argsort(at):
        day = float(at[place])
        if day < 0:
            rows[place] = _before(feed, -day, own, where)
            continue
        while (passed + 1) * takt <= day:
            state = feed.come(feed.shop.left_a_takt(state), 1 / where.turns)
            passed += 1
        rows[place] = _counted(feed.shop.left_after(day - passed * takt, state), where)
    return rows


def _own_joined(feed: _Feed, own: Array, where: Window) -> Complex:
    before = feed.shop.left_a_takt(feed.shop.after)
    state = np.repeat(before[:, None].astype(complex), where.turns.size, axis=1)
    whole = np.ones_like(where.turns)
    return _join(_join(state, own, whole), feed.site, whole)


def _before(feed: _Feed, days: float, own: Array, where: Window) -> Complex:
    takt = feed.shop.takt_days
    vehicles = math.floor(days / takt)
    since = (vehicles + 1) * takt - days
    inside = feed.shop.left_after(since, feed.shop.after)
    found = _counted(np.repeat(inside[:, None], where.turns.size, axis=1), where)
    # The site's units of that stretch are counted beside.
    return np.asarray(found * _spread(feed.mix, where) ** vehicles * _spread(own, where))


def _counted(state: Complex, where: Window) -> Complex:
    steps = np.outer(np.arange(state.shape[0]), where.steps) % where.size
    powers = np.exp(-2j * np.pi / where.size * np.arange(where.size))[steps]
    return np.asarray((state * powers).sum(axis=0))


def _spread(batch: Array, where: Window) -> Complex:
    return np.asarray(batch @ where.turns[None, :] ** np.arange(batch.size)[:, None])


def _join(state: Complex, batch: Array, each: Complex) -> Complex:
    found = np.zeros_like(state)
    for units, chance in enumerate(batch):
        if chance <= 1e-16:
            continue
        factor = chance * each**units
        found[units:] += factor * state[: state.shape[0] - units]
        if units:
            # What would overflow the table stands at its top (nothing measurable).
            found[-1] += factor * state[-units:].sum(axis=0)
    return found
