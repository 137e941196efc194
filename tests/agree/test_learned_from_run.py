"""What is learned from a simulated year told as events, beside what plan and simulation reckoned.

The run's truth is its tables, so learning must find them again by counting events, a way that
shares nothing with the plan's sums but the tables.
"""

from dataclasses import replace
from functools import cache
from math import sqrt

import pytest
from scipy import stats

from pacewright.invent.works import invented_works
from pacewright.life.learn import learn
from pacewright.office.planning import make_plan
from pacewright.plans.learned import Learned, Proposal
from pacewright.plans.plan import Plan
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.engine import run_flow
from pacewright.simulate.problem import FlowOptions
from pacewright.simulate.told import Telling, told
from pacewright.works import Works


def other(share: float, n: int) -> float:
    """Another share: some a third higher, some a third lower, some as they are."""
    return min(0.95, share * (4 / 3, 2 / 3, 1)[n % 3]) if share < 1 else share


@cache
def truth_and_learned() -> tuple[Works, Learned]:
    """What is true behind the tables of an invented works, and what a year of it teaches."""
    works = invented_works("tramway", 260, 1)
    truth = replace(
        works,
        operations=tuple(
            replace(one, occurrence_share=other(one.occurrence_share, n))
            for n, one in enumerate(works.operations)
        ),
        unit_kinds=tuple(
            replace(
                one,
                removal_share=other(one.removal_share, n),
                scrap_share=other(one.scrap_share, n + 1),
            )
            for n, one in enumerate(works.unit_kinds)
        ),
    )
    programme = make_plan(works).programme
    table = compile_flow(truth, programme, FlowOptions(inside_now=False, weeks=52))
    run = run_flow(table, seed=5, replication=0, events=True)
    shares = {one.operation_id: one.occurrence_share for one in truth.operations}
    return truth, learn(works, told(table, run, works, Telling(unit_shares=shares)))


@cache
def year() -> tuple[Works, Plan, Learned]:
    """An invented tramway, its plan, and what a simulated year of it teaches."""
    works = invented_works("tramway", 260, 1)
    plan = make_plan(works)
    table = compile_flow(works, plan.programme, FlowOptions(inside_now=False, weeks=52))
    run = run_flow(table, seed=1, replication=0, events=True)
    return works, plan, learn(works, told(table, run, works))


def lines(column: str) -> dict[str, Proposal]:
    """Row -> what is learned of a column."""
    return {one.row: one for one in year()[2].proposals if one.column == column}


@pytest.mark.parametrize("column", ["occurrence_share", "first_pass_share", "scrap_share"])
def test_shares_of_the_tables_are_found_again(column: str) -> None:
    """None is called different for real; at 1 % each, two of them all would be a rare chance.

    Of at most 120 cells of a column three or more false alarms have a chance below 2 %, and the
    old value weighs in on its side; seeds are fixed.
    """
    found = lines(column)
    assert found
    assert sum(one.real for one in found.values()) <= 2


def test_hours_earned_are_the_load_of_the_line() -> None:
    """For each crew, hours earned a week over the plan's mean load is the output over the pace.

    The year begins with an empty works and ends with pieces begun, so single crews may differ by
    15 % from all of them together.
    """
    works, plan, learned = year()
    earned = lines("shown_hours_a_week")
    loads = {f"{one.shop_id} {one.trade_id}": one.hours_mean for one in plan.line.trades}
    assert learned.released_a_week is not None
    output = learned.released_a_week[0] / plan.line.pace_a_week
    together = sum(earned[row].shown for row in loads if row in earned) / sum(loads.values())
    assert together == pytest.approx(output, rel=0.1)
    big = [row for row, hours in loads.items() if hours > 0.02 * sum(loads.values())]
    assert len(big) > 8
    for row in big:
        assert earned[row].shown / loads[row] == pytest.approx(together, rel=0.15), row
    assert set(earned) <= {f"{one.shop_id} {one.trade_id}" for one in works.people}


def test_turn_times_are_those_the_run_drew() -> None:
    """Kinds with benches enough turn in the table's mean; none is faster than chance allows.

    Waiting for a bench may lengthen a turn, so only the middle of all kinds is held to the table.
    The least of some forty scores (shown less the table's mean over its standard error) is below
    -4 with a chance of about 0.2 %, were they normal.
    """
    works, _, _ = year()
    table = {one.unit_kind_id: one for one in works.unit_kinds}
    found = lines("turn_days").items()
    ratios = sorted(one.shown / table[row].turn_days for row, one in found)
    scores = [
        (one.shown - table[row].turn_days) / (table[row].turn_sd_days / sqrt(one.sample))
        for row, one in found
    ]
    assert len(ratios) > 15
    assert min(scores) > -4
    assert ratios[len(ratios) // 2] == pytest.approx(1.0, abs=0.05)


def test_turn_deviations_are_those_of_the_tables() -> None:
    """The 90 % range of the learned deviation holds the table's for nearly nine kinds in ten.

    Fewer than asked for would be a chance of 1 %, were the ranges exact. Left out are kinds whose
    shop is so full that waiting for a bench makes most of the scatter: their turn is longer than
    the table's by a quarter of it or more.
    """
    turns = lines("turn_days")
    found = {
        row: one
        for row, one in lines("turn_sd_days").items()
        if turns[row].shown < 1.25 * float(turns[row].old)
    }
    assert len(found) > 30
    held = [row for row, one in found.items() if one.low <= float(one.old) <= one.high]
    assert len(held) >= stats.binom.ppf(0.01, len(found), 0.9), sorted(set(found) - set(held))
    assert sum(one.real for one in found.values()) <= 2


@pytest.mark.parametrize("column", ["occurrence_share", "removal_share", "scrap_share"])
def test_what_is_true_behind_wrong_tables_is_shown(column: str) -> None:
    """The record is told from other factors than the tables have: it shows those, within chance.

    Scores (shown less true over the binomial standard error) have mean square 1; all are below
    4.5 (two-sided 7e-6 each for a normal score, rarer shares a little more), their mean square
    below the 0.999 quantile of chi-square over n.
    """
    truth, learned = truth_and_learned()
    true = {one.operation_id: one.occurrence_share for one in truth.operations}
    if column != "occurrence_share":
        true = {one.unit_kind_id: getattr(one, column) for one in truth.unit_kinds}
    scores = [
        (one.shown - true[one.row]) / sqrt(true[one.row] * (1 - true[one.row]) / one.sample)
        for one in learned.proposals
        if one.column == column and 0 < true[one.row] < 1 and one.sample >= 20
    ]
    assert len(scores) > 5
    assert max(map(abs, scores)) < 4.5
    squares = sum(score**2 for score in scores)
    assert squares < stats.chi2.ppf(0.999, len(scores))
