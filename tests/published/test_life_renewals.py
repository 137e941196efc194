"""Failures between planned changes against renewal theory: cases N01, N03, I03 and I09.

Sources in ``data/life-release-cases.json``: renewal theory (closed forms from memory, confirmed
numerically).
"""

from dataclasses import dataclass

import numpy as np
import pytest

from pacewright.life.renewals import renewals, turns_to_change
from pacewright.life.replacement import age_cost_rate
from pacewright.life.weibull import Weibull
from published.life_case import CASES


@dataclass(frozen=True)
class Uniform:
    """Lives spread evenly from 0 to ``longest``."""

    longest: float

    @property
    def mean(self) -> float:
        """Half of the longest."""
        return self.longest / 2

    def lasts(self, length: np.ndarray | float) -> np.ndarray:
        """What is left of the stretch."""
        return np.clip(1 - np.asarray(length, dtype=float) / self.longest, 0.0, 1.0)


def test_n01_uniform_life() -> None:
    """N01: M(1) = e - 1 for lives uniform on 0 to 1."""
    assert renewals(Uniform(1.0), 1.0) == pytest.approx(CASES["N01"]["expected"]["M"], abs=1e-5)


def test_n03_weibull_life() -> None:
    """N03: M at half, one and two scales."""
    given, case = CASES["N03"]["inputs"], CASES["N03"]
    law = Weibull(given["eta"], given["beta"])
    found = [renewals(law, length) for length in given["t"]]
    assert found == pytest.approx(case["expected"]["M"], abs=case["tolerance"])


def test_i09_block_replacement_of_uniform_lives() -> None:
    """I09: at the published best interval the cost is the published one, and more beside it."""
    given, wanted = CASES["I09"]["inputs"], CASES["I09"]["expected"]

    def rate(interval: float) -> float:
        turns = turns_to_change(Uniform(40_000.0), interval, given["cp"], given["cf"], most=1)
        return next(one.cost_rate for one in turns if one.every == 1)

    best = rate(wanted["T_km"])
    assert best == pytest.approx(wanted["C"], rel=1e-5)
    assert best < min(rate(0.95 * wanted["T_km"]), rate(1.05 * wanted["T_km"]))


def test_i03_age_replacement_of_uniform_lives() -> None:
    """I03 (Jardine and Tsang): the cost at each of four ages, and the best of them."""
    case = CASES["I03"]
    given, expected = case["inputs"], case["expected"]
    law = Uniform(40_000.0)
    rates = [age_cost_rate(law, age, given["cp"], given["cf"]) for age in given["tp"]]
    assert rates == pytest.approx(expected["C"], abs=case["tolerance"])
    best = min(zip(rates, given["tp"], strict=True))[1]
    assert best == expected["best_of_these_km"]


def test_chance_failures_are_never_changed_ahead() -> None:
    """Shape 1 has no memory: M(t) = t/mean, and failure only is cheapest (renewal theory)."""
    law = Weibull(100.0, 1.0)
    assert renewals(law, 250.0) == pytest.approx(2.5, rel=1e-6)
    assert turns_to_change(law, 50.0, 1.0, 5.0)[0].every == 0


def test_parts_that_wear_out_take_their_turn() -> None:
    """A life of two intervals and a half, little spread: every second time is cheapest.

    By hand: 6.6 % fail within two intervals, so (1 + 5 x 0.066)/200 = 0.0067 against 1/100; within
    three nearly all do once.
    """
    law = Weibull(250.0, 12.0)
    turns = turns_to_change(law, 100.0, 1.0, 5.0)
    assert turns[0].every == 2
    assert turns[0].cost_rate == pytest.approx((1 + 5 * 0.0664) / 200, rel=2e-3)
    assert {one.every for one in turns} == {0, 1, 2, 3, 4}
    assert turns_to_change(Weibull(150.0, 12.0), 100.0, 1.0, 20.0)[0].every == 1
