"""Floats set together, against running through every setting; and the laws' own rules."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from pacewright.floats.even_call_in import even_readiness, shortage
from pacewright.floats.joint import JointQuestion, greedy_path, set_together
from pacewright.floats.least_cost import Choice, least_charge, price_bound
from pacewright.floats.prices import priced
from pacewright.floats.problem import Bench, Stream, TypeNeed
from pacewright.floats.turn_time import (
    ConstantTurn,
    LognormalTurn,
    WaitingTurn,
    longest_days,
    mean_and_sd,
    mean_beyond,
)
from pacewright.floats.type_order import even_order

chance = st.floats(0.02, 0.98)


@st.composite
def questions(draw: st.DrawFn) -> JointQuestion:
    """Two or three kinds, one to three types, Poisson-like readiness, whole prices."""
    types = draw(st.integers(1, 3))
    parts = np.array([draw(st.integers(1, 5)) for _ in range(types)], dtype=float)
    rows, costs, least = [], [], []
    for _ in range(draw(st.integers(2, 3))):
        means = [draw(st.floats(0.05, 2.5)) for _ in range(types)]
        carried = [draw(st.booleans()) for _ in range(types)]
        rows.append(
            np.array(
                [
                    stats.poisson.cdf(np.arange(11), mean) if on else np.ones(11)
                    for mean, on in zip(means, carried, strict=True)
                ]
            )
        )
        costs.append(float(draw(st.integers(1, 40))))
        least.append(draw(st.integers(0, 3)))
    target = draw(st.floats(0.5, 0.985))
    return JointQuestion(
        tuple(rows), tuple(costs), tuple(parts / parts.sum()), target, tuple(least)
    )


@settings(deadline=None, max_examples=80)
@given(questions())
def test_set_together_is_the_least_of_all_settings(question: JointQuestion) -> None:
    """Brute force over every float of 0 to 10 of every kind."""
    found = set_together(question)
    every = itertools.product(*(range(low, 11) for low in question.least))
    best = min(
        question.cost(floats)
        for floats in every
        if question.readiness(floats) >= question.target - 1e-10
    )
    assert found.proven
    assert found.cost == pytest.approx(best)
    assert found.bound == pytest.approx(best)
    assert question.readiness(found.floats) >= question.target - 1e-9


@settings(deadline=None, max_examples=40)
@given(questions())
def test_the_greedy_path_rises(question: JointQuestion) -> None:
    """Money and readiness never fall along marginal analysis."""
    path = greedy_path(question)
    assert all(
        question.cost(b) > question.cost(a)
        and question.readiness(b) >= question.readiness(a) - 1e-12
        for a, b in itertools.pairwise(path)
    )


def test_plateaus_are_stepped_over() -> None:
    """Units that count only in pairs: one more gains nothing, two do."""
    row = np.repeat(np.array([0.3, 0.8, 0.99, 1.0]), 2)[None, :]
    question = JointQuestion((row,), (10.0,), (1.0,), 0.95, (0,))
    assert set_together(question).floats == (4,)


def test_no_float_reaches_the_target() -> None:
    """A table that ends below the target is refused."""
    with pytest.raises(ValueError, match=r"no float reaches .* 0\.99"):
        set_together(JointQuestion((np.array([[0.5, 0.9]]),), (1.0,), (1.0,), 0.99, (0,)))


def test_nothing_to_set() -> None:
    """No kinds: nothing is wanting."""
    assert set_together(JointQuestion((), (), (1.0,), 0.95, ())).readiness == 1.0


def test_price_bound_never_exceeds_the_best() -> None:
    """The bound holds for a knapsack small enough to run through."""
    rng = np.random.default_rng(5)
    for _ in range(20):
        choices = []
        for _ in range(3):
            worth = np.sort(rng.uniform(0, 5, 5))
            choices.append(Choice(np.cumsum(rng.uniform(1, 9, 5)), worth[None, :], worth))
        need = float(rng.uniform(2, 9))
        sums = [
            (sum(c.charges[s] for c, s in zip(choices, row, strict=True)), row)
            for row in itertools.product(range(5), repeat=3)
            if sum(c.worth[s] for c, s in zip(choices, row, strict=True)) >= need
        ]
        if not sums:
            continue
        best, _ = min(sums)
        bound, _ = price_bound(choices, need)
        assert bound <= best + 1e-9
        found = least_charge(choices, need, lambda g, n=need: g[:, 0] >= n, max(sums)[1])
        assert found.charge == pytest.approx(best)


@settings(deadline=None, max_examples=40)
@given(
    st.floats(2.0, 20.0),
    st.floats(0.0, 6.0),
    st.floats(0.0, 12.0),
    st.floats(0.3, 3.0),
    st.integers(1, 4),
)
def test_more_float_or_more_offset_never_hurts(
    mean: float, sd: float, offset: float, takt: float, units: int
) -> None:
    """Readiness rises with the float and with the offset; q units are one takt, exactly."""
    turn = LognormalTurn(mean, sd) if sd > 0.05 else ConstantTurn(mean)
    now = shortage(turn, takt, offset, units).ready(30)[0]
    later = shortage(turn, takt, offset + takt, units).ready(30)[0]
    assert np.all(np.diff(now) >= -1e-9)
    assert np.all(later >= now - 1e-8)
    assert later[: 31 - units] == pytest.approx(now[units:], abs=1e-8)


@settings(deadline=None, max_examples=30)
@given(chance, st.integers(1, 3))
def test_the_fewer_removed_the_readier(share: float, units: int) -> None:
    """Without an offset, removing units on part of the vehicles needs no more float than on all.

    (With an offset longer than the turn it may: then each removal also gives a unit early.)
    """
    needs = (TypeNeed("a", 1.0, units, 0.0, 0.0),)
    every = even_readiness(Stream(0.8, needs, LognormalTurn(7.0, 2.0)))
    some = even_readiness(Stream(0.8, needs, LognormalTurn(7.0, 2.0), share))
    floats = range(max(every.most, some.most) + 1)
    assert all(some.mean(s) >= every.mean(s) - 1e-8 for s in floats)


def test_types_that_give_and_want_alike_are_one() -> None:
    """Splitting a type in two alike changes nothing."""
    turn = LognormalTurn(9.0, 3.0)
    whole = even_readiness(Stream(0.5, (TypeNeed("a", 1.0, 1, 2.0, 6.0),), turn))
    halves = (TypeNeed("a", 0.37, 1, 2.0, 6.0), TypeNeed("b", 0.63, 1, 2.0, 6.0))
    split = even_readiness(Stream(0.5, halves, turn))
    assert split.means() == pytest.approx(whole.means(), abs=1e-12)


def test_even_order_keeps_every_type_near_its_share() -> None:
    """No type lags or runs ahead by more than a vehicle (two types), or two (three)."""
    for shares, most in (((0.62, 0.38), 1.0), ((0.5, 0.3, 0.2), 2.0)):
        order = even_order(shares, 500)
        for place, share in enumerate(shares):
            called = np.cumsum(order == place)
            assert np.abs(called - share * np.arange(1, 501)).max() <= most


@pytest.mark.parametrize("law", [LognormalTurn(12.0, 5.0), LognormalTurn(3.0, 0.2)])
def test_lognormal_turn_is_scipys(law: LognormalTurn) -> None:
    """Survival, E(T - d)+ and quantile against scipy.stats.lognorm."""
    shape = np.sqrt(np.log1p((law.sd_days / law.mean_days) ** 2))
    other = stats.lognorm(shape, scale=law.mean_days * np.exp(-(shape**2) / 2))
    days = np.array([0.0, 1.0, 3.0, 11.0, 30.0])
    assert law.survival(days) == pytest.approx(other.sf(days), abs=1e-12)
    wanted = [other.expect(lambda t, d=d: t - d, lb=d) for d in days]
    assert mean_beyond(law, days) == pytest.approx(wanted, abs=1e-6)
    assert longest_days(law, 1e-6) == pytest.approx(other.isf(1e-6), rel=1e-9)


def test_waits_add_their_mean_and_spread() -> None:
    """A wait of 0, 2 or 4 days before a turn: mean + 2, variance + 8/3."""
    law = WaitingTurn(LognormalTurn(10.0, 3.0), (0.0, 2.0, 4.0))
    mean, sd = mean_and_sd(law)
    assert (mean, sd**2) == pytest.approx((12.0, 9.0 + 8 / 3))
    grid = np.linspace(0, 400, 400_001)
    area = float(np.trapezoid(law.survival(grid), grid))
    assert area == pytest.approx(12.0, abs=1e-3)
    assert mean_beyond(law, np.zeros(1))[0] == pytest.approx(12.0, abs=1e-9)


def test_prices_unknown_and_known() -> None:
    """Blank prices stand at the middle one of the others; none known: 1 each."""
    assert priced([0.0, 30.0, 10.0, 20.0]).costs == (20.0, 30.0, 10.0, 20.0)
    assert priced([0.0, 0.0]).costs == (1.0, 1.0)


def test_benches_wanted() -> None:
    """Two units a day of half a bench day each, at 85 % load: 2 benches (1.18 rounded up)."""
    assert Bench(1, 0.5).benches_wanted(2.0) == 2
    assert Bench(1, 0.5).use_share(2.0) == 1.0
