"""The two example works: planned, judged, and compared with what was stored."""

import pytest

from expected_plans import KINDS, planned, said, stored
from pacewright.callin.checks import check_programme
from pacewright.floats.checks import check_floats
from pacewright.pace.checks import check_line

LEAST = {
    "trolleybus": {
        "vehicles": 1850,
        "vehicle_types": 2,
        "depots": 11,
        "shops": 10,
        "stages": 25,
        "unit_kinds": 40,
        "operations": 120,
        "trades": 8,
        "campaigns": 1,
    },
    "tramway": {"vehicles": 200, "vehicle_types": 2, "shops": 6, "stages": 15, "unit_kinds": 15},
}
"""What each example must hold at the least; the figures are those the works were asked to have."""


@pytest.mark.parametrize("kind", KINDS)
def test_example_is_as_rich_as_promised(kind: str) -> None:
    """Each example holds as many of each thing as a real works would, and every vehicle state."""
    _, works = planned(kind)
    for table, least in LEAST[kind].items():
        assert len(getattr(works, table)) >= least, table
    assert {one.state for one in works.vehicles} >= {"running", "inside", "withdrawn"}
    assert works.settings.calendar.holidays
    assert works.settings.calendar.shutdowns


def test_tram_bogies_come_in_pairs_or_threes() -> None:
    """The tramway's types carry two or three bogies."""
    _, works = planned("tramway")
    assert {one.count for one in works.assemblies if one.count > 1} == {2, 3}


@pytest.mark.parametrize("kind", KINDS)
def test_judges_accept_the_plan_of_the_example(kind: str) -> None:
    """The independent judges of programme, line and floats find nothing wrong."""
    plan, works = planned(kind)
    assert check_programme(works, plan.windows, plan.programme) == ()
    assert check_line(works, plan.programme, plan.line) == ()
    assert check_floats(works, plan.line, plan.floats) == ()


@pytest.mark.parametrize("kind", KINDS)
def test_example_says_what_was_stored(kind: str) -> None:
    """The plan of the example is the one stored (see tests/expected_plans.py to store it anew)."""
    assert said(kind) == stored(kind)
