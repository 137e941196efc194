"""Roles and rights of the works."""

import pytest

from pacewright.events.registry import KINDS
from pacewright.office.rights import INSPECTORS_ALONE, NEEDED, RIGHTS, Right, Role, may, right_for


def test_every_kind_of_event_needs_a_right() -> None:
    """No kind can be booked without somebody having thought about who may."""
    assert set(NEEDED) == set(KINDS)


def test_every_right_has_somebody_and_every_role_sees() -> None:
    """No right is nobody's, and everyone with an account may look."""
    given = frozenset().union(*RIGHTS.values())
    assert given == frozenset(Right)
    assert set(RIGHTS) == set(Role)
    assert all(may(role, Right.SEE) for role in Role)


@pytest.mark.parametrize("right", sorted(INSPECTORS_ALONE))
def test_inspectors_work_is_nobody_elses(right: Right) -> None:
    """Who is measured by the date does not judge the work (common practice, no source)."""
    assert [role for role in Role if may(role, right)] == [Role.INSPECTOR]


def test_a_viewer_only_sees() -> None:
    """The least role books nothing."""
    assert RIGHTS[Role.VIEWER] == {Right.SEE}


def test_ending_a_safety_hold_needs_an_inspector() -> None:
    """Any other hold a foreman ends; a safety hold he does not."""
    assert right_for("freed", "part") is Right.BOOK_WORK
    assert right_for("freed", "safety") is Right.CLEAR
    assert not may(Role.PLANNER, right_for("freed", "safety"))
