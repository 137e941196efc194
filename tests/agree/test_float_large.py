"""What makes large works quick, against the plain way: term by term, chain by chain.

Nothing here is taken from our own output: the plain product, the chain through every unit, scipy's
error function and a dense solution of the same chain are the other side of each comparison.
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy import special, stats

from pacewright.floats import count_law, even_call_in, loaded_shop
from pacewright.floats.count_law import (
    Window,
    from_transform,
    gathered_sum,
    window,
    yes_or_no_sum,
)
from pacewright.floats.error_function import erfc
from pacewright.floats.even_call_in import even_readiness
from pacewright.floats.fast_lots import fast_lots
from pacewright.floats.finite_shop import paced_shop
from pacewright.floats.loaded_shop import loaded_readiness
from pacewright.floats.problem import Bench, Stream, TypeNeed
from pacewright.floats.turn_time import ConstantTurn, LognormalTurn

LOOKS = (0.0, 4.0)
TWO = (TypeNeed("a", 0.6, 1, 2.0, 8.3), TypeNeed("b", 0.4, 3, 3.0, 7.0))
SKEW = LognormalTurn(9.0, 3.0)

LARGE = {
    "one type": Stream(0.02, (TypeNeed("a", 1.0, 1, 0.0, 6.0),), SKEW),
    "types that differ": Stream(0.05, TWO, SKEW, 0.8),
    "scrap and a long lead": Stream(
        0.06, TWO, SKEW, scrap_share=0.1, purchase_days=90.0, purchase_lot=4
    ),
    "despatch": Stream(0.08, TWO, SKEW, despatch_days=5.0),
    "second site": Stream(0.08, TWO, SKEW, 0.9, site_a_day=3.0, site_transit_days=1.0),
}


def farthest(one: np.ndarray, other: np.ndarray) -> float:
    """Largest difference of two readiness tables; beyond its last float a table stays level."""
    most = max(one.shape[2], other.shape[2])
    parts = [
        np.pad(table, ((0, 0), (0, 0), (0, most - table.shape[2])), mode="edge")
        for table in (one, other)
    ]
    return float(np.abs(parts[0] - parts[1]).max())


@pytest.mark.parametrize("name", list(LARGE))
def test_gathered_terms_are_the_product_term_by_term(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Works of 12 to 50 vehicles a day: readiness within 1e-7 of every term by itself."""
    stream = LARGE[name]
    quick = even_readiness(stream, LOOKS).ready
    calls: list[int] = []
    plain = count_law.gathered_sum
    monkeypatch.setattr(
        count_law, "gathered_sum", lambda *given: (calls.append(1), plain(*given))[1]
    )
    even_readiness(stream, LOOKS)
    assert calls, "the case is too small to be gathered"
    monkeypatch.setattr(count_law, "MANY", 10**9)
    assert farthest(even_readiness(stream, LOOKS).ready, quick) < 1e-7


@pytest.mark.parametrize("takt_days", [2.0, 0.5, 0.25, 0.12])
def test_small_works_are_reckoned_term_by_term(
    takt_days: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where few vehicles count, nothing is gathered, and cutting the transform changes nothing."""
    stream = Stream(takt_days, (TypeNeed("a", 1.0, 1, 2.0, 8.0),), SKEW)
    monkeypatch.setattr(count_law, "gathered_sum", None)
    quick = even_readiness(stream, LOOKS).ready
    whole = count_law.window

    def uncut(means, variance, margin=0.0, least_variance=0.0) -> Window:
        return whole(means, variance, margin)

    monkeypatch.setattr(even_call_in, "window", uncut)
    assert farthest(even_readiness(stream, LOOKS).ready, quick) < 1e-10


def test_gathered_sum_is_scipys_binomial() -> None:
    """600 counts of one chance, and two groups of 400: binomial laws of scipy.stats."""
    where = window(np.array([600 * 0.37]), 600 * 0.37 * 0.63)
    one = np.full((1, 600), 0.37)
    law = from_transform(gathered_sum(one, where, np.ones_like(one, dtype=int)), where)
    wanted = stats.binom.cdf(np.arange(400), 600, 0.37)
    assert np.abs(law.ready(399)[0] - wanted).max() < 5e-8
    two = np.repeat([[0.0305, 0.7]], 400, axis=1)
    where = window(np.array([400 * 0.7305]), 400 * (0.03 + 0.21))
    law = from_transform(gathered_sum(two, where, np.ones_like(two, dtype=int)), where)
    weights = np.convolve(
        stats.binom.pmf(np.arange(401), 400, 0.0305), stats.binom.pmf(np.arange(401), 400, 0.7)
    )
    assert np.abs(law.ready(500)[0] - np.cumsum(weights)[:501]).max() < 5e-8


def test_error_of_gathering_stays_within_its_bound() -> None:
    """5e-8 / sqrt(v), as the docstring derives, over random chances of widths between."""
    rng = np.random.default_rng(3)
    for terms in (450, 1500, 5000):
        chances = rng.beta(0.5, 0.5, (4, terms))
        variance = (chances * (1 - chances)).sum(axis=1)
        where = window(chances.sum(axis=1), float(variance.max()))
        units = np.ones_like(chances, dtype=int)
        quick = from_transform(gathered_sum(chances, where, units), where)
        turns = where.turns - 1
        plain = np.array([np.prod(1 + row[:, None] * turns, axis=0) for row in chances])
        exact = from_transform(plain, where)
        gap = np.abs(np.cumsum(quick.weights - exact.weights, axis=1)).max(axis=1)
        assert np.all(gap < 5e-8 / np.sqrt(variance) + 1e-12)


def test_product_of_unlike_counts_is_a_convolution() -> None:
    """Several units at some chances, weak and steady ones: numpy's convolution, unit by unit."""
    rng = np.random.default_rng(4)
    chances = np.concatenate([rng.uniform(0, 1, (2, 21)), np.full((2, 9), 0.25)], axis=1)
    chances[:, 5] = 1e-8
    units = rng.integers(0, 4, chances.shape)
    mean = (units * chances).sum(axis=1)
    where = window(mean, float((units * chances * (1 - chances)).sum(axis=1).max()))
    laws = from_transform(yes_or_no_sum(chances, where, units), where)
    for row in range(2):
        wanted = np.ones(1)
        for chance, count in zip(chances[row], units[row], strict=True):
            for _ in range(count):
                wanted = np.convolve(wanted, [1 - chance, chance])
        found = laws.ready(wanted.size - 1)[row]
        assert found == pytest.approx(np.cumsum(wanted), abs=1e-9)


@pytest.mark.parametrize("seed", [0, 1, 5, 6, 7, 9, 10, 11, 12, 13, 14, 15, 16])
def test_fast_lots_are_the_chain_unit_by_unit(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Random lots, units, shares removed and condemned: in short within 1e-4 of the chain."""
    rng = np.random.default_rng(seed)
    lot = int(rng.integers(2, 9))
    units = (int(rng.choice([1, 2, 4, lot])), int(rng.integers(2, 7)))
    needs = (TypeNeed("a", 0.6, units[0], 0.0, 2.0), TypeNeed("b", 0.4, units[1], 0.0, 5.0))
    stream = Stream(
        float(rng.uniform(0.07, 0.2)),
        needs[: 1 + seed % 2] if seed % 3 else (replace(needs[0], share=1.0),),
        LognormalTurn(6.0, float(rng.uniform(2.0, 3.5))),
        float(rng.choice([1.0, 0.9, 0.5])),
        lot_size=lot,
        scrap_share=float(rng.choice([0.0, 0.05, 0.25])),
        purchase_days=12.0,
    )
    with monkeypatch.context() as without_chain:
        without_chain.setattr(even_call_in, "lot_transforms", None)
        quick = even_readiness(stream, (0.0,)).ready
    monkeypatch.setattr(even_call_in, "SMALL_SHARE", -1.0)
    assert farthest(even_readiness(stream, (0.0,)).ready, quick) < 1e-4


def test_fast_lots_add_half_a_lot() -> None:
    """(Q - 1)/2 units and the variance given, on top of a normal-like count (arithmetic)."""
    where = window(np.array([52.5]), 60.0)
    spread = np.array([2.0])
    stream = Stream(0.1, TWO, SKEW, lot_size=6)
    counts = np.full((1, 200), 0.25)
    law = from_transform(yes_or_no_sum(counts, where) * fast_lots(stream, spread, where), where)
    assert law.mean() == pytest.approx(200 * 0.25 + 2.5, abs=1e-6)
    assert law.variance() == pytest.approx(200 * 0.25 * 0.75 + 2.0, abs=1e-6)


def test_error_function_is_scipys() -> None:
    """Every stretch of the table, its ends and beyond."""
    scores = np.concatenate([np.linspace(-9, 9, 40_001), [0.0, 6.0, -6.0, 1e6, -1e6]])
    assert np.abs(erfc(scores) - special.erfc(scores)).max() < 1e-13
    assert erfc(np.array([[0.5], [1.5]])).shape == (2, 1)


@pytest.mark.parametrize("batch", [(0.0, 1.0), (0.3, 0.5, 0.2), (0.0, 0.0, 0.4, 0.6)])
def test_long_run_of_the_shop_is_that_of_its_whole_chain(batch: tuple[float, ...]) -> None:
    """Against eigenvectors of the dense chain: each unit on a bench leaves with its own chance.

    With more benches than units there is no queue: the units present leave one by one with chance
    1 - exp(-takt / bench time) each (first principles).
    """
    takt, bench = 0.7, Bench(60, 3.0)
    law = np.asarray(batch)
    shop = paced_shop(takt, law, bench)
    size = 60
    chain = np.zeros((size, size))
    stay = np.exp(-takt / bench.bench_days)
    for there in range(size):
        left = stats.binom.pmf(np.arange(there + 1), there, stay)
        for remaining, chance in enumerate(left):
            for come, likely in enumerate(law):
                chain[there, min(remaining + come, size - 1)] += chance * likely
    values, vectors = np.linalg.eig(chain.T)
    wanted = np.real(vectors[:, np.argmax(np.real(values))])
    wanted /= wanted.sum()
    most = min(size, shop.after.size)
    assert np.abs(shop.after[:most] - wanted[:most]).max() < 1e-9


@pytest.mark.parametrize("at_random", [False, True])
def test_loaded_shop_needs_no_more_of_its_transform(
    at_random: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Twelve benches at 92 %: stopped where the transform has died away, or all of it and wider."""
    needs = (TypeNeed("a", 1.0, 1, 0.0, 6.3),)
    stream = Stream(0.05, needs, ConstantTurn(8.0), 0.9)
    bench = Bench(12, 0.92 * 12 * 0.05 / 0.9)
    quick, _ = loaded_readiness(stream, bench, LOOKS, at_random)
    plain = loaded_shop.window
    monkeypatch.setattr(loaded_shop, "STRETCH", 10**6)
    monkeypatch.setattr(
        loaded_shop, "window", lambda means, spread, margin: plain(means, spread, margin + 300)
    )
    whole, _ = loaded_readiness(stream, bench, LOOKS, at_random)
    assert farthest(whole.ready, quick.ready) < 1e-9
