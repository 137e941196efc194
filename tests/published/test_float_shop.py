"""Finite shops and small fleets against the outside cases E1, E3, E9, F9.

E1 is read from a finite-queuing table (Peck & Hazelwood 1958, as reproduced in course notes); the
others are computed outside this project (birth-death, exact MVA, simulation).
"""

import numpy as np
import pytest
from scipy import stats

from pacewright.floats.count_law import from_transform, window, yes_or_no_sum
from pacewright.floats.finite_shop import paced_shop, queue_law, small_fleet_law
from pacewright.floats.problem import Bench
from pacewright.floats.random_call_in import poisson_law
from published.float_case import CASES

E1 = CASES["E1"]


@pytest.mark.parametrize("row", list(E1["expected"]["rows"]))
def test_e1_finite_queuing_table(row: str) -> None:
    """E1: table of Peck & Hazelwood (1958): D, chance of waiting; F, efficiency."""
    factor, channels = float(row.split("/", maxsplit=1)[0]), int(row.split("/")[1])
    population = E1["inputs"]["N"]
    # Service factor X = T / (T + U): with T = 1 a vehicle fails at X / (1 - X).
    fail = factor / (1 - factor)
    law = small_fleet_law(population, fail, 1.0, channels)
    counts = np.arange(law.weights.size)
    weights = law.weights[0]
    coming = (population - counts) * weights
    waits = coming[counts >= channels].sum() / coming.sum()
    queue = np.maximum(counts - channels, 0) @ weights
    wanted = E1["expected"]["rows"][row]
    assert waits == pytest.approx(wanted["D"], abs=E1["tolerance"])
    assert 1 - queue / population == pytest.approx(wanted["F"], abs=E1["tolerance"])


def test_e3_machine_repair() -> None:
    """E3: M/M/5/12/12, computed by birth-death and exact MVA."""
    case = CASES["E3"]
    given, wanted = case["inputs"], case["expected"]
    law = small_fleet_law(given["K"], given["lam_each"], given["mu"], given["channels"])
    assert law.mean() == pytest.approx(wanted["L"], abs=1e-6)
    assert law.short_mean(given["channels"]) == pytest.approx(wanted["Lq"], abs=1e-6)
    through = (given["K"] - law.mean()) * given["lam_each"]
    assert through == pytest.approx(wanted["throughput"], abs=1e-5)


def test_e9_small_fleet_without_a_queue_is_binomial() -> None:
    """E9: computed; binomial, not Poisson, when a small fleet feeds an ample shop."""
    case = CASES["E9"]
    given, wanted = case["inputs"], case["expected"]
    size = given["population"]
    law = small_fleet_law(size, given["fail_rate"], given["repair_rate"], size)
    assert law.mean() == pytest.approx(wanted["mean"], abs=1e-9)
    assert law.short_mean(3) == pytest.approx(wanted["EBO_binomial_S3"], abs=1e-9)
    poisson = poisson_law(wanted["mean"]).short_mean(3)
    assert poisson == pytest.approx(wanted["EBO_poisson_same_mean_S3"], abs=1e-9)
    chances = np.full((1, size), wanted["p_each"])
    where = window(np.array([2.4]), 2.0)
    summed = from_transform(yes_or_no_sum(chances, where), where)
    assert summed.short_mean(3) == pytest.approx(wanted["EBO_binomial_S3"], abs=1e-9)


def test_f9_float_before_a_queue() -> None:
    """F9: first principles, computed; simulation agrees within its error."""
    case = CASES["F9-c3"]
    given, wanted = case["inputs"], case["expected"]
    law = queue_law(given["rate"], given["service_rate"], given["servers"])
    assert law.mean() == pytest.approx(wanted["mean_in_shop"], abs=1e-6)
    assert law.short_mean(given["S"]) == pytest.approx(wanted["expected_backorders"], abs=1e-6)
    assert law.chance_within(given["S"] - 1) == pytest.approx(wanted["fill_rate"], abs=1e-6)
    assert law.least_float(0.95) + 1 == wanted["S_for_95pct_fill"]
    ample = poisson_law(given["rate"] / given["service_rate"]).short_mean(6)
    assert ample == pytest.approx(wanted["ample_repair_EBO_same_service_time"], abs=1e-6)
    same = poisson_law(wanted["mean_in_shop"]).short_mean(6)
    assert same == pytest.approx(wanted["ample_repair_EBO_same_mean_pipeline"], abs=1e-6)


def test_one_paced_bench_is_the_textbook_queue() -> None:
    """D/M/1: just before an arrival the count is geometric with s = exp(-(1 - s) mu tau).

    Kendall 1951 (GI/M/1; from memory); the root is found by scipy.
    """
    from scipy.optimize import brentq

    takt, bench_days = 1.0, 0.8
    root = brentq(lambda s: s - np.exp(-(1 - s) * takt / bench_days), 1e-6, 0.999)
    shop = paced_shop(takt, np.array([0.0, 1.0]), Bench(1, bench_days))
    wanted = stats.geom(1 - root).pmf(np.arange(1, 20))
    assert shop.after[1:20] == pytest.approx(wanted, abs=1e-8)


def test_benches_slower_than_the_pace_are_refused() -> None:
    """Load of 1 or more has no long run."""
    with pytest.raises(ValueError, match="without limit"):
        paced_shop(1.0, np.array([0.0, 1.0]), Bench(1, 1.0))
    with pytest.raises(ValueError, match="without limit"):
        queue_law(3.0, 1.0, 3)
