"""Published and general figures for queues and lines; sources stand in data/float-cases.json."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy import stats

from pacewright.pace.arrivals import Arrivals
from pacewright.pace.factory_physics import LineBounds, vehicles_inside
from pacewright.pace.paced import PacedQueue
from pacewright.pace.queueing import (
    erlang_b,
    erlang_c,
    mean_wait,
    places_for_loss,
    places_if_random,
)
from pacewright.pace.solve import line
from pacewright.pace.stage_times import StageTime
from unit.pace.pace_cases import programme, stage_row, works_of_stages

CASES = {
    case["id"]: case
    for case in json.loads((Path(__file__).parent / "data" / "float-cases.json").read_text())
}


def case(name: str) -> tuple[dict[str, Any], dict[str, Any], float]:
    """Inputs, expected values and tolerance of one case."""
    one = CASES[name]
    return one["inputs"], one["expected"], one["tolerance"]


def test_f1_erlang_b_of_25_erlangs_on_30_lines() -> None:
    """F1: a published demonstration says about 0.05; further places computed (recursion)."""
    given, expected, tolerance = case("F1")
    found = erlang_b(given["servers"], given["load"])
    assert found == pytest.approx(0.05, abs=0.005)
    assert found == pytest.approx(expected["B"], abs=tolerance)


def test_f3_places_for_one_per_cent_loss() -> None:
    """F3: inputs of open course notes; expected values computed."""
    given, expected, tolerance = case("F3")
    assert places_for_loss(given["load"], given["max_loss"]) == expected["servers"]
    for servers, loss in expected["B"].items():
        assert erlang_b(int(servers), given["load"]) == pytest.approx(loss, abs=tolerance)


@pytest.mark.parametrize(
    ("servers", "load"), [(1, 0.0101), (2, 0.153), (5, 1.36), (10, 4.46), (20, 12.03), (50, 37.9)]
)
def test_erlang_b_table_of_one_per_cent(servers: int, load: float) -> None:
    """Rows of the usual Erlang B table for 1 % loss (from memory, three or four figures)."""
    assert erlang_b(servers, load) == pytest.approx(0.01, rel=0.02)
    assert places_for_loss(0.99 * load, 0.01) == servers


@pytest.mark.parametrize("load", [0.5, 3.0, 25.0, 80.0])
def test_erlang_b_is_the_poisson_ratio(load: float) -> None:
    """B(c, a) = P(N = c) / P(N <= c) with N Poisson(a): scipy's law as the reference."""
    for servers in (1, 4, 30, 100):
        ratio = stats.poisson.pmf(servers, load) / stats.poisson.cdf(servers, load)
        assert erlang_b(servers, load) == pytest.approx(ratio, rel=1e-9)


def test_f5_m_m_2_by_an_octave_package() -> None:
    """F5-m2: test block of a public queueing package (source read): 7.674 inside, 1.053 s there.

    The case names the mean number in the system "mean_waiting"; 9 x 0.853 = 7.67 wait.
    """
    given, expected, tolerance = case("F5-m2")
    load = given["lam"] / given["mu"]
    wait = mean_wait(given["m"], load, 1 / given["mu"], 1.0, 1.0)
    assert wait + 1 / given["mu"] == pytest.approx(expected["mean_response"], abs=tolerance)
    assert given["lam"] * wait == pytest.approx(expected["mean_waiting"], abs=tolerance)


def test_g9_wait_before_one_place_by_pollaczek_khinchine() -> None:
    """G9: 2.0, 2.5 and 4.0 for scatter 0, 0.5 and 1 (first principles)."""
    given, expected, tolerance = case("G9")
    for cv, wait in zip(given["cv"], expected["Wq"], strict=True):
        found = mean_wait(1, given["rate"] * given["mean_service"], 1.0, 1.0, cv**2)
        assert found == pytest.approx(wait, abs=tolerance)


def test_g9_wait_of_random_arrivals_from_the_balance_itself() -> None:
    """Spread so far that they are nearly random, paced arrivals near Pollaczek-Khinchine.

    G9 with cv 0: 2.0 stays. Vehicles off by 60 takts on average are nearly random but cannot
    bunch without end; the law has no more than 10 % over, and not below three quarters.
    """
    queue = PacedQueue(Arrivals(1.25, 75.0, {1: 1.0}), StageTime(0.999, 1.0, 1.001))
    assert 1.5 < queue.wait(1, 1e9).mean_days < 2.2


def test_met_nears_poisson_when_arrivals_scatter_far() -> None:
    """Palm's theorem: with arrivals spread far the number met is nearly Poisson (scipy)."""
    queue = PacedQueue(Arrivals(1.0, 60.0, {1: 1.0}), StageTime(2.0, 4.0, 6.0))
    found = queue.met(np.zeros(1))
    reference = stats.poisson.cdf(np.arange(found.size), 4.0)
    assert np.abs(np.cumsum(found) - reference).max() < 0.015


def test_g1_littles_law() -> None:
    """G1: 1,400 a day and 47,600 inside take 34 days (Hopp and Spearman ch. 7, slide read)."""
    given, expected, tolerance = case("G1")
    inside = vehicles_inside(given["throughput_per_day"], expected["cycle_time_days"])
    assert inside == pytest.approx(given["wip"], abs=tolerance)


def test_g3_penny_fab_two() -> None:
    """G3: bounds of a line of four stations (Hopp and Spearman ch. 7, slides read)."""
    given, expected, tolerance = case("G3")
    rates = [n / hours for n, hours in zip(given["machines"], given["hours"], strict=True)]
    assert rates == pytest.approx(expected["rates"])
    bounds = LineBounds(min(rates), sum(given["hours"]))
    assert bounds.slowest_a_day == pytest.approx(expected["rb"], abs=tolerance)
    assert bounds.bare_days == expected["T0"]
    assert bounds.critical_inside == pytest.approx(expected["W0"], abs=tolerance)
    assert bounds.practical_worst_a_day(8) == pytest.approx(expected["pwc_TH_w8"], abs=tolerance)
    assert bounds.practical_worst_days(8) == pytest.approx(expected["pwc_CT_w8"], abs=tolerance)
    assert bounds.best_a_day(4) == pytest.approx(4 / 20)
    assert bounds.best_a_day(80) == pytest.approx(0.4)
    assert bounds.worst_a_day() == pytest.approx(1 / 20)


def test_g3_stations_as_stages_of_a_works() -> None:
    """The same four stations given as a works: r_b, T_0 and W_0 come out of the line."""
    given, expected, _ = case("G3")
    rows = [
        stage_row(f"s{n}", hours, positions=machines, follows=f"s{n - 1}" if n else "")
        for n, (hours, machines) in enumerate(zip(given["hours"], given["machines"], strict=True))
    ]
    found = line(works_of_stages(rows), programme(0.2))
    assert found.able_a_week / 5 == pytest.approx(expected["rb"])
    assert found.turns[0].route_days == pytest.approx(expected["T0"])
    assert found.slowest == "stage s1, s1"


def test_g7_paced_line() -> None:
    """G7: 12 stations, takt half a day: first out after 6 days, last of 30 after 20.5."""
    given, expected, _ = case("G7")
    rows = [
        stage_row(f"s{n}", given["takt_days"], follows=f"s{n - 1}" if n else "")
        for n in range(given["stations"])
    ]
    found = line(works_of_stages(rows), programme(1 / given["takt_days"]))
    route_days = found.turns[0].route_days
    assert route_days == pytest.approx(expected["first_out"])
    last_out = route_days + (given["vehicles"] - 1) * found.takt_days
    assert last_out == pytest.approx(expected["last_out"])
    assert found.pace_a_day * route_days == pytest.approx(expected["wip_full"])


def test_random_arrivals_want_at_least_as_many_positions() -> None:
    """Erlang C is the upper mark: the paced law never wants more for single vehicles."""
    for load in (0.7, 2.2, 5.0, 9.4, 20.0, 44.0):
        for spread in (0.3, 1.0, 4.0):
            queue = PacedQueue(
                Arrivals(1.0, spread, {1: 1.0}), StageTime(0.7 * load, load, 1.3 * load)
            )
            assert queue.positions_for(0.95, 1e9) <= places_if_random(load, 0.05)


def test_erlang_c_of_places_that_cannot_carry_the_load() -> None:
    """Everyone waits, and no steady wait is made up."""
    assert erlang_c(2, 2.5) == 1.0
    with pytest.raises(ValueError, match="cannot carry"):
        mean_wait(2, 2.5, 1.0, 1.0, 1.0)
