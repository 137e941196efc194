"""Two sites, purchase and last-time buy against the outside cases C1, C2, C4, K1, K3.

C cases: computed (Graves 1985 by binomial thinning; inputs of C1 from a public help page),
confirmed by simulation. K1: read from stockpyl rq.py Example 5.8 (Snyder & Shen 2019). K3:
computed, scipy poisson.
"""

import itertools

import pytest

from pacewright.floats.purchase import best_order, last_time_buy
from pacewright.floats.random_call_in import poisson_law
from pacewright.floats.two_sites import site_law
from published.float_case import CASES


def lacking(rates: list[float], transit: list[float], turn: float, depot: int, sites: list[int]):
    """Mean units lacking at all sites: exact, and by METRIC's Poisson with the same mean."""
    whole = sum(rates)
    out = poisson_law(whole * turn)
    exact = metric = 0.0
    for rate, days, units in zip(rates, transit, sites, strict=True):
        law = site_law(out, depot, rate / whole, rate * days)
        exact += law.short_mean(units)
        metric += poisson_law(law.mean()).short_mean(units)
    return exact, metric


@pytest.mark.parametrize("case_id", ["C1-depot0", "C1-depot3"])
def test_c1_two_sites(case_id: str) -> None:
    """C1: exact thinning; METRIC's Poisson understates as soon as the works holds units."""
    case = CASES[case_id]
    given, wanted = case["inputs"], case["expected"]
    rates, depot = given["base_rates_per_day"], given["S_depot"]
    exact, metric = lacking(
        rates, given["order_ship_days"], given["depot_turn_days"], depot, given["S_base"]
    )
    assert exact == pytest.approx(wanted["total_EBO_exact"], abs=1e-6)
    assert metric == pytest.approx(wanted["total_EBO_METRIC"], abs=1e-6)
    out = poisson_law(sum(rates) * given["depot_turn_days"])
    assert out.short_mean(depot) == pytest.approx(wanted["depot_EBO"], abs=1e-6)
    law = site_law(out, depot, 0.5, 0.2)
    assert law.mean() == pytest.approx(wanted["base_pipeline_mean"], abs=1e-6)
    assert law.variance() == pytest.approx(wanted["base_pipeline_var"], abs=1e-6)
    assert law.chance_within(0) == pytest.approx(wanted["base_fill_exact"], abs=1e-6)


def test_c2_unequal_sites() -> None:
    """C2: four sites, the largest five times the others."""
    case = CASES["C2"]
    given, wanted = case["inputs"], case["expected"]
    exact, metric = lacking(
        given["base_rates"],
        given["order_ship"],
        given["depot_turn"],
        given["S_depot"],
        given["S_base"],
    )
    assert exact == pytest.approx(wanted["total_exact"], abs=1e-6)
    assert metric == pytest.approx(wanted["total_METRIC"], abs=1e-6)


@pytest.mark.parametrize("total", list(range(1, 9)))
def test_c4_best_split(total: int) -> None:
    """C4: all splits of a total float between works and two sites."""
    case = CASES["C4"]
    given, wanted = case["inputs"], case["expected"][str(total)]
    found = []
    for one, other in itertools.product(range(total + 1), repeat=2):
        depot = total - one - other
        if depot >= 0:
            mean, _ = lacking(
                given["base_rates_per_day"],
                given["order_ship_days"],
                given["depot_turn_days"],
                depot,
                [one, other],
            )
            found.append((round(mean, 9), one, other, depot))
    best = min(found)
    assert best[0] == pytest.approx(wanted["total_EBO"], abs=1e-6)
    assert (best[3], [best[1], best[2]]) == (wanted["depot"], wanted["sites"])


def test_k1_order_point_and_size() -> None:
    """K1: stockpyl rq.py Example 5.8, read."""
    case = CASES["K1"]
    given, wanted = case["inputs"], case["expected"]
    point, size, cost = best_order(
        given["demand_rate"], given["lead"], given["holding"], given["stockout"], given["fixed"]
    )
    assert (point, size) == (wanted["r"], wanted["Q"])
    assert cost == pytest.approx(wanted["cost"], abs=1e-5)


def test_k3_last_time_buy() -> None:
    """K3: computed; scipy poisson agrees."""
    case = CASES["K3"]
    given, wanted = case["inputs"], case["expected"]
    mean = given["rate_per_year"] * given["condemn_fraction"] * given["years"]
    assert mean == pytest.approx(wanted["mean"])
    units, chance = last_time_buy(mean, given["confidence"])
    assert units == wanted["buy"]
    assert chance == pytest.approx(wanted["p_enough"], abs=1e-6)
