"""Floats set together against the outside cases D1, D3, H1, H3, H5.

D1, D3: read from public student reports on a course assignment (allocations by greedy and by
dynamic programming). H1, H3, H5: computed outside this project, H5 by exhaustive search.
"""

import numpy as np
import pytest

from pacewright.floats.even_call_in import shortage
from pacewright.floats.joint import JointQuestion, best_for_money, greedy_path, set_together
from pacewright.floats.random_call_in import poisson_law
from published.float_case import CASES, GammaTurn


def losses(pipelines: list[float], most: int = 12) -> list[np.ndarray]:
    """Mean units short of each kind for floats 0 ... ``most``."""
    return [
        np.array([poisson_law(mean).short_mean(units) for units in range(most + 1)])
        for mean in pipelines
    ]


def marginal_points(loss: list[np.ndarray], costs: list[float]) -> list[tuple[float, float]]:
    """(money, units short) along our marginal analysis: ready = exp(-loss) makes ln(ready) it."""
    rows = tuple(np.exp(-row)[None, :] for row in loss)
    question = JointQuestion(rows, tuple(costs), (1.0,), 0.5, (0,) * len(rows))
    points = []
    for floats in greedy_path(question):
        short = sum(row[units] for row, units in zip(loss, floats, strict=True))
        points.append((question.cost(floats), float(short), floats))
    return points


def test_d1_marginal_analysis() -> None:
    """D1: KTH SF2863 home assignment 2 (2021), all 16 efficient points of the report's table."""
    case = CASES["D1"]
    given, wanted = case["inputs"], case["expected"]
    pipelines = [r * t for r, t in zip(given["rates"], given["turn"], strict=True)]
    points = marginal_points(losses(pipelines), given["cost"])
    for found, (cost, short) in zip(points, wanted["efficient_points_cost_EBO"], strict=False):
        assert found[0] == pytest.approx(cost)
        assert found[1] == pytest.approx(short, abs=case["tolerance"])
    count = len(wanted["efficient_points_cost_EBO"])
    assert list(points[count - 1][2]) == wanted["final_allocation"]
    assert list(points[count - 2][2]) == wanted["allocation_at_431"]


def test_d3_marginal_analysis() -> None:
    """D3: second data set (2024); pipelines recovered from the printed first drops."""
    case = CASES["D3"]
    points = marginal_points(
        losses(case["inputs"]["pipelines_recovered_from_table"]), case["inputs"]["cost"]
    )
    for found, wanted in zip(points, case["expected"]["greedy_points_cost_EBO"], strict=False):
        assert found[:2] == pytest.approx(wanted, abs=case["tolerance"])
    two_each = [row[2] for row in losses(case["inputs"]["pipelines_recovered_from_table"])]
    wanted_two = case["expected"]["EBO_with_two_of_each"]
    assert two_each == pytest.approx(wanted_two, abs=case["tolerance"])


@pytest.mark.parametrize("money", ["100", "150", "350", "500"])
def test_d3_best_for_a_budget(money: str) -> None:
    """D3: the report's dynamic programme; greedy alone misses these."""
    case = CASES["D3"]
    loss = losses(case["inputs"]["pipelines_recovered_from_table"])
    floats = best_for_money(loss, case["inputs"]["cost"], float(money))
    assert list(floats) == case["expected"]["dp_allocation"][money]
    short = sum(row[units] for row, units in zip(loss, floats, strict=True))
    assert short == pytest.approx(case["expected"]["dp_EBO"][money], abs=case["tolerance"])


def test_h1_independent_kinds_multiply() -> None:
    """H1: five kinds ready with 0.98 each; what each of twelve needs for 0.95."""
    case = CASES["H1"]
    row = np.array([[case["inputs"]["each"]]])
    question = JointQuestion((row,) * 5, (1.0,) * 5, (1.0,), 0.9, (0,) * 5)
    assert question.readiness((0,) * 5) == pytest.approx(case["expected"]["joint"], abs=1e-9)
    each = case["expected"]["each_needed_for_joint_95_with_12_types"]
    twelve = JointQuestion((np.array([[each]]),) * 12, (1.0,) * 12, (1.0,), 0.95, (0,) * 12)
    assert twelve.readiness((0,) * 12) == pytest.approx(0.95, abs=1e-9)


def test_h3_random_call_in_does_not_multiply() -> None:
    """H3: the same constant turn and random call-in: the smallest counts, the product is low."""
    case = CASES["H3"]
    given, wanted = case["inputs"], case["expected"]
    law = poisson_law(given["rate"] * given["turn"])
    each = [law.chance_within(units - 1) for units in given["S"]]
    assert min(each) == pytest.approx(wanted["joint"], abs=1e-9)
    rows = tuple(np.array([[chance]]) for chance in each)
    question = JointQuestion(rows, (1.0,) * 3, (1.0,), 0.5, (0,) * 3)
    assert question.readiness((0, 0, 0)) == pytest.approx(wanted["product"], abs=1e-9)


def h5_question(target: float) -> JointQuestion:
    types = CASES["H5"]["inputs"]["types"]
    rows = tuple(
        shortage(
            GammaTurn(one["turn_mean"], one["turn_cv"]), 1.0, one["offset"], one["per_vehicle"]
        ).ready(30)
        for one in types
    )
    costs = tuple(float(one["unit_cost"]) for one in types)
    return JointQuestion(rows, costs, (1.0,), target, (0,) * 4)


@pytest.mark.parametrize("target", ["0.9", "0.95", "0.98"])
def test_h5_cheapest_floats_for_a_vehicle(target: str) -> None:
    """H5: exhaustive search; greedy alone pays 699 for what 681 buys at 0.9."""
    wanted = CASES["H5"]["expected"]["optimum_cost_alloc"][target]
    question = h5_question(float(target))
    found = set_together(question)
    assert (found.cost, list(found.floats)) == (wanted[0], wanted[1])
    assert found.proven
    assert found.bound == pytest.approx(found.cost)
    greedy = CASES["H5"]["expected"]["greedy_first_point_meeting_target"][target]
    first = next(p for p in greedy_path(question) if question.readiness(p) >= float(target))
    assert [question.cost(first), list(first)] == greedy


def test_h5_greedy_path() -> None:
    """H5: the tail of the greedy path, point by point."""
    question = h5_question(0.9)
    path = {floats: question.readiness(floats) for floats in greedy_path(question)}
    for floats, cost, ready in CASES["H5"]["expected"]["greedy_path_tail"]:
        assert question.cost(floats) == cost
        assert path[tuple(floats)] == pytest.approx(ready, abs=1e-9)
