"""The programme on works of every kind: the judge accepts it, and its figures are the best."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pacewright.callin.checks import check_programme
from pacewright.callin.solve import programme
from pacewright.plans.programme import Programme
from unit.callin.cases import random_case


@pytest.mark.parametrize("seed", range(60))
def test_the_judge_accepts_every_programme(seed: int) -> None:
    """Whatever the limits and windows, the programme keeps every rule."""
    works, windows = random_case(seed)
    made = programme(works, windows)
    assert check_programme(works, windows, made) == ()
    placed = {call.vehicle_id for call in made.calls} | {one.vehicle_id for one in made.unplaced}
    end = works.horizon_end()
    must = {w.vehicle_id for w in windows if w.latest and w.latest <= end}
    assert must <= placed


@settings(max_examples=80, deadline=None, derandomize=True)
@given(seed=st.integers(100, 10**9), most=st.integers(1, 60), weeks=st.integers(2, 30))
def test_the_judge_accepts_whatever_is_drawn(seed: int, most: int, weeks: int) -> None:
    """Works of any size and shape drawn at random give a programme that keeps every rule."""
    works, windows = random_case(seed, most, weeks)
    made = programme(works, windows)
    assert check_programme(works, windows, made) == ()
    assert (made.card.status == "optimal") == (made.card.gap == 0 and not _behind(made))


def _behind(made: Programme) -> bool:
    return made.late_weeks > made.late_weeks_bound
