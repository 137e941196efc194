"""The truth behind the tables, and the works before and after its record."""

import pytest

from pacewright.invent.before import emptied
from pacewright.invent.catalogue import KINDS
from pacewright.invent.draws import Draws
from pacewright.invent.truth import in_truth
from pacewright.invent.works import invented_works
from pacewright.works_checks import findings


@pytest.mark.parametrize("kind", KINDS)
def test_truth_is_near_the_tables_but_for_some(kind: str) -> None:
    """Most shares within a twelfth, some far off; certain ones stay, and it is a sound works."""
    works = invented_works(kind, 100, 1)
    true = in_truth(works, Draws(1, "truth"))
    assert findings(true) == ()
    pairs = list(zip(works.operations, true.operations, strict=True))
    for said, is_so in pairs:
        assert said.operation_id == is_so.operation_id
        if said.occurrence_share in (0, 1):
            assert is_so.occurrence_share == said.occurrence_share
    doubtful = [
        is_so.occurrence_share / said.occurrence_share
        for said, is_so in pairs
        if 0 < said.occurrence_share < 1
    ]
    far = [one for one in doubtful if abs(one - 1) > 0.1]
    assert 0 < len(far) < len(doubtful) / 4
    assert all(0.7 <= one <= 1.5 for one in doubtful)


@pytest.mark.parametrize("kind", KINDS)
def test_what_must_be_changed_is_changed_in_truth_too(kind: str) -> None:
    """Must-change units come off every vehicle, in the tables and in truth."""
    works = invented_works(kind, 100, 1)
    true = in_truth(works, Draws(1, "truth"))
    must = [one for one in true.unit_kinds if one.must_change]
    assert must
    assert all(one.removal_share == 1 for one in must)


@pytest.mark.parametrize("kind", KINDS)
def test_emptied_works_has_nobody_inside(kind: str) -> None:
    """All who were inside run again, overhauled a few days ago; the others are as they were."""
    works = invented_works(kind, 300, 1)
    empty = emptied(works)
    assert findings(empty) == ()
    today = works.settings.plan.today
    changed = 0
    for old, new in zip(works.vehicles, empty.vehicles, strict=True):
        assert new.state != "inside"
        if old.state == "inside":
            changed += 1
            assert new.state == "running"
            assert new.last_overhaul is not None
            assert (today - new.last_overhaul).days <= 7
        else:
            assert new == old
    assert changed
