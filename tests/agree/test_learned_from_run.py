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
    """Kinds with benches enough turn in the table's mean; none turns faster than 5 % below it.

    Waiting for a bench may lengthen a turn, so only the middle of all kinds is held to the table.
    """
    works, _, _ = year()
    table = {one.unit_kind_id: one.turn_days for one in works.unit_kinds}
    ratios = sorted(one.shown / table[row] for row, one in lines("turn_days").items())
    assert len(ratios) > 15
    assert ratios[0] > 0.95
    assert ratios[len(ratios) // 2] == pytest.approx(1.0, abs=0.05)


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
