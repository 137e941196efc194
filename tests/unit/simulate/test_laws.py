"""The quantile tables against scipy's laws, and their means to the last minute."""

import numpy as np
import pytest
from scipy import stats

from pacewright.simulate.laws import (
    constant,
    exponential,
    likelier,
    lognormal,
    table_mean,
    three_estimates,
    whole_days_scale,
)

U = np.linspace(0, 1, 1025)


def variance(points: np.ndarray) -> float:
    """Variance of the law a table stands for: a mixture of even laws over its cells."""
    low, high = points[:-1], points[1:]
    return float(((low**2 + low * high + high**2) / 3).mean() - table_mean(points) ** 2)


@pytest.mark.parametrize(("a", "m", "b"), [(60, 90, 240), (120, 120, 300), (10, 200, 200)])
def test_three_estimates_are_the_beta_law(a: float, m: float, b: float) -> None:
    """Quantiles are scipy's beta law with mean (a + 4 m + b) / 6; the spread within 1 %."""
    law = stats.beta(1 + 4 * (m - a) / (b - a), 1 + 4 * (b - m) / (b - a), a, b - a)
    points = three_estimates(a, m, b)
    assert np.abs(points - law.ppf(U)).max() < 2e-3 * (b - a)
    assert table_mean(points) == pytest.approx((a + 4 * m + b) / 6, rel=2e-4)
    assert variance(points) == pytest.approx(law.var(), rel=0.01)


@pytest.mark.parametrize(("mean", "sd"), [(9, 2), (4320, 1440), (5, 7.5)])
def test_lognormal_is_scipys(mean: float, sd: float) -> None:
    """Inner quantiles are scipy's, the mean is exact, the spread is near though tails are cut."""
    s = np.sqrt(np.log(1 + (sd / mean) ** 2))
    law = stats.lognorm(s, scale=mean * np.exp(-s * s / 2))
    points = lognormal(mean, sd)
    assert points[1:-1] == pytest.approx(law.ppf(U[1:-1]), rel=1e-9)
    assert table_mean(points) == pytest.approx(mean, rel=1e-3)
    assert np.sqrt(variance(points)) == pytest.approx(sd, rel=0.06)
    assert (np.diff(points) >= 0).all()


def test_exponential_is_scipys() -> None:
    """Mean 1 exactly, quantiles scipy's, variance within one per cent of 1."""
    points = exponential()
    assert points[1:-1] == pytest.approx(stats.expon.ppf(U[1:-1]), rel=1e-3)
    assert table_mean(points) == pytest.approx(1.0, rel=1e-12)
    assert variance(points) == pytest.approx(1.0, rel=0.01)


def test_without_scatter_all_is_the_mean() -> None:
    """Constant laws, and laws of no spread, are flat."""
    assert set(constant(7)) == {7.0}
    assert set(three_estimates(4, 4, 4)) == {4.0}
    assert set(lognormal(5, 0)) == {5.0}
    assert (likelier(0.5, False), likelier(0.49, False), likelier(0.49, True)) == (1, 0, 0.49)


@pytest.mark.parametrize("mean", [1.0, 1.5, 4.0])
def test_whole_days_late_have_their_mean(mean: float) -> None:
    """1 + floor(exponential) is scipy's geometric law with the mean that was asked for."""
    scale = whole_days_scale(mean)
    if mean == 1:
        assert scale == 0
    else:
        p = 1 - np.exp(-1 / scale)
        assert stats.geom(p).mean() == pytest.approx(mean)
