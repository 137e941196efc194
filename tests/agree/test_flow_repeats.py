"""Mean work after failed tests: the closed form, scipy's geometric law and the simulation."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from pacewright.office.folder import open_works
from pacewright.office.planning import make_plan
from pacewright.shops.repeats import again_hours, repeats_mean
from pacewright.simulate.laws import constant
from queue_flow import Server, holds, queue_table, ran, waits_at
from tiny_flow import stage

EXAMPLES = Path(__file__).parents[2] / "examples"
ALARM = 0.01 / 3
"""One false alarm in a hundred for the file, seeds drawn anew (Bonferroni)."""


@pytest.mark.parametrize("share", [0.3, 0.8, 0.95])
def test_repeats_are_the_failures_before_the_first_success(share: float) -> None:
    """scipy.stats.geom counts trials up to the first success: one less are repeats."""
    assert repeats_mean(share) == pytest.approx(stats.geom(share).mean() - 1, abs=1e-12)


def test_a_test_that_all_pass_adds_nothing() -> None:
    """Share 1: no repeats and no hours."""
    assert repeats_mean(1.0) == 0
    assert again_hours(stage("s0", 3.0)) == 0


@pytest.mark.parametrize("name", ["trolleybus", "tramway"])
def test_the_line_names_every_stage_where_tests_fail(name: str) -> None:
    """One note with each of them; none with a stage that all pass."""
    works = open_works(EXAMPLES / name)[0]
    said = [one for one in make_plan(works).line.notes if "after failed tests" in one]
    assert len(said) == 1
    for one in works.stages:
        assert (f" h at {one.stage_id} (" in said[0]) == (one.first_pass_share < 1)


@pytest.mark.parametrize("share", [0.4, 0.8, 0.95])
def test_simulated_work_after_failed_tests(share: float) -> None:
    """Places for all: time after the first failed test is repeats x (put right + stage)."""
    tested = stage("s0", 3.0, first_pass_share=share, rectify_hours=1.5)
    arrivals = np.arange(12_000) * 600
    table = queue_table([Server(constant(180))], arrivals)
    stages = replace(table.stages, pass_share=np.array([share]), rectify_minutes=np.array([90]))
    table = replace(table, stages=stages)
    again = waits_at(table, ran(table), "inspection")
    holds(again / 60, again_hours(tested), ALARM)
