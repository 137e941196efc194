"""A robbing that waits for its second approval: asked once, declined, booked, or out of date."""

from datetime import datetime, timedelta

import pytest

from events_story import OTHER_MOTOR, Story, vehicle
from pacewright.events.fold import why_not
from pacewright.events.things import Unit, Verdict
from pacewright.events.units import (
    Fitted,
    Purchased,
    Removed,
    Robbed,
    RobbingAsked,
    RobbingDeclined,
    UnitFound,
)

ONE, TWO = vehicle("11"), vehicle("12")
UNIT = Unit("motor", "M-9")
FIRST, SECOND = "A. Able", "B. Best"


@pytest.fixture
def story() -> Story:
    """Two vehicles inside; the first has a motor made good, the second wants one."""
    story = Story()
    story.let_in("11", "strip", 1)
    story.let_in("12", "strip", 2)
    story.tell(Removed, Unit("motor", "M-5"), ONE)
    story.tell(Purchased, UNIT, "store")
    story.tell(Fitted, UNIT, ONE)
    story.tell(Removed, OTHER_MOTOR, TWO)
    return story


def ask(story: Story, hours: float = 24) -> RobbingAsked:
    """The first approves."""
    asked = story.tell(RobbingAsked, UNIT, ONE, TWO, FIRST, until(story, hours), "12 goes first")
    assert isinstance(asked, RobbingAsked)
    return asked


def until(story: Story, hours: float) -> datetime:
    """So long from the next minute on."""
    return story.at() + timedelta(hours=hours)


def test_what_is_asked_for_waits_and_moves_nothing(story: Story) -> None:
    """The unit stays where it is; the case stands in the standing until it is booked."""
    before = story.now.copy()
    asked = ask(story)
    assert story.now.robbing_asked == {UNIT: asked}
    assert story.now.units == before.units
    assert story.now.whole("11").owed == {}
    assert before.robbing_asked == {}
    story.tell(Robbed, UNIT, ONE, TWO, FIRST, SECOND, "12 goes first")
    assert story.now.robbing_asked == {}
    assert story.now.whole("11").owed == {"motor": 1}


def test_a_unit_is_asked_for_once_until_its_time_is_over(story: Story) -> None:
    """A second asking is told of the first; after its time it takes the place of it."""
    ask(story, 0.1)
    said = story.refused(RobbingAsked, UNIT, ONE, TWO, SECOND, until(story, 5))
    assert FIRST in said
    assert "asked for once at a time" in said
    story.minute += 10
    again = story.tell(RobbingAsked, UNIT, ONE, TWO, SECOND, until(story, 5))
    assert story.now.robbing_asked == {UNIT: again}


@pytest.mark.parametrize("hours", [0, -1, 14 * 24 + 1])
def test_a_second_approval_is_waited_for_a_while_only(story: Story, hours: float) -> None:
    """Neither an end that is over nor one beyond fourteen days is taken."""
    said = story.refused(RobbingAsked, UNIT, ONE, TWO, FIRST, until(story, hours))
    assert "fourteen days at most" in said


def test_asked_is_only_what_could_be_robbed(story: Story) -> None:
    """The rules of robbing hold when it is asked for already."""
    assert "robbed from what it is on" in story.refused(
        RobbingAsked, UNIT, TWO, ONE, FIRST, until(story, 5)
    )
    story.tell(UnitFound, UNIT, "brushes", Verdict.REPAIR)
    assert "it is unserviceable" in story.refused(
        RobbingAsked, UNIT, ONE, TWO, FIRST, until(story, 5)
    )


def test_declined_is_what_waits_and_nothing_else(story: Story) -> None:
    """Refused or withdrawn it waits no more, and may be asked for anew."""
    assert "no robbing of it waits" in story.refused(RobbingDeclined, UNIT, SECOND, "not now")
    ask(story)
    early = RobbingDeclined(story.at() - timedelta(minutes=1), UNIT, SECOND, "not now")
    assert "order of time" in str(why_not(story.now, early))
    story.tell(RobbingDeclined, UNIT, SECOND, "the first one is promised too")
    assert story.now.robbing_asked == {}
    ask(story)
