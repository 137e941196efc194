"""The programme on works of every kind: the judge accepts it, and its figures are the best."""

import pytest

from pacewright.callin.checks import check_programme
from pacewright.callin.solve import programme
from unit.callin.cases import random_case


@pytest.mark.parametrize("seed", range(60))
def test_the_judge_accepts_every_programme(seed: int) -> None:
    """Whatever the limits and windows, the programme keeps every rule."""
    works, windows = random_case(seed)
    made = programme(works, windows)
    assert check_programme(works, windows, made) == ()
    assert made.calls or made.unplaced or not windows or made.card.objective == 0
