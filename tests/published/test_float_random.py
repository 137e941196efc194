"""Random call-in against the outside cases A, B, J1, L1, M1 and scipy's laws.

Provenance as in ``data/float-cases.json``: A1, A3, B1, B3, B5, J1, L1, M1 are computed outside
this project and confirmed by simulation or by scipy; A2 is read from a public test file.
"""

import numpy as np
import pytest
from scipy import stats

from pacewright.floats.lots import gathered
from pacewright.floats.problem import Stream, TypeNeed
from pacewright.floats.random_call_in import (
    batch_law,
    least_float_poisson,
    negative_binomial_law,
    poisson_law,
    random_readiness,
    rate_unknown,
    skellam_law,
    start_up_mean,
)
from pacewright.floats.turn_time import ConstantTurn, LognormalTurn, mean_beyond
from published.float_case import CASES, GammaTurn


@pytest.mark.parametrize("case_id", ["A1-S4", "A1-S8"])
def test_a1_palm(case_id: str) -> None:
    """A1: computed by Palm's theorem (Feeney & Sherbrooke 1966, abstract read)."""
    case = CASES[case_id]
    given, wanted = case["inputs"], case["expected"]
    law = poisson_law(given["rate_per_day"] * given["mean_turn_days"])
    units = given["float"]
    short = law.short_mean(units)
    assert law.mean() == pytest.approx(wanted["pipeline_mean"], abs=case["tolerance"])
    assert short == pytest.approx(wanted["expected_backorders"], abs=case["tolerance"])
    on_hand = units - law.mean() + short
    assert on_hand == pytest.approx(wanted["expected_on_hand"], abs=case["tolerance"])
    assert law.chance_within(units - 1) == pytest.approx(
        wanted["fill_rate_P_X_le_Sminus1"], abs=1e-6
    )
    assert law.chance_within(units) == pytest.approx(wanted["ready_rate_P_X_le_S"], abs=1e-6)
    assert short / given["rate_per_day"] == pytest.approx(wanted["mean_wait_days"], abs=1e-6)


def test_a2_poisson_loss() -> None:
    """A2: stockpyl tests/test_loss_functions.py TestPoissonLoss (Snyder & Shen 2019), read."""
    case = CASES["A2-50-47"]
    law = poisson_law(case["inputs"]["mean"])
    short = law.short_mean(case["inputs"]["S"])
    assert short == pytest.approx(case["expected"]["expected_backorders"], abs=1e-7)
    assert short + 50 - 47 == pytest.approx(case["expected"]["expected_on_hand"], abs=1e-7)


def test_a3_float_for_a_fill_rate() -> None:
    """A3: first principles, computed; scipy poisson agrees."""
    case = CASES["A3"]
    law = poisson_law(case["inputs"]["pipeline_mean"])
    for target, units in case["expected"]["min_float"].items():
        assert least_float_poisson(4.0, float(target)) == units
    for units, row in case["expected"]["table_S_to_EBO_fill_ready"].items():
        found = (law.short_mean(int(units)), law.chance_within(int(units) - 1))
        assert found == pytest.approx(row[:2], abs=1e-6)
        assert law.chance_within(int(units)) == pytest.approx(row[2], abs=1e-6)


def test_b1_negative_binomial() -> None:
    """B1: first principles in scipy's convention, computed."""
    case = CASES["B1"]
    law = negative_binomial_law(case["inputs"]["mean"], case["inputs"]["variance_to_mean"])
    for units in case["inputs"]["S"]:
        wanted = case["expected"]
        assert law.short_mean(units) == pytest.approx(
            wanted["expected_backorders"][str(units)], abs=1e-6
        )
        assert law.chance_within(units - 1) == pytest.approx(
            wanted["fill_rate"][str(units)], abs=1e-6
        )


def test_b3_batches() -> None:
    """B3: geometric batches that share a turn (Feeney & Sherbrooke 1966), computed."""
    case = CASES["B3"]
    given, wanted = case["inputs"], case["expected"]
    law = batch_law(given["event_rate"] * given["mean_turn"], 1 / given["batch_p"])
    assert law.mean() == pytest.approx(wanted["pipeline_mean"], abs=1e-6)
    assert law.variance() == pytest.approx(wanted["pipeline_variance"], abs=1e-5)
    for units, short in wanted["expected_backorders"].items():
        assert law.short_mean(int(units)) == pytest.approx(short, abs=1e-6)


def test_b5_rate_not_known() -> None:
    """B5: gamma prior over the rate, first principles, computed."""
    case = CASES["B5"]
    given, wanted = case["inputs"], case["expected"]
    mean = given["rate_mean"] * given["turn"]
    law = rate_unknown(mean, given["rate_cv"])
    assert law.variance() == pytest.approx(wanted["variance"], abs=1e-5)
    assert law.short_mean(6) == pytest.approx(wanted["EBO_S6"], abs=1e-6)
    assert poisson_law(mean).short_mean(6) == pytest.approx(
        wanted["EBO_S6_if_rate_known"], abs=1e-6
    )


def test_j1_lot() -> None:
    """J1: Uniform{0..Q-1} + Poisson, own derivation, computed and simulated outside."""
    case = CASES["J1"]
    given, wanted = case["inputs"], case["expected"]
    mean = given["rate"] * given["turn"]
    law = gathered(mean, given["lot"])
    assert law.mean() - mean == pytest.approx(wanted["extra_pipeline"], abs=1e-6)
    assert (law.mean() - mean) / given["rate"] == pytest.approx(wanted["extra_wait_days"], abs=1e-6)
    assert law.short_mean(given["S"]) == pytest.approx(wanted["EBO"], abs=1e-6)
    assert law.chance_within(given["S"] - 1) == pytest.approx(wanted["fill"], abs=1e-6)
    assert poisson_law(mean).short_mean(9) == pytest.approx(wanted["EBO_without_lot"], abs=1e-6)
    assert law.least_float(0.95) + 1 == wanted["S95"]
    assert least_float_poisson(mean, 0.95) == wanted["S95_without_lot"]


def test_l1_one_pool_for_two_sites() -> None:
    """L1: first principles; scipy poisson agrees."""
    case = CASES["L1"]
    each, units = case["inputs"]["pipeline_each"], case["inputs"]["S_each"]
    apart, together = poisson_law(each), poisson_law(2 * each)
    wanted = case["expected"]
    assert apart.chance_within(units - 1) == pytest.approx(wanted["fill_separate"], abs=1e-9)
    assert together.chance_within(2 * units - 1) == pytest.approx(wanted["fill_pooled"], abs=1e-9)
    assert 2 * apart.short_mean(units) == pytest.approx(wanted["EBO_separate_total"], abs=1e-9)
    assert together.short_mean(2 * units) == pytest.approx(wanted["EBO_pooled"], abs=1e-9)


@pytest.mark.parametrize("days", [5.0, 12.0, 20.0])
def test_m1_start_of_a_programme(days: float) -> None:
    """M1: RAND R-2750 (abstract read); numbers computed."""
    case = CASES["M1"]
    mean = start_up_mean(GammaTurn(12.0, 0.35), case["inputs"]["rate"], days)
    assert mean == pytest.approx(case["expected"]["mean"][str(days)], abs=1e-6)
    short = poisson_law(mean).short_mean(case["inputs"]["S"])
    assert short == pytest.approx(case["expected"]["EBO_S10"][str(days)], abs=1e-6)


@pytest.mark.parametrize(("out", "early"), [(3.0, 2.0), (0.4, 9.0), (30.0, 0.01)])
def test_skellam_law_is_scipys(out: float, early: float) -> None:
    """Against scipy.stats.skellam."""
    law = skellam_law(out, early)
    counts = np.arange(-12, 60)
    found = [law.chance_within(int(count)) for count in counts]
    assert found == pytest.approx(stats.skellam.cdf(counts, out, early), abs=1e-9)


@pytest.mark.parametrize("turn", [ConstantTurn(6.5), LognormalTurn(6.0, 2.0)])
def test_random_call_in_is_skellam_with_ones_own_unit(turn: ConstantTurn | LognormalTurn) -> None:
    """P(L - E + Bern P(T > o) <= S), L and E by scipy.stats.skellam."""
    takt, offset = 0.5, 4.0
    stream = Stream(takt, (TypeNeed("a", 1.0, 1, 0.0, offset),), turn)
    beyond, whole = mean_beyond(turn, np.array([offset, 0.0]))
    out, early = beyond / takt, (offset - whole + beyond) / takt
    early = max(early, 1e-12)
    own = float(turn.survival(np.array([offset]))[0])
    counts = np.arange(12)
    wanted = (1 - own) * stats.skellam.cdf(counts, out, early) + own * stats.skellam.cdf(
        counts - 1, out, early
    )
    assert random_readiness(stream).ready[0, 0, :12] == pytest.approx(wanted, abs=1e-7)
