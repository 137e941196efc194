"""The whole line against an event simulation of it: time inside, waits stage by stage."""

from heapq import heapify, heapreplace

import numpy as np
import pytest

from pacewright.pace.solve import line
from pacewright.plans.line import Line
from unit.pace.pace_cases import programme, stage_row, works_of_stages

VEHICLES = 24_000

Row = tuple[float, float, float, int]
"""Least, usual, most days and positions of a stage."""


def simulate(rows: list[Row], pace_a_day: float) -> tuple[float, list[float]]:
    """Mean time inside and mean wait before each stage of a line of whole vehicles [days].

    Each vehicle comes at any time of its day; stages take first come first, with room between.
    """
    draws = np.random.default_rng(3)
    come = np.arange(VEHICLES) / pace_a_day + draws.random(VEHICLES)
    ready, waits = come.copy(), []
    for least, usual, most, positions in rows:
        low, high = (
            1 + 4 * (usual - least) / (most - least),
            1 + 4 * (most - usual) / (most - least),
        )
        stay = least + (most - least) * draws.beta(low, high, VEHICLES)
        free = [-np.inf] * positions
        heapify(free)
        start = np.empty(VEHICLES)
        for place in np.argsort(ready):
            start[place] = max(free[0], ready[place])
            heapreplace(free, start[place] + stay[place])
        waits.append(float((start - ready)[VEHICLES // 10 :].mean()))
        ready = start + stay
    return float((ready - come)[VEHICLES // 10 :].mean()), waits


def line_of(rows: list[Row], pace_a_day: float) -> Line:
    """The same stages as a works of one type."""
    stages = [
        stage_row(
            f"s{n}",
            usual,
            hours_least=8 * least,
            hours_most=8 * most,
            positions=positions,
            follows=f"s{n - 1}" if n else "",
        )
        for n, (least, usual, most, positions) in enumerate(rows)
    ]
    return line(works_of_stages(stages), programme(pace_a_day))


ROOMY: list[Row] = [(0.8, 1, 1.6, 4), (3, 4, 6, 11), (1, 1.5, 3, 5), (0.5, 0.7, 1.2, 3)]
CLOSE: list[Row] = [(0.8, 1, 1.6, 3), (3, 4, 6, 9), (1, 1.5, 3, 4), (0.5, 0.7, 1.2, 2)]


@pytest.mark.parametrize(("rows", "pace_a_day"), [(ROOMY, 2.2), (CLOSE, 1.9), (CLOSE, 2.1)])
def test_time_inside_agrees(rows: list[Row], pace_a_day: float) -> None:
    """Mean time inside within 1 %, each wait within 0.03 days + 40 % (measured)."""
    inside_days, waits = simulate(rows, pace_a_day)
    found = line_of(rows, pace_a_day)
    assert found.turns[0].expected_days == pytest.approx(inside_days, rel=0.01)
    assert found.inside_mean == pytest.approx(pace_a_day * inside_days, rel=0.01)
    for stage, wait in zip(found.stages, waits, strict=True):
        assert stage.wait_hours / 8 == pytest.approx(wait, abs=0.03 + 0.4 * wait)


def test_time_inside_errs_to_the_safe_side_when_full() -> None:
    """At 97 % load of one position after another the line says more waiting than there is."""
    rows: list[Row] = [(0.7, 1, 1.2, 1), (0.7, 0.95, 1.3, 1), (0.8, 0.97, 1.2, 1)]
    inside_days, _ = simulate(rows, 0.98)
    found = line_of(rows, 0.98).turns[0].expected_days
    assert inside_days < found < 1.5 * inside_days
