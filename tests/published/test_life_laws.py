"""Lives with censoring against published data, fits and curves: cases W, N, I of the case file.

Sources, case by case, in ``data/life-release-cases.json``: NIST/SEMATECH e-Handbook (read), Meeker
and Escobar 1998 data sets (data read, some fits from memory), lifelines and reliability as
independent programs (versions in the file), ReliaWiki, Barlow and Hunter.
"""

import numpy as np
import pytest

from pacewright.life.censored import Lives, mean_repairs, product_limit
from pacewright.life.replacement import age_cost_rate, best_change_age, minimal_repair_age
from pacewright.life.weibull import Weibull, weibull_fit
from published.life_case import CASES, lives, rows

FITS = {
    "W01": ("hours", {"failed": {"1"}}),
    "W05": ("megacycles", {"megacycles": set()}),
    "W07": ("miles", {"mode": {"Mode1"}}),
    "W11": ("hours", {"event": {"Fail"}}),
    "W13": ("kilomiles", {"event": {"Failed"}}),
}


def of_case(case_id: str) -> Lives:
    """The lives of a fit case; in W05 every life ended."""
    column, ended = FITS[case_id]
    found = lives(CASES[case_id]["inputs"]["data_file"], column, ended)
    if case_id == "W05":
        return Lives.of(found.lengths, [True] * found.lengths.size)
    return found


def test_w15_complete_sample() -> None:
    """W15: ten complete lives; scale and shape as printed in the source."""
    case = CASES["W15"]
    times = case["inputs"]["times"]
    law = weibull_fit(Lives.of(times, [True] * len(times)))
    assert law.scale == pytest.approx(case["expected"]["eta"], abs=case["tolerance"]["eta"])
    assert law.shape == pytest.approx(case["expected"]["beta"], abs=case["tolerance"]["beta"])


@pytest.mark.parametrize("case_id", FITS)
def test_weibull_fits(case_id: str) -> None:
    """W01, W05, W07, W11, W13: scale and shape of greatest likelihood, with censored lives."""
    case = CASES[case_id]
    law, wanted, within = weibull_fit(of_case(case_id)), case["expected"], case["tolerance"]
    scale = next(name for name in wanted if name.startswith("eta"))
    assert law.scale == pytest.approx(wanted[scale], abs=within[scale])
    assert law.shape == pytest.approx(wanted["beta"], abs=within["beta"])
    if "loglik" in wanted:
        assert law.log_likelihood == pytest.approx(wanted["loglik"], abs=within["loglik"])
    if "mean_h" in wanted:
        assert law.mean == pytest.approx(wanted["mean_h"], abs=within["mean_h"])
        assert law.sd == pytest.approx(wanted["sd_h"], abs=within["sd_h"])


def test_w03_product_limit_automotive() -> None:
    """W03: the printed curve of 31 cars, 11 of which failed."""
    case = CASES["W03"]
    curve = product_limit(lives(case["inputs"]["data_file"], "miles", {"failed": {"1"}}))
    for name, share in case["expected"].items():
        assert curve.at(float(name[2:])) == pytest.approx(share, abs=case["tolerance"])


def test_w09_product_limit_shock_absorbers() -> None:
    """W09: any failure mode ends a life."""
    case = CASES["W09"]
    curve = product_limit(lives(case["inputs"]["data_file"], "miles", {"event": {"Failure"}}))
    for name, share in case["expected"].items():
        assert curve.at(float(name[2:])) == pytest.approx(share, abs=case["tolerance"])


def test_n07_mean_number_of_repairs() -> None:
    """N07: the mean cumulative function of the published example."""
    case = CASES["N07"]
    repairs: dict[str, list[float]] = {}
    ends: dict[str, float] = {}
    for row in rows(case["inputs"]["data_file"]):
        repairs.setdefault(row["system"], [])
        if row["event"] == "repair":
            repairs[row["system"]].append(float(row["time"]))
        ends[row["system"]] = max(ends.get(row["system"], 0.0), float(row["time"]))
    found = mean_repairs(list(repairs.values()), [ends[one] for one in repairs])
    by_age = {one.age: one.repairs for one in found}
    for name, mean in case["expected"].items():
        assert by_age[float(name[4:])] == pytest.approx(mean, abs=case["tolerance"])


@pytest.mark.parametrize("case_id", ["I01", "I07"])
def test_best_age_of_change(case_id: str) -> None:
    """I01, I07: age and cost rate of least cost, wear-out parts changed at an age."""
    given, wanted = CASES[case_id]["inputs"], CASES[case_id]["expected"]
    planned = given.get("cost_preventive", given.get("cp"))
    failure = given.get("cost_failure", given.get("cf"))
    found = best_change_age(Weibull(given["weibull_eta"], given["weibull_beta"]), planned, failure)
    within = CASES[case_id]["tolerance"]
    assert found.age == pytest.approx(wanted["T"], abs=within["T"])
    rate = "cost_per_h" if "cost_per_h" in wanted else "cost"
    assert found.cost_rate == pytest.approx(wanted[rate], abs=within[rate])


def test_i13_patched_until_renewed() -> None:
    """I13: minimal repair; not the figure that one library gives with its costs swapped."""
    given, wanted = CASES["I13"]["inputs"], CASES["I13"]["expected"]
    law = Weibull(given["eta"], given["beta"])
    found = minimal_repair_age(law, given["cost_planned"], given["cost_minimal_repair"])
    assert found.age == pytest.approx(wanted["T"], abs=0.01)
    assert found.cost_rate == pytest.approx(wanted["cost_rate"], abs=1e-8)


def test_no_age_pays_when_failure_is_by_chance() -> None:
    """Shape 1 has no memory: no age pays; the cost rate is the closed form of the exponential."""
    law = Weibull(1000.0, 1.0)
    assert best_change_age(law, 1.0, 5.0).age is None
    closed_form = 5 / (1000 * -np.expm1(-5.0))
    assert age_cost_rate(law, 5000.0, 5.0, 5.0) == pytest.approx(closed_form, rel=1e-6)
    assert best_change_age(Weibull(1000.0, 3.0), 5.0, 5.0).age is None


def test_weibull_standard_errors_against_repeated_samples() -> None:
    """Over 400 samples of 60 lives the shape's 90 % range holds the true one about 90 %.

    Binomial, 400 trials, chance 0.9: two-sided 1-in-1000 limits are 340 and 378; the normal
    approximation on the log scale may cost a little, so 335 is asked. Seed fixed.
    """
    draws = np.random.default_rng(20260301)
    held = 0
    for _ in range(400):
        true = 1000 * draws.weibull(2.2, 60)
        lengths = np.minimum(true, 1100.0)
        fit = weibull_fit(Lives.of(lengths, true < 1100.0))
        held += fit.shape_interval().holds(2.2)
    assert 335 <= held <= 385
