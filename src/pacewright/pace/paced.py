"""The queue before positions when vehicles are called in at an even pace.

Random call-in would ask for more positions than a paced works needs, so Erlang's formula is kept
for comparison only. Here the number of charges on the positions is the sum, over the vehicles
before and after, of the chance that each has come and not yet left: a law that is exact while
positions are ample. Waiting is then put in by balance: who waits stays longer and is met by more
that follow. Tests hold it against a simulation; it is good to about a tenth.
"""

from dataclasses import dataclass
from functools import cached_property
from math import ceil, comb, sqrt
from statistics import NormalDist

import numpy as np

from pacewright.pace.arrivals import Arrivals
from pacewright.pace.stage_times import Floats, StageTime

_OWN_POINTS, _OTHER_POINTS = 10, 24
_EXACT_VEHICLES = 160
_ROUNDS = 30


@dataclass(frozen=True, slots=True)
class Wait:
    """Waiting before the positions of a stage [working days].

    ``chance`` and ``mean_days`` hold for any charge, ``lead_days`` for the first of those that
    come together (what it waits for other vehicles only).
    """

    chance: float
    mean_days: float
    lead_days: float


@dataclass(frozen=True)
class PacedQueue:
    """Charges that come as ``arrivals`` says and stand on a position for ``time``."""

    arrivals: Arrivals
    time: StageTime

    @property
    def load(self) -> float:
        """Positions busy on average: Little's law."""
        return self.arrivals.charges_a_day * self.time.mean_days

    def wait(self, positions: int, longest_days: float) -> Wait:
        """The wait before so many positions; ``longest_days`` caps a queue that has no end.

        Equations
        ---------
        W = s/c x { E[(N - c)+] + P(N >= c) (1 + cs2) / 2 }, N = charges met by an arrival when
        each stays s + W; solved for the least W. Exact for M/M/c given N (Little; residual time
        of renewal theory); for paced arrivals an approximation of our own, see docs.
        """
        if self.load >= positions:
            return Wait(1.0, longest_days, longest_days)
        before, now = 0.0, self._balance(0.0, positions)
        for _ in range(_ROUNDS):
            after = min(self._balance(now, positions), longest_days)
            if abs(after - now) <= 1e-3 * self.time.mean_days:
                now = after
                break
            # Aitken's step: the balance contracts by nearly the same ratio each round.
            ratio = (after - now) / (now - before) if now > before else 0.0
            leap = (after - now) / (1 - ratio) if 0 < ratio < 0.98 else after - now
            before, now = now, min(now + leap, longest_days)
        met = self.met(now)
        lead = self._vehicles_met(now)
        return Wait(
            chance=float(met[positions:].sum()),
            mean_days=now,
            lead_days=min(now, self._wait_from(lead, positions)),
        )

    def positions_for(self, confidence: float, longest_days: float) -> int:
        """Least number of positions at which the chance of a wait is at most 1 - confidence."""
        tail = 1 - np.cumsum(self.met(0.0))
        ample = np.flatnonzero(tail <= 1 - confidence)
        positions = max(1, ceil(self.load - 1e-9), int(ample[0]) + 1 if ample.size else 1)
        while self.wait(positions, longest_days).chance > 1 - confidence + 1e-9:
            positions += 1
        return positions

    def met(self, wait_days: float) -> Floats:
        """Chances that a charge on arrival meets 0, 1, 2 ... others that stay so much longer."""
        return np.convolve(self._vehicles_met(wait_days), self._siblings)

    def _balance(self, wait_days: float, positions: int) -> float:
        return self._wait_from(self.met(wait_days), positions)

    def _wait_from(self, met: Floats, positions: int) -> float:
        over = np.maximum(np.arange(met.size) - positions, 0)
        scatter = (self.time.sd_days / self.time.mean_days) ** 2
        waits = float(met @ over) + float(met[positions:].sum()) * (1 + scatter) / 2
        return self.time.mean_days / positions * waits

    @cached_property
    def _siblings(self) -> Floats:
        # A charge belongs to a group of n with chance in proportion to n, at any place in it.
        sizes = self.arrivals.sizes
        mean = sum(size * share for size, share in sizes.items())
        ahead = [
            sum(share for size, share in sizes.items() if size > before) / mean
            for before in range(max(sizes))
        ]
        return np.array(ahead)

    def _vehicles_met(self, wait_days: float) -> Floats:
        takt, spread = self.arrivals.takt_days, self.arrivals.spread_days
        own, other = spread * _quantiles(_OWN_POINTS), spread * _quantiles(_OTHER_POINTS)
        reach = own[-1] + other[-1]
        first, last = -int(reach / takt), int((self.time.most_days + wait_days + reach) / takt) + 1
        sure = max(0, int((self.time.least_days + wait_days - reach) / takt))
        gate = int(reach / takt) + 1
        # Between gate and sure every vehicle has come for certain and none has left.
        certain = np.arange(gate, sure + 1)
        ahead = np.array([n for n in range(first, last + 1) if n and not gate <= n <= sure])
        stride = ceil(ahead.size / _EXACT_VEHICLES)
        chances = self._present(own[:, None] + ahead[None, ::stride] * takt, other, wait_days)
        base = self._certain(certain.size)
        if stride == 1:
            return np.convolve(_sum_of(chances), base)
        return np.convolve(_near_normal(chances, ahead.size / chances.shape[1]), base)

    def _present(self, since: Floats, other: Floats, wait_days: float) -> Floats:
        passed = since[:, :, None] - other
        stays = np.where(passed >= 0, self.time.outlasts(passed - wait_days), 0.0)
        most = max(self.arrivals.sizes)
        chances = np.zeros((*since.shape, most + 1))
        for size, share in self.arrivals.sizes.items():
            for number in range(size + 1):
                both = stays**number * (1 - stays) ** (size - number)
                chances[:, :, number] += share * comb(size, number) * both.mean(axis=2)
        return chances

    def _certain(self, vehicles: int) -> Floats:
        sizes = self.arrivals.sizes
        if len(sizes) == 1:
            law = np.zeros(vehicles * max(sizes) + 1)
            law[-1] = 1.0
            return law
        one = np.zeros((1, vehicles, max(sizes) + 1))
        for size, share in sizes.items():
            one[:, :, size] = share
        return _sum_of(one) if vehicles <= _EXACT_VEHICLES else _near_normal(one, 1.0)


def _quantiles(points: int) -> Floats:
    law = NormalDist()
    return np.array([law.inv_cdf((n + 0.5) / points) for n in range(points)])


def _sum_of(chances: Floats) -> Floats:
    """Law of the sum over axis 1, mixed over axis 0; axis 2 holds the chances of 0, 1, 2 ..."""
    own, vehicles, counts = chances.shape
    law = np.zeros((own, vehicles * (counts - 1) + 1))
    law[:, 0] = 1.0
    for vehicle in range(vehicles):
        one = chances[:, vehicle, :]
        width = vehicle * (counts - 1) + 1
        grown = np.zeros((own, width + counts - 1))
        for count in range(counts):
            grown[:, count : count + width] += one[:, count : count + 1] * law[:, :width]
        law[:, : grown.shape[1]] = grown
    mixed: Floats = law.mean(axis=0)
    return mixed


def _near_normal(chances: Floats, each_stands_for: float) -> Floats:
    """The same for very many vehicles: exact mean and variance, normal shape on whole numbers."""
    counts = np.arange(chances.shape[2])
    means = (chances * counts).sum(axis=2)
    variances = (chances * counts**2).sum(axis=2) - means**2
    mean = means.sum(axis=1) * each_stands_for
    variance = float(variances.sum(axis=1).mean() * each_stands_for + mean.var())
    middle, sd = float(mean.mean()), sqrt(max(variance, 1e-12))
    law = NormalDist(middle, sd)
    edges = [law.cdf(number + 0.5) for number in range(ceil(middle + 8 * sd) + 1)]
    steps: Floats = np.diff(np.array([0.0, *edges]))
    shares: Floats = steps / steps.sum()
    return shares
