"""A trial of the stream of one unit kind by chance alone: no law, only units and days.

Vehicles come every takt (or at random), their units go off, are repaired, bought or queue for a
bench, and each vehicle draws what came off it. The float is fed first come, first served by day
of need, so that one run tells for every float at once whether each vehicle had to wait.
"""

import heapq
from dataclasses import dataclass

import numpy as np

from pacewright.floats.problem import Bench, Stream
from pacewright.floats.type_order import even_order


@dataclass
class Trial:
    """For each vehicle: its type, whether anything came off, and units short at each look."""

    types: np.ndarray
    removed: np.ndarray
    short: np.ndarray

    def ready(self, place: int, look: int, units: int, batches: int = 40) -> tuple[float, float]:
        """Share of vehicles of a type that do not wait, and its standard error (batch means)."""
        mine = self.types == place
        waits = (self.short[look, mine] > units) & (self.removed[mine] > 0)
        means = np.array([part.mean() for part in np.array_split(~waits, batches)])
        return float(means.mean()), float(means.std(ddof=1) / np.sqrt(batches))


def trial(
    stream: Stream,
    looks: tuple[float, ...],
    vehicles: int,
    seed: int,
    draw_turn,
    bench: Bench | None = None,
    at_random: bool = False,
) -> Trial:
    """Run ``vehicles`` through; the first and last parts are left out of the count."""
    rng = np.random.default_rng(seed)
    gate, types = _call_in(stream, vehicles, rng, at_random)
    spare = len(stream.needs)
    per = np.array([n.per_vehicle for n in stream.needs] + [0])[types]
    removed_at = gate + np.array([n.removed_day for n in stream.needs] + [0.0])[types]
    need_at = gate + np.array([n.needed_day for n in stream.needs] + [0.0])[types]
    counts = rng.binomial(per, stream.removal_share)
    unit_removed = np.repeat(removed_at, counts)
    order = np.argsort(unit_removed, kind="stable")
    unit_removed = unit_removed[order]
    back = [_paced_back(stream, unit_removed, rng, draw_turn, bench)]
    site_at = np.zeros(0)
    if stream.site_a_day > 0:
        span = gate[-1] - gate[0]
        site_at = np.sort(rng.uniform(gate[0], gate[-1], rng.poisson(stream.site_a_day * span)))
        back.append(_site_back(stream, site_at, rng, draw_turn))
    back_at = np.sort(np.concatenate(back))
    ranks = np.lexsort((np.arange(vehicles), np.round(need_at, 7)))
    drawn = np.empty(vehicles)
    drawn[ranks] = np.cumsum(counts[ranks])
    drawn += np.searchsorted(site_at, need_at)
    short = np.stack(
        [drawn - np.searchsorted(back_at, need_at + look + 1e-7, side="right") for look in looks]
    )
    keep = np.zeros(vehicles, dtype=bool)
    keep[vehicles // 10 : -vehicles // 10] = True
    keep &= types < spare
    return Trial(types[keep], counts[keep], short[:, keep])


def _call_in(stream: Stream, vehicles: int, rng, at_random: bool):
    shares = tuple(n.share for n in stream.needs)
    if sum(shares) < 1 - 1e-9:
        shares = (*shares, 1 - sum(shares))
    if at_random:
        gate = np.cumsum(rng.exponential(stream.takt_days, vehicles))
        return gate, rng.choice(len(shares), vehicles, p=shares)
    return np.arange(vehicles) * stream.takt_days, even_order(shares, vehicles)


def _paced_back(stream: Stream, removed_at, rng, draw_turn, bench):
    condemned = rng.random(removed_at.size) < stream.scrap_share
    back = np.full(removed_at.size, np.inf)
    bad = np.flatnonzero(condemned)
    for first in range(0, bad.size - stream.purchase_lot + 1, stream.purchase_lot):
        lot = bad[first : first + stream.purchase_lot]
        back[lot] = removed_at[lot[-1]] + stream.purchase_days
    good = np.flatnonzero(~condemned)
    sent = np.full(removed_at.size, np.inf)
    for first in range(0, good.size - stream.lot_size + 1, stream.lot_size):
        lot = good[first : first + stream.lot_size]
        sent[lot] = removed_at[lot[-1]]
    if stream.despatch_days > 0:
        # The despatch day drifts slowly past the takt, so that every phase comes up.
        period = stream.despatch_days
        sent[good] = np.ceil((sent[good] - 1e-9) / period) * period
    if bench is None:
        back[good] = sent[good] + draw_turn(rng, good.size)
        return back
    free = [0.0] * bench.benches
    for unit in good:
        start = max(sent[unit], heapq.heappop(free))
        end = start + rng.exponential(bench.bench_days)
        heapq.heappush(free, end)
        back[unit] = end + draw_turn(rng, 1)[0]
    return back


def _site_back(stream: Stream, site_at, rng, draw_turn):
    condemned = rng.random(site_at.size) < stream.scrap_share
    turn = stream.site_transit_days + draw_turn(rng, site_at.size)
    return site_at + np.where(condemned, stream.purchase_days, turn)
