"""How a proposal is made of what stands in a cell and what the record shows of it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from math import sqrt
from statistics import NormalDist

from pacewright.events.record import FactorDecided
from pacewright.life.beta_law import BetaLaw, Interval
from pacewright.life.cells import Cell
from pacewright.plans.learned import Proposal

JUDGED_WEIGHT = 10
"""Cases that a figure without a sample weighs as much as; our own choice, no source."""
SHOWN_LEVEL = 0.90
"""Chance with which the range shown holds the true figure."""
REAL_LEVEL = 0.99
"""The old value must lie outside a range of this chance to be called different for real."""
GROWN = 2.0
"""A rejected proposal comes again on so many times the evidence."""
LEAST_CHANGE = 0.03
"""A change smaller than this part of the old value (of a share, of its smaller side) is no matter
for a plan, however surely it is known; our own choice, no source."""
LEAST_SAMPLE = 5
"""Fewer cases than these are not worth a line."""


@dataclass(frozen=True, slots=True)
class Seen:
    """What the record alone shows: a figure, on how many cases, between which days."""

    shown: float
    sample: float
    of_what: str
    first: date
    last: date
    running: int = 0


@dataclass(frozen=True, slots=True)
class Believed:
    """What is believed now: a figure, the range shown and the range that tells a difference."""

    figure: float
    shown: Interval
    real: Interval


@dataclass(frozen=True)
class Weighing:
    """Makes proposals, minding what was decided before.

    Parameters
    ----------
    decided : cell -> the last decision about it.
    """

    decided: Mapping[Cell, FactorDecided]

    def weight(self, cell: Cell, old: float, sample: float | None) -> float:
        """On how many cases the old value rests; a judgement counts as ``JUDGED_WEIGHT``."""
        if sample:
            return sample
        known = self.known_sample(cell, old)
        return known or JUDGED_WEIGHT

    def known_sample(self, cell: Cell, old: float) -> float:
        """The sample of a value that came from an accepted proposal; 0: not known."""
        one = self.decided.get(cell)
        if one is None or not one.accepted or as_number(one.new) != old:
            return 0.0
        return one.sample

    def proposal(
        self,
        cell: Cell,
        old: float | None,
        old_sample: float | None,
        seen: Seen,
        believed: Believed,
        effect: str = "",
    ) -> Proposal:
        """The line for a cell."""
        known = old_sample or (self.known_sample(cell, old) if old is not None else 0)
        line = Proposal(
            *cell,
            old=old,
            old_sample=known if known else old_sample,
            shown=seen.shown,
            sample=seen.sample,
            of_what=seen.of_what,
            running=seen.running,
            first=seen.first,
            last=seen.last,
            proposed=rounded(believed.figure),
            low=believed.shown.low,
            high=believed.shown.high,
            real=False,
            new_sample=round((known or 0) + seen.sample),
            effect=effect,
            rejected_on=self._rejected_on(cell, old, seen.sample),
        )
        return replace(line, real=_differs(line, believed.real))

    def _rejected_on(self, cell: Cell, old: float | None, sample: float) -> date | None:
        one = self.decided.get(cell)
        if one is None or one.accepted or as_number(one.old) != old:
            return None
        return one.at.date() if sample < GROWN * one.sample else None


def _differs(line: Proposal, real: Interval) -> bool:
    if line.old is None:
        return True
    alike = line.old in (line.proposed, rounded(line.shown))
    return line.apart > LEAST_CHANGE and not alike and not real.holds(line.old)


def believed_share(old: float, weight: float, needed: float, looked_at: float) -> Believed:
    """A share after more cases, the old one counting as ``weight`` cases.

    Equations
    ---------
    Beta-binomial: from Beta(w p, w (1 - p)) to Beta(w p + needed, w (1 - p) + not needed); half a
    case stands for a parameter of nought, so that a share of 0 or 1 can be unlearned.
    """
    before = BetaLaw(weight * old or 0.5, weight * (1 - old) or 0.5)
    law = before.after(needed, looked_at)
    return Believed(law.mean, law.interval(SHOWN_LEVEL), law.interval(REAL_LEVEL))


def believed_mean(old: float | None, weight: float, mean: float, sd: float, cases: int) -> Believed:
    """A mean after more cases, drawn to the old one that counts as ``weight`` cases.

    Parameters
    ----------
    old : None: there is none, the mean stands for itself.
    sd : standard error of the mean.

    Equations
    ---------
    figure = (w old + n mean)/(w + n); its range is figure +- t sd n/(w + n), t the quantile of
    Student's law with n - 1 degrees.
    """
    share = 1.0 if old is None else cases / (cases + weight)
    figure = mean if old is None else old + share * (mean - old)

    def reach(level: float) -> Interval:
        far = student(level, cases - 1) * sd * share
        return Interval(figure - far, figure + far)

    return Believed(figure, reach(SHOWN_LEVEL), reach(REAL_LEVEL))


def student(level: float, degrees: int) -> float:
    """Half width of the central range of Student's law that holds ``level``.

    Equations
    ---------
    P(|T| > t) = I_x(n/2, 1/2) with x = n/(n + t^2) (NIST Digital Library of Mathematical
    Functions 8.17, from memory).
    """
    if degrees > 10_000:
        return NormalDist().inv_cdf((1 + level) / 2)
    x = BetaLaw(degrees / 2, 0.5).quantile(1 - level)
    return sqrt(degrees * (1 / x - 1))


def rounded(figure: float) -> float:
    """A figure as it is worth writing into a table: three significant digits."""
    return float(f"{figure:.3g}")


def as_number(cell: str) -> float | None:
    """A cell as a number; None: blank or none."""
    try:
        return float(cell)
    except ValueError:
        return None
