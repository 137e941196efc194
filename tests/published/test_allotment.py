"""The allotment against general libraries and against every assignment there is.

Sources: scipy.optimize.linear_sum_assignment (modified Jonker-Volgenant, Crouse 2016) as the
optimum where every vehicle needs one thing and nothing is matched; all permutations elsewhere.
"""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment

from pacewright.control.allotment_problem import (
    NONE_IN_SIGHT_DAYS,
    STANDING_WEIGHT,
    AllotmentProblem,
    Slot,
    Supply,
)
from pacewright.control.allotment_solve import allot


def random_problem(seed: int, needs: int, there: int) -> AllotmentProblem:
    """Every vehicle needs one motor on a day of its own; motors come on days of their own."""
    draw = np.random.default_rng(seed)
    return AllotmentProblem(
        slots=tuple(Slot("motor", v, float(draw.integers(0, 30))) for v in range(needs)),
        supplies=tuple(Supply("motor", float(draw.integers(0, 40))) for _ in range(there)),
        slack_days=tuple(float(draw.integers(0, 6)) for _ in range(needs)),
        weight=tuple(float(draw.choice([0.5, 1.0])) for _ in range(needs)),
    )


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize(("needs", "there"), [(12, 12), (25, 18), (15, 30)])
def test_one_need_a_vehicle_is_the_linear_assignment(seed: int, needs: int, there: int) -> None:
    """The cost is the optimum of scipy's linear assignment, with a dummy for every need."""
    problem = random_problem(seed, needs, there)
    cost = np.full((needs, there + needs), math.inf)
    for i, slot in enumerate(problem.slots):
        days = [max(0.0, one.ready_day - slot.needed_day) for one in problem.supplies]
        for j, late in enumerate([*days, *[NONE_IN_SIGHT_DAYS] * needs]):
            over = max(0.0, late - problem.slack_days[i])
            cost[i, j] = problem.weight[i] * (over + STANDING_WEIGHT * late)
    rows, columns = linear_sum_assignment(cost)
    found = allot(problem)
    assert found.cost == pytest.approx(cost[rows, columns].sum(), abs=1e-6)
    assert found.bound == pytest.approx(found.cost, abs=0.02)
    assert problem.faults(found.given) == ()


SORTS = ("motor", "gear")


@st.composite
def small_problems(draw: st.DrawFn) -> AllotmentProblem:
    """Three vehicles, two kinds, some matched pairs, some units that fit one vehicle only."""
    day = st.integers(0, 9).map(float)
    slots = [
        Slot(sort, v, draw(day)) for v in range(3) for sort in SORTS if draw(st.integers(0, 3)) > 0
    ]
    pairs = draw(st.integers(0, 2))
    supplies = []
    for n in range(pairs):
        supplies += [
            Supply("motor", draw(day), mate=2 * n + 1),
            Supply("gear", draw(day), mate=2 * n),
        ]
    fits = st.sampled_from([None, None, frozenset({0}), frozenset({1, 2})])
    supplies += [
        Supply(draw(st.sampled_from(SORTS)), draw(day), draw(fits))
        for _ in range(draw(st.integers(0, 3)))
    ]
    return AllotmentProblem(
        tuple(slots),
        tuple(supplies),
        tuple(draw(st.integers(0, 3).map(float)) for _ in range(3)),
        tuple(draw(st.sampled_from([0.5, 1.0])) for _ in range(3)),
    )


def best_of_all(problem: AllotmentProblem) -> float:
    """The least cost over every assignment that breaks no rule."""
    choices = [
        [-1, *(j for j, one in enumerate(problem.supplies) if one.may_go_to(slot))]
        for slot in problem.slots
    ]
    return min(
        problem.cost(given) for given in itertools.product(*choices) if problem.faults(given) == ()
    )


@settings(max_examples=150, deadline=None)
@given(small_problems())
def test_any_small_problem_against_every_assignment(problem: AllotmentProblem) -> None:
    """Pairs, compatibility and several needs a vehicle: no assignment is better."""
    found = allot(problem)
    assert problem.faults(found.given) == ()
    assert found.cost == pytest.approx(best_of_all(problem), abs=1e-3)
    assert found.bound <= found.cost + 1e-9


def test_what_a_solver_gave_back_unsolved_is_solved() -> None:
    """Found by the test above: HiGHS given a start called it optimal and gave the start back."""
    problem = AllotmentProblem(
        slots=tuple(Slot(sort, v, 0.0) for v in (1, 2) for sort in SORTS),
        supplies=(
            Supply("motor", 1.0, mate=1),
            Supply("gear", 0.0, mate=0),
            Supply("motor", 0.0),
            Supply("motor", 0.0),
        ),
        slack_days=(0.0, 0.0, 1.0),
        weight=(0.5, 0.5, 0.5),
    )
    assert allot(problem).cost == pytest.approx(best_of_all(problem))


def test_a_vehicle_that_stands_anyhow_leaves_the_unit_to_one_that_does_not() -> None:
    """By hand: two need the one motor; the first also waits nine days for a gear."""
    problem = AllotmentProblem(
        slots=(Slot("motor", 0, 0.0), Slot("gear", 0, 0.0), Slot("motor", 1, 0.0)),
        supplies=(Supply("motor", 0.0), Supply("motor", 9.0), Supply("gear", 9.0)),
        slack_days=(0.0, 0.0),
        weight=(1.0, 1.0),
    )
    found = allot(problem)
    assert found.given == (1, 2, 0)
    # 9 days late of the first vehicle and 0.1 x 9 that it stands; none of the second.
    assert found.cost == pytest.approx(9.9)


def test_a_pair_is_not_parted_though_it_would_be_quicker() -> None:
    """By hand: the matched gear comes on day 4, so its motor goes where both are needed."""
    problem = AllotmentProblem(
        slots=(Slot("motor", 0, 0.0), Slot("motor", 1, 0.0), Slot("gear", 1, 0.0)),
        supplies=(
            Supply("motor", 0.0, mate=1),
            Supply("gear", 4.0, mate=0),
            Supply("motor", 6.0),
        ),
        slack_days=(0.0, 0.0),
        weight=(1.0, 1.0),
    )
    found = allot(problem)
    assert found.given == (2, 0, 1)
    assert found.cost == pytest.approx(1.1 * (6 + 4))
