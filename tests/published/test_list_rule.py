"""The list rule against the known optima of twenty projects of a public library of cases.

Source: 20 single-mode cases of set J30 of the project scheduling problem library PSPLIB (Kolisch
and Sprecher 1997), optimal makespans as published with it; data in data/psplib-j30.json.
"""

import json
from pathlib import Path
from typing import Any

import pytest

from pacewright.control.list_rule import Job, list_schedule

CASES: list[dict[str, Any]] = json.loads(
    (Path(__file__).parent / "data" / "psplib-j30.json").read_text()
)


def jobs_of(case: dict[str, Any]) -> list[Job]:
    """The jobs of a case, ranked by latest finish on the way without limits."""
    lengths, arcs = case["durations"], [tuple(arc[:2]) for arc in case["arcs"]]
    base = min(min(arc) for arc in arcs)
    before: list[list[int]] = [[] for _ in lengths]
    after: list[list[int]] = [[] for _ in lengths]
    for first, second in arcs:
        before[second - base].append(first - base)
        after[first - base].append(second - base)
    latest = [0.0] * len(lengths)
    for place in reversed(range(len(lengths))):
        latest[place] = min((latest[one] - lengths[one] for one in after[place]), default=0.0)
    return [
        Job(
            slots=lengths[place],
            uses={str(n): need for n, need in enumerate(case["demands"][place]) if need},
            after=tuple(before[place]),
            rank=(latest[place],),
        )
        for place in range(len(lengths))
    ]


def makespan(case: dict[str, Any]) -> int:
    """The makespan by the list rule, after checking that nothing is used beyond its limit."""
    jobs = jobs_of(case)
    able = {str(n): float(most) for n, most in enumerate(case["capacities"])}
    starts = list_schedule(jobs, able, sum(case["durations"]) + 1)
    ends = []
    for job, start in zip(jobs, starts, strict=True):
        assert start is not None
        for one in job.after:
            forerunner = starts[one]
            assert forerunner is not None
            assert start >= forerunner + jobs[one].slots
        ends.append(start + job.slots)
    for slot in range(max(ends)):
        for key, most in able.items():
            used = sum(
                job.uses.get(key, 0)
                for job, start in zip(jobs, starts, strict=True)
                if start is not None and start <= slot < start + job.slots
            )
            assert used <= most
    return max(ends)


@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_never_below_the_optimum_and_never_far_above(case: dict[str, Any]) -> None:
    """A possible schedule, not shorter than the proven optimum, and at most 30 % longer."""
    assert case["lb"] == case["ub"]
    assert case["ub"] <= makespan(case) <= 1.3 * case["ub"]


def test_the_mean_gap_is_what_the_docs_say() -> None:
    """Over the twenty cases, most of them hard ones, 15 % above the optimum, the worst 27 %."""
    gaps = [makespan(case) / case["ub"] - 1 for case in CASES]
    assert round(sum(gaps) / len(gaps), 2) == 0.15
    assert round(max(gaps), 2) == 0.27
