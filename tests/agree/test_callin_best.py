"""The programme against methods that are not ours: every assignment tried, and CP-SAT.

Source of the expected values: exhaustive search, and OR-Tools CP-SAT (Google, version as
installed) on one yes-or-no for each vehicle and week. Both are run here, nothing is stored.
"""

from datetime import timedelta
from random import Random

import numpy as np
import pytest

from pacewright.callin.checks import check_programme
from pacewright.callin.least_pace import worst_interval
from pacewright.callin.solve import programme
from unit.callin.cases import START, booked_case, random_case
from unit.callin.oracle import oracle_of


@pytest.mark.parametrize("seed", range(1000, 1060))
def test_tiny_works_agree_with_every_assignment_tried(seed: int) -> None:
    """Lateness and life given away equal the best of all assignments, and so do the bounds."""
    works, windows = random_case(seed, most=5, weeks=5)
    made = programme(works, windows)
    best = oracle_of(works, windows).best_by_trying_all()
    assert (made.late_weeks, made.card.objective) == best
    assert (made.late_weeks_bound, made.card.bound) == best
    assert made.card.status == "optimal"


@pytest.mark.parametrize("seed", range(2000, 2018))
def test_small_works_agree_with_a_general_solver(seed: int) -> None:
    """On up to 40 vehicles over 14 weeks both aims equal those of CP-SAT on single vehicles."""
    works, windows = random_case(seed, most=40, weeks=14)
    made = programme(works, windows)
    best = oracle_of(works, windows).best_by_cp_sat()
    assert (made.late_weeks, made.card.objective) == best
    assert made.late_weeks_bound <= best[0]
    assert made.card.bound <= best[1]


@pytest.mark.parametrize("seed", range(1000, 1060))
def test_tiny_works_with_booked_calls_agree_with_every_assignment_tried(seed: int) -> None:
    """Those called in keep their weeks; around them both aims and bounds are the best of all."""
    works, windows = booked_case(seed, most=6, weeks=5)
    made = programme(works, windows)
    assert check_programme(works, windows, made) == ()
    best = oracle_of(works, windows).best_by_trying_all()
    assert (made.late_weeks, made.card.objective) == best
    assert (made.late_weeks_bound, made.card.bound) == best
    assert made.card.status == "optimal"


@pytest.mark.parametrize("seed", range(2000, 2012))
def test_small_works_with_booked_calls_agree_with_a_general_solver(seed: int) -> None:
    """On up to 40 vehicles over 14 weeks, those called in fixed, both aims equal CP-SAT's."""
    works, windows = booked_case(seed, most=40, weeks=14)
    made = programme(works, windows)
    assert check_programme(works, windows, made) == ()
    best = oracle_of(works, windows).best_by_cp_sat()
    assert (made.late_weeks, made.card.objective) == best
    assert made.late_weeks_bound <= best[0]
    assert made.card.bound <= best[1]


@pytest.mark.parametrize("seed", range(3000, 3030))
def test_reliefs_agree_with_a_general_solver(seed: int) -> None:
    """Each kind of limit alone is eased by just what CP-SAT finds needed, or not named at all."""
    works, windows = random_case(seed, most=14, weeks=7)
    made = programme(works, windows)
    oracle = oracle_of(works, windows)
    until = works.settings.plan.firm_weeks - 1
    kinds = {one.kind for one in oracle.limits}
    needed = {kind: oracle.least_easing({kind}, until) for kind in kinds}
    together = oracle.least_easing(kinds, until)
    named = {kind: 0 for kind in kinds}
    joint = 0
    for relief in made.reliefs:
        if "limits together, the least in all" in relief.sentence:
            joint += int(relief.amount)
        else:
            named[relief.kind] += int(relief.amount)
        assert "a little less may do" not in relief.sentence
    assert named == {kind: amount or 0 for kind, amount in needed.items()}
    least_alone = min((n for n in needed.values() if n is not None), default=10**6)
    assert together is not None
    assert joint == (together if together < least_alone else 0)


@pytest.mark.parametrize("seed", range(20))
def test_least_pace_agrees_with_every_interval_tried(seed: int) -> None:
    """The worst interval is the worst of all intervals, counted one by one."""
    rng = np.random.default_rng(seed)
    size = int(rng.integers(1, 30))
    first = rng.integers(0, size, 25)
    last = np.minimum(first + rng.integers(0, 12, 25), size - 1)
    tried = max(
        sum(1 for a, b in zip(first, last, strict=True) if s <= a and b <= t) / (t - s + 1)
        for s in range(size)
        for t in range(s, size)
    )
    start, end, vehicles = worst_interval(first, last, size)
    assert vehicles / (end - start + 1) == tried


@pytest.mark.parametrize("seed", range(20))
def test_least_pace_is_just_enough(seed: int) -> None:
    """At the least pace earliest-limit-first keeps every window; a hair below it does not.

    Vehicles are divisible in time here: a working day passes ``pace`` of them, and what is done
    of each is added up, so the pace need not be a whole number.
    """
    rng = Random(seed)
    size = 25
    first = [rng.randrange(size) for _ in range(30)]
    last = [min(size - 1, a + rng.randrange(10)) for a in first]
    start, end, vehicles = worst_interval(np.array(first), np.array(last), size)
    pace = vehicles / (end - start + 1)

    def all_in_time(daily: float) -> bool:
        left = [1.0] * len(first)
        for day in range(size):
            room = daily
            for one in sorted(range(len(first)), key=last.__getitem__):
                if first[one] <= day and left[one] > 0:
                    done = min(room, left[one])
                    left[one] -= done
                    room -= done
            if any(left[one] > 1e-9 for one in range(len(first)) if last[one] <= day):
                return False
        return True

    assert all_in_time(pace * (1 + 1e-12))
    assert not all_in_time(pace * (1 - 1e-3))


def test_the_calendar_of_the_cases_starts_on_a_monday() -> None:
    """The cases count days from a Monday, so that day 7 n begins a week."""
    assert START.weekday() == 0
    assert (START + timedelta(days=7)).weekday() == 0
