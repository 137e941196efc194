"""The simulation's unit pools against the float cases I3, J1, F9 and C1 of float-cases.json.

All are computed by closed forms outside this project and confirmed there by other simulations
(see each case). Vehicles are stripped at s0 and ask at the last stage; one day is 1,440 minutes.
Chance is fixed by seeds; with other seeds all figures together would raise a false alarm once in
a hundred times (intervals of 1 - 0.01 / FIGURES by batch means).
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from pacewright.simulate.laws import constant
from pacewright.simulate.run import Run
from pacewright.simulate.table import Floats, FlowTable
from published.float_case import CASES
from queue_flow import (
    DAY,
    Server,
    holds,
    law_of,
    poisson_arrivals,
    queue_table,
    ran,
    waits_at,
)
from tiny_flow import kind

ALARM = 0.01 / 20
SLACK = 0.003
"""Share by which whole minutes and a table of straight lines may move a figure."""


def float_table(
    arrivals: np.ndarray, units: int, turn: Floats, offset_days: float = 0, lot: int = 1
) -> FlowTable:
    """One unit a vehicle, stripped at s0, asked for the offset later; the run stops with calls."""
    away = Server(constant(max(1.0, offset_days * DAY)))
    one = kind("unit", "s0", "s2", 1.0)
    days = int(arrivals[-1] // DAY)
    table = queue_table([Server(constant(1)), away, Server(constant(1))], arrivals, 0, [one], days)
    kinds = replace(
        table.kinds, turn=turn[np.newaxis], serviceable=np.array([units]), lot=np.array([lot])
    )
    return replace(table, kinds=kinds)


def asked_and_got(table: FlowTable, run: Run) -> tuple[np.ndarray, np.ndarray]:
    """Minutes at which the released vehicles asked and got their unit, in order of asking."""
    got = run.released[run.released >= 0] - 1
    return got - waits_at(table, run, "part"), got


def short_at(moments: np.ndarray, asked: np.ndarray, got: np.ndarray) -> np.ndarray:
    """Vehicles that have asked and not got, just after each moment."""
    there = np.searchsorted(asked, moments, "right") - np.searchsorted(got, moments, "right")
    return there.astype(float)


@pytest.mark.parametrize("units", [3, 5, 7])
def test_i3_paced_call_in_with_offset(units: int) -> None:
    """I3: one vehicle a day, gamma turn, need 8 days after the strip: share on time, mean short."""
    case = CASES["I3"]
    wanted = case["expected"]
    turn = law_of(stats.gamma(1 / 0.35**2, scale=12 * 0.35**2 * DAY))
    arrivals = np.arange(9_000) * round(case["inputs"]["takt_days"] * DAY) + 5
    table = float_table(arrivals, units, turn, case["inputs"]["offset"])
    asked, got = asked_and_got(table, ran(table))
    asked, got = asked[100:], got[100:]
    holds((got <= asked).astype(float), wanted["on_time"][str(units)], ALARM, SLACK)
    holds(short_at(asked, asked, got), wanted["mean_units_short_at_need"][str(units)], ALARM, SLACK)


def test_j1_lots() -> None:
    """J1: units leave five at a time, fixed turn: fill and mean short, against no lot."""
    given, wanted = CASES["J1"]["inputs"], CASES["J1"]["expected"]
    arrivals = poisson_arrivals(given["rate"] / DAY, 12_000, seed=21)
    turn = constant(given["turn"] * DAY)
    table = float_table(arrivals, given["S"], turn, lot=given["lot"])
    asked, got = asked_and_got(table, ran(table))
    holds((got <= asked)[100:].astype(float), wanted["fill"], ALARM, SLACK)
    moments = np.arange(200 * DAY, asked[-200], DAY)
    holds(short_at(moments, asked, got), wanted["EBO"], ALARM, SLACK)


def test_f9_float_before_a_finite_shop() -> None:
    """F9-c3: three benches, exponential times: fill and mean short of a float of six."""
    given, wanted = CASES["F9-c3"]["inputs"], CASES["F9-c3"]["expected"]
    arrivals = poisson_arrivals(given["rate"] / DAY, 15_000, seed=22)
    table = float_table(arrivals, given["S"], constant(1))
    benches = replace(
        table.kinds,
        benches=np.array([given["servers"]]),
        rest_minutes=np.array([0]),
        bench_minutes=np.array([DAY / given["service_rate"]]),
    )
    table = replace(table, kinds=benches)
    asked, got = asked_and_got(table, ran(table))
    holds((got <= asked)[200:].astype(float), wanted["fill_rate"], ALARM, SLACK)
    moments = np.arange(400 * DAY, asked[-200], DAY)
    holds(short_at(moments, asked, got), wanted["expected_backorders"], ALARM, SLACK)


@pytest.mark.parametrize("case_id", ["C1-depot0", "C1-depot3"])
def test_c1_two_sites_behind_one_pool(case_id: str) -> None:
    """C1: the works' pool feeds two sites; short there and at the sites (Graves 1985, exact).

    Each vehicle is the order of one of the sites; its unit reaches the site the time on the way
    after the pool gives it. METRIC's own figure lies outside the interval where a float is held.
    """
    given, wanted = CASES[case_id]["inputs"], CASES[case_id]["expected"]
    rates, transit = given["base_rates_per_day"], given["order_ship_days"]
    arrivals = poisson_arrivals(sum(rates) / DAY, 14_000, seed=23)
    table = float_table(arrivals, given["S_depot"], constant(given["depot_turn_days"] * DAY))
    asked, got = asked_and_got(table, ran(table))
    moments = np.arange(300 * DAY, asked[-200], DAY)
    short = short_at(moments, asked, got)
    holds(short, wanted["depot_EBO"], ALARM, SLACK)
    holds((short - wanted["depot_EBO"]) ** 2, wanted.get("depot_VBO", 0), ALARM, SLACK)
    site = np.random.default_rng(24).choice(len(rates), len(asked), p=np.array(rates) / sum(rates))
    lacking = np.zeros(len(moments))
    for n, (days, units) in enumerate(zip(transit, given["S_base"], strict=True)):
        mine = site == n
        on_order = short_at(moments, asked[mine], got[mine] + days * DAY)
        lacking += np.maximum(0, on_order - units)
    holds(lacking, wanted["total_EBO_exact"], ALARM, SLACK)
