"""Changes held against the base: paired differences over replications that share their chance."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import inf, nan, sqrt

import numpy as np

from pacewright.plans.comparison import (
    ChangeOutcome,
    Difference,
    Good,
    HoldUpDifference,
    Verdict,
)
from pacewright.plans.forecast import Cause
from pacewright.simulate.estimate import student_t
from pacewright.simulate.figures import figures, spans
from pacewright.simulate.gathered import Gathered
from pacewright.simulate.places import places
from pacewright.simulate.table import Floats

MORE_IS_GOOD = ("output_a_week", "promise_chance", "units_ready_share", "all_units_share")
LESS_IS_GOOD = ("turn_days", "holdup_days", "gate_mean")
"""Figures whose key begins so; of all others more is neither good nor bad."""

Place = tuple[Cause, str]


@dataclass(frozen=True)
class Side:
    """The runs of one change; ``data`` has as many samples as that of the base."""

    name: str
    differs: tuple[str, ...]
    data: Gathered
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Family:
    """Outcomes, and over how many intervals the confidence is shared."""

    outcomes: tuple[ChangeOutcome, ...]
    figures_looked_at: int
    holdups_looked_at: int


@dataclass(frozen=True)
class Paired:
    """The paired difference of one figure."""

    base: float
    changed: float
    difference: float
    half_width: float
    verdict: Verdict
    replications: int
    times_fewer: float


def compare(base: Gathered, sides: Sequence[Side], confidence: float = 0.95) -> Family:
    """Every change against the base.

    Parameters
    ----------
    base : the works as it is.
    sides : the changes, run with the same seed over the same weeks and as many replications.
    confidence : with which all intervals hold at once, those of the figures together and those of
        the hold-ups together.

    Equations
    ---------
    D_i = Y_i - X_i of replication i on both sides; mean D +- t(n - 1) s_D / sqrt(n), the paired t
    interval with common random numbers (Law, Simulation Modeling and Analysis, ch. 10 and 11; from
    memory). With m intervals looked at each has confidence 1 - (1 - c) / m, so that all hold at
    once with at least c (Bonferroni's inequality).
    """
    known = [_by_figure(one) for one in (base, *(side.data for side in sides))]
    stands = [_by_place(one) for one in (base, *(side.data for side in sides))]
    shown = [
        sorted(_differing(stands[0], mine), key=lambda one: (one[0].value, one[1]))
        for mine in stands[1:]
    ]
    m_figures, m_stands = len(known[0]) * len(sides), sum(map(len, shown))
    each = 1 - (1 - confidence) / max(1, m_figures)
    of_places = 1 - (1 - confidence) / max(1, m_stands)
    named = {one.key: (one.name, one.unit) for one in figures(base)}
    outcomes = []
    for side, mine, standing, found in zip(sides, known[1:], stands[1:], shown, strict=True):
        differences = (
            _difference((key, *named[key]), paired(known[0][key], mine[key], each))
            for key in known[0]
            if key in mine
        )
        outcomes.append(
            ChangeOutcome(
                side.name,
                side.differs,
                tuple(differences),
                _hold_ups((base, side.data), (stands[0], standing), found, of_places),
                side.notes,
            )
        )
    return Family(tuple(outcomes), m_figures, m_stands)


def paired(base: Floats, changed: Floats, confidence: float) -> Paired:
    """Two figures over the same replications; those not known on both sides (nan) are left out."""
    both = ~(np.isnan(base) | np.isnan(changed))
    x, y = base[both], changed[both]
    n = len(x)
    if n == 0:
        return Paired(nan, nan, nan, nan, Verdict.NOT_SHOWN, 0, nan)
    d = y - x
    mean = float(d.mean())
    half, fewer = inf, nan
    if n > 1:
        spread = float(d.var(ddof=1))
        half = student_t(confidence, n - 1) * sqrt(spread / n)
        apart = float(x.var(ddof=1) + y.var(ddof=1))
        fewer = apart / spread if spread > 0 else (inf if apart > 0 else nan)
    verdict = Verdict.REAL if abs(mean) > half else Verdict.NOT_SHOWN
    if not d.any():
        verdict = Verdict.SAME
    return Paired(float(x.mean()), float(y.mean()), mean, half, verdict, n, fewer)


def first_of(data: Gathered, count: int) -> Gathered:
    """The first replications alone."""
    return replace(data, samples=data.samples[:count])


def _by_figure(data: Gathered) -> dict[str, Floats]:
    """Figure -> its value in each replication; nan where one does not know it."""
    single = [
        {one.key: one.mean for one in figures(replace(data, samples=[sample]))}
        for sample in data.samples
    ]
    keys = [one.key for one in figures(data)]
    return {key: np.array([row.get(key, nan) for row in single], float) for key in keys}


def _by_place(data: Gathered) -> dict[Place, Floats]:
    """Cause and place -> vehicle-days a year in each replication."""
    waits = data.rows("wait_minutes") / data.day / data.measure.years
    found = {}
    for cause, span in spans(data.causes).items():
        for place, column in zip(places(data)[cause], range(span.start, span.stop), strict=True):
            found[cause, place[0]] = waits[:, column]
    return found


def _differing(base: dict[Place, Floats], mine: dict[Place, Floats]) -> set[Place]:
    """Places at which anything stands on either side, in any replication."""
    return {key for side in (base, mine) for key, days in side.items() if days.any()}


def _difference(named: tuple[str, str, str], found: Paired) -> Difference:
    key, name, unit = named
    return Difference(
        key=key,
        name=name,
        unit=unit,
        base=found.base,
        changed=found.changed,
        difference=found.difference,
        half_width=found.half_width,
        verdict=found.verdict,
        good=_good(key, found),
        replications=found.replications,
        times_fewer=found.times_fewer,
    )


def _good(key: str, found: Paired) -> Good:
    if found.verdict is not Verdict.REAL:
        return Good.NEITHER
    if key.startswith(MORE_IS_GOOD):
        return Good.BETTER if found.difference > 0 else Good.WORSE
    if key.startswith(LESS_IS_GOOD):
        return Good.WORSE if found.difference > 0 else Good.BETTER
    return Good.NEITHER


def _hold_ups(
    both: tuple[Gathered, Gathered],
    stands: tuple[dict[Place, Floats], dict[Place, Floats]],
    shown: Sequence[Place],
    confidence: float,
) -> tuple[HoldUpDifference, ...]:
    """Hold-ups of both sides that differ, the largest difference first."""
    named = {
        (cause, place[0]): place
        for data in both
        for cause, found in places(data).items()
        for place in found
    }
    nothing = np.zeros(len(both[0].samples))
    made = []
    for key in shown:
        base, changed = (side.get(key, nothing) for side in stands)
        found = paired(base, changed, confidence)
        if found.verdict is not Verdict.SAME:
            days = found.base, found.changed, found.difference, found.half_width
            made.append(HoldUpDifference(key[0], *named[key], *days, found.verdict))
    return tuple(sorted(made, key=lambda one: -abs(one.difference_days)))
