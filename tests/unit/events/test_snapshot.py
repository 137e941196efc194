"""A standing written and read back."""

import gc
from datetime import timedelta

import pytest

from events_story import BODY, MOTOR, Story, vehicle
from pacewright.events.gate import Called, OdometerRead, Promised, Released
from pacewright.events.record import Attended, Overridden
from pacewright.events.snapshot import FORM, StaleSnapshotError, read_snapshot, write_snapshot
from pacewright.events.stages import Found, Held, PutOutOfUse, Tested, WorkStarted
from pacewright.events.standing import Standing
from pacewright.events.things import Cause, Overridable, Unit, Verdict
from pacewright.events.units import (
    Ordered,
    Purchased,
    Quarantined,
    Removed,
    Robbed,
    RobbingAsked,
    Sent,
    UnitFound,
)


def full_story() -> Story:
    """Something of everything a standing can hold."""
    story = Story()
    day = story.at().date()
    story.let_in("10", "strip", 3)
    story.tell(Promised, "10", day)
    story.tell(Released, "10", "I. I.")
    story.tell(Called, "13", "T1", "east", day)
    story.let_in("11", "strip", 1)
    story.let_in("12", "strip", 2)
    story.tell(OdometerRead, "11", 1234.5)
    unit = story.fit_new("11", "M-9")
    story.tell(Removed, MOTOR, vehicle("12"))
    story.tell(Robbed, unit, vehicle("11"), vehicle("12"), "A. Able", "B. Best")
    asked = (vehicle("12"), vehicle("11"), "A. Able", story.at() + timedelta(days=1))
    story.tell(RobbingAsked, unit, *asked)
    story.tell(UnitFound, MOTOR, "shaft", Verdict.REPAIR, 0.3, 0.2, "mm", "ab" * 32)
    story.tell(Sent, MOTOR, "motors")
    story.tell(Quarantined, Unit("motor", "M-9-old"), "recall")
    story.tell(Ordered, "brake", 3, day, "A-1")
    story.tell(Purchased, Unit("brake", "K-9"), "store")
    story.tell(PutOutOfUse, "paint", 1, "fan")
    story.tell(Attended, "body-shop", "fitter", day, 7.0, 56.0)
    story.tell(Tested, vehicle("12"), "brake", passed=True, reading=5.5, reading_unit="m/s2")
    story.tell(Found, vehicle("12"), "floor", Verdict.REPAIR)
    story.tell(Overridden, vehicle("12"), Overridable.ROUTE, "booth free", "W. Manager")
    story.take_apart("11")
    story.tell(Held, BODY, Cause.SAFETY, reason="supports")
    story.tell(WorkStarted, vehicle("12"), "strip", "fitter")
    return story


def test_a_standing_is_read_back_equal_and_goes_on_alike() -> None:
    """Everything kept comes back, and further events change both alike."""
    story = full_story()
    back = read_snapshot(write_snapshot(story.now))
    assert back == story.now
    twin = Story()
    twin.now, twin.minute = back, story.minute
    for one in (story, twin):
        one.tell(Promised, "12", one.at().date())
        one.tell(Sent, MOTOR, "store")
    assert back == story.now
    assert write_snapshot(back) == write_snapshot(story.now)


def test_a_copy_shares_nothing() -> None:
    """Events told to a copy leave the first standing as it was."""
    story = full_story()
    before = write_snapshot(story.now)
    twin = Story()
    twin.now, twin.minute = story.now.copy(), story.minute
    assert twin.now == story.now
    twin.let_in("14", "strip", 4)
    twin.tell(Found, vehicle("12"), "roof", Verdict.SCRAP)
    twin.tell(UnitFound, MOTOR, "winding", Verdict.SCRAP)
    twin.tell(OdometerRead, "11", 2000.0)
    twin.tell(Held, vehicle("12"), Cause.PART)
    twin.tell(Ordered, "brake", 1, story.at().date())
    twin.tell(Purchased, Unit("brake", "K-8"), "store")
    twin.tell(Removed, Unit("brake", "K-1"), vehicle("12"))
    assert write_snapshot(story.now) == before


def test_an_empty_standing_is_read_back() -> None:
    """Nothing is something too."""
    assert read_snapshot(write_snapshot(Standing())) == Standing()


@pytest.mark.parametrize("written", [b"", b"{}", b"[1]", b'{"form": 1}', b"\xff"])
def test_what_is_no_snapshot_is_refused(written: bytes) -> None:
    """A broken snapshot is refused, so that the record is folded anew."""
    with pytest.raises(StaleSnapshotError):
        read_snapshot(written)
    assert gc.isenabled()


def test_a_snapshot_of_another_form_is_refused() -> None:
    """Another version's snapshot is not guessed at."""
    form = f'"form":{FORM}'.encode()
    written = write_snapshot(Standing()).replace(form, b'"form":99')
    with pytest.raises(StaleSnapshotError, match="form 99"):
        read_snapshot(written)
