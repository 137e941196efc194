"""Shares learned from cases against closed forms and scipy: cases B of the case file.

B01, B05: closed form, confirmed by scipy. B03: Gelman et al., Bayesian Data Analysis, chapter 2,
placenta previa (from memory, confirmed by scipy). Quantiles and the incomplete beta function are
held against scipy.stats.beta and scipy.special.betainc over a wide grid.
"""

import pytest
from scipy import special, stats

from pacewright.life.beta_law import BetaLaw, beta_of, regularised_beta
from published.life_case import CASES


def test_b01_prior_and_twenty_stripped() -> None:
    """B01: posterior, mean, standard deviation and 90 % range."""
    given, wanted = CASES["B01"]["inputs"], CASES["B01"]["expected"]
    law = BetaLaw(*given["prior"]).after(given["renewed"], given["stripped"])
    assert [law.needed, law.not_needed] == wanted["posterior"]
    assert law.mean == pytest.approx(wanted["mean"], abs=1e-12)
    assert law.sd == pytest.approx(wanted["sd"], abs=1e-6)
    assert list(law.interval(0.9)) == pytest.approx(wanted["ci90"], abs=1e-5)


def test_b03_placenta_previa() -> None:
    """B03: 437 of 980 with a flat prior."""
    given, wanted = CASES["B03"]["inputs"], CASES["B03"]["expected"]
    law = BetaLaw(*given["prior"]).after(given["events"], given["n"])
    assert [law.needed, law.not_needed] == wanted["posterior"]
    within = CASES["B03"]["tolerance"]
    assert law.mean == pytest.approx(wanted["mean"], abs=within)
    assert law.sd == pytest.approx(wanted["sd"], abs=within)
    assert list(law.interval(0.95)) == pytest.approx(wanted["ci95"], abs=within)


def test_b05_prior_from_mean_and_sd() -> None:
    """B05: moments matched; a variance no share can have is refused."""
    given, wanted = CASES["B05"]["inputs"], CASES["B05"]["expected"]
    law = beta_of(given["mean"], given["sd"])
    assert (law.needed, law.not_needed) == pytest.approx((wanted["a"], wanted["b"]), abs=1e-9)
    with pytest.raises(ValueError, match="no share has"):
        beta_of(0.5, 0.5)


A = (0.05, 0.5, 1.0, 3.0, 40.0, 1000.0, 250_000.0)


@pytest.mark.parametrize("a", A)
@pytest.mark.parametrize("b", A)
def test_incomplete_beta_as_scipy(a: float, b: float) -> None:
    """The ratio agrees with scipy.special.betainc to 1e-9 from tail to tail."""
    for x in (1e-6, 0.01, 0.2, a / (a + b), 0.5, 0.9, 1 - 1e-9):
        assert regularised_beta(x, a, b) == pytest.approx(special.betainc(a, b, x), abs=1e-9)
    assert regularised_beta(0.0, a, b) == 0
    assert regularised_beta(1.0, a, b) == 1


@pytest.mark.parametrize(("a", "b"), [(0.3, 9.7), (1, 1), (12, 3), (438, 544), (90_000, 10_000)])
def test_quantiles_as_scipy(a: float, b: float) -> None:
    """Quantiles agree with scipy.stats.beta to 1e-9."""
    law = BetaLaw(a, b)
    for chance in (0.005, 0.05, 0.5, 0.95, 0.995):
        assert law.quantile(chance) == pytest.approx(stats.beta.ppf(chance, a, b), abs=1e-9)
