"""The queue before positions when vehicles are called in at an even pace.

Random call-in would ask for more positions than a paced works needs, so Erlang's formula is kept
for comparison only. Here the number of charges on the positions is the sum, over the vehicles
before and after, of the chance that each has come and not yet left: a law that is exact while
positions are ample. Waiting is then put in by balance: who waits stays longer and is met by more
that follow. Tests hold it against a simulation.
"""

from dataclasses import dataclass
from math import ceil
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from pacewright.pace.arrivals import Arrivals
from pacewright.pace.stage_times import Floats, StageTime

Ints = NDArray[np.int64]

_OWN_POINTS, _OTHER_POINTS = 10, 24
_VEHICLES_TRIED = 160
"""Of those near the gate, and of those beyond; of more than these neighbours are taken as one."""
_ROUNDS = 30


@dataclass(frozen=True, slots=True)
class Wait:
    """What a vehicle meets at a stage because of other vehicles.

    ``chance`` that its first charge finds no position free; ``mean_days`` that charge waits
    [working days]. Its further charges follow in turn; that is time of its own route.
    """

    chance: float
    mean_days: float


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
        For the j-th charge of a vehicle (j = 0, 1 ...), N charges of other vehicles met:
        W_j = s/c x { E[(N + j - c)+] + P(N + j >= c) (1 + cs2) / 2 }, and at least
        W_0 + floor(j / c) s, since fellows that go in together come out together. N depends on
        all W_j; solved for the least. Exact for M/M/c given N (Little; residual time of renewal
        theory); for paced arrivals an approximation of our own, see docs.
        """
        if self.load >= positions * (1 - 1e-12):
            return Wait(1.0, longest_days)
        before = np.zeros(max(self.arrivals.sizes))
        # The cap is for waits behind other vehicles; the turns of its own fellows come on top.
        most = longest_days + np.arange(before.size) // positions * self.time.mean_days
        now = self._balance(before, positions)
        for _ in range(_ROUNDS):
            after = np.minimum(self._balance(now, positions), most)
            if np.abs(after - now).max() <= 1e-3 * self.time.mean_days:
                now = after
                break
            # Aitken's step: the balance contracts by nearly the same ratio each round.
            rise = now - before
            ratio = np.where(rise > 0, (after - now) / np.where(rise > 0, rise, 1.0), 0.0)
            ratio = np.where((ratio > 0) & (ratio < 0.98), ratio, 0.0)
            before, now = now, np.minimum(now + (after - now) / (1 - ratio), most)
        return Wait(float(self.met(now)[positions:].sum()), float(now[0]))

    def positions_for(self, confidence: float, longest_days: float) -> int:
        """Least number of positions at which the chance of a wait is at most 1 - confidence."""
        positions = max(1, ceil(self.load - 1e-9))
        # Waiting only adds to those met: fewer positions than without any waiting never do.
        within = np.cumsum(self.met(np.zeros(max(self.arrivals.sizes))))
        positions = max(positions, int(np.searchsorted(within, confidence - 1e-9)) + 1)
        while self.wait(positions, longest_days).chance > 1 - confidence + 1e-9:
            positions += 1
        return positions

    def met(self, waits_days: Floats) -> Floats:
        """Chances that a vehicle meets 0, 1, 2 ... charges of others.

        ``waits_days`` : how much longer the first, second ... charge of each stays for waiting.
        """
        takt, spread = self.arrivals.takt_days, self.arrivals.spread_days
        stay = self.time.mean_days
        own, other = spread * _quantiles(_OWN_POINTS), spread * _quantiles(_OTHER_POINTS)
        reach = own[-1] + other[-1]
        in_turn = waits_days.max() - waits_days.min()
        scatter = (self.time.longest_days - self.time.least_days) * np.sqrt(1 + in_turn / stay)
        longest = stay + waits_days.max() + scatter + reach
        first, last = -int(reach / takt), int(longest / takt) + 1
        sure = max(0, int((self.time.least_days + waits_days.min() - reach) / takt))
        gate = int(reach / takt) + 1
        # Between gate and sure every vehicle has come for certain and none has left.
        near = [n for n in range(first, min(gate, last + 1)) if n]
        at, stands_for = _grouped(near, list(range(max(sure + 1, gate), last + 1)))
        chances = self._present(own[:, None] + at[None, :] * takt, other, waits_days)
        return _sum_of(chances, stands_for, self._certain(), max(0, sure - gate + 1))

    def _balance(self, waits_days: Floats, positions: int) -> Floats:
        met = self.met(waits_days)
        there = np.arange(met.size)
        scatter = (self.time.sd_days / self.time.mean_days) ** 2
        stay = self.time.mean_days
        waits = np.zeros_like(waits_days)
        for fellow in range(waits.size):
            ahead = there + fellow - positions
            queued = met @ np.maximum(ahead, 0) + met[ahead >= 0].sum() * (1 + scatter) / 2
            waits[fellow] = max(stay / positions * queued, waits[0] + fellow // positions * stay)
        return waits

    def _present(self, since: Floats, other: Floats, waits_days: Floats) -> Floats:
        """Chances that 0, 1, 2 ... charges of each other vehicle are there."""
        passed = since[:, :, None] - other
        most = waits_days.size
        chances = np.zeros((*since.shape, most + 1))
        law = np.zeros((most + 1, *passed.shape))
        law[0] = 1.0
        mean = self.time.mean_days
        for size, wait_days in enumerate(waits_days, start=1):
            # Who waits for stays of fellows scatters with theirs: r stays more, sd x sqrt(1 + r).
            widened = np.sqrt(1 + max(0.0, wait_days - waits_days[0]) / mean)
            alone = mean + (passed - wait_days - mean) / widened
            stays = np.where(passed >= 0, self.time.outlasts(alone), 0.0)
            law[1:] = law[1:] * (1 - stays) + law[:-1] * stays
            law[0] *= 1 - stays
            share = self.arrivals.sizes.get(size, 0.0)
            if share:
                chances += share * np.moveaxis(law.mean(axis=3), 0, -1)
        return chances

    def _certain(self) -> Floats:
        """Chances of 0, 1, 2 ... charges of a vehicle that is there for certain."""
        sizes = self.arrivals.sizes
        return np.array([sizes.get(number, 0.0) for number in range(max(sizes) + 1)])


def _quantiles(points: int) -> Floats:
    law = NormalDist()
    return np.array([law.inv_cdf((n + 0.5) / points) for n in range(points)])


def _grouped(*runs: list[int]) -> tuple[Floats, Ints]:
    """Places in the order of coming, and how many vehicles each stands for.

    Neighbours that are taken as one stand in their middle: at the edge, where the chance falls
    along the order, so many would be counted too many. They are the more the farther they are,
    where the chance falls slowly.
    """
    places, numbers = [], []
    for run in filter(None, runs):
        tried = min(len(run), _VEHICLES_TRIED)
        parts = np.arange(tried) / tried
        starts = np.unique((len(run) * parts**2).astype(np.int64))
        if tried == len(run):
            starts = np.arange(tried)
        number = np.diff(starts, append=len(run))
        numbers.append(number)
        places.append(np.add.reduceat(np.array(run, dtype=np.float64), starts) / number)
    return np.concatenate(places), np.concatenate(numbers)


def _sum_of(chances: Floats, stands_for: Ints, certain: Floats, number: int) -> Floats:
    """Law of the sum over axis 1, mixed over axis 0, and of ``number`` more of law ``certain``.

    Axis 2 holds the chances of 0, 1, 2 ...; each vehicle of axis 1 stands for so many alike. By
    the product of the transforms, cut where no chance worth counting is left.
    """
    counts = np.arange(chances.shape[2])
    mean = chances @ counts
    means = mean @ stands_for + number * (certain @ counts)
    variances = (chances @ counts**2 - mean**2) @ stands_for
    variances += number * (certain @ counts**2 - (certain @ counts) ** 2)
    length = ceil(float((means + 10 * np.sqrt(variances)).max())) + 20 + counts.size
    length = 1 << (length - 1).bit_length()
    turned = np.ones((chances.shape[0], length // 2 + 1), dtype=np.complex128)
    for alike in np.unique(stands_for):
        some = np.fft.rfft(chances[:, stands_for == alike], length, axis=2)
        turned *= some.prod(axis=1) ** int(alike)
    turned *= np.fft.rfft(certain, length) ** number
    law: Floats = np.maximum(np.fft.irfft(turned, length, axis=1).mean(axis=0), 0.0)
    return law
