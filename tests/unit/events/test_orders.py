"""Orders of new units: open until as many came in, the oldest first."""

from datetime import date

import pytest

from events_story import Story
from pacewright.events.fold import fold
from pacewright.events.scan import event_from_text
from pacewright.events.standing import OpenOrder
from pacewright.events.things import Unit
from pacewright.events.units import Ordered, Purchased

MAY, JUNE = date(2026, 5, 4), date(2026, 6, 1)


def open_units(story: Story) -> list[tuple[date, int]]:
    """Due day and units still to come of each open order of motors."""
    return [(one.due_in, one.units) for one in story.now.orders.get("motor", ())]


@pytest.fixture
def story() -> Story:
    """Two motors are ordered for May, then one for June."""
    told = Story()
    told.tell(Ordered, "motor", 2, MAY, "A-1")
    told.tell(Ordered, "motor", 1, JUNE)
    return told


def test_what_comes_in_counts_against_the_oldest_open_order(story: Story) -> None:
    """Three came in: the order of May is met first, then that of June; other kinds count not."""
    assert open_units(story) == [(MAY, 2), (JUNE, 1)]
    story.tell(Purchased, Unit("brake", "K-1"), "store")
    story.tell(Purchased, Unit("motor", "N-1"), "store")
    assert open_units(story) == [(MAY, 1), (JUNE, 1)]
    assert story.now.orders["motor"][0].reference == "A-1"
    story.tell(Purchased, Unit("motor", "N-2"), "store")
    assert open_units(story) == [(JUNE, 1)]
    story.tell(Purchased, Unit("motor", "N-3"), "store")
    assert open_units(story) == []
    assert story.now.orders == {"motor": []}, "that it was ordered once stays known"
    assert story.now.bought == {"motor": 3, "brake": 1}


def test_more_than_was_ordered_may_come_in(story: Story) -> None:
    """A unit bought off the shelf needs no order, and none is open afterwards."""
    for number in range(5):
        story.tell(Purchased, Unit("motor", f"N-{number}"), "store")
    assert open_units(story) == []
    assert story.now.bought["motor"] == 5


def test_an_order_told_late_stands_where_it_was_placed(story: Story) -> None:
    """The oldest is the one ordered first, not the one told first."""
    first = Ordered(story.at().replace(hour=5), "motor", 7, MAY)
    now = fold([first], story.now)
    assert [one.units for one in now.orders["motor"]] == [7, 2, 1]
    assert now.orders["motor"][0] == OpenOrder(first.at, MAY, 7)


def test_no_order_is_due_before_it_was_placed() -> None:
    """The day of the order itself may be."""
    story = Story()
    story.tell(Ordered, "motor", 1, story.at().date())
    reason = story.refused(Ordered, "motor", 1, date(2026, 3, 1))
    assert "due in on 2026-03-01, before 2026-03-02" in reason


def test_an_order_is_booked_by_typed_words() -> None:
    """As a form or the command hands it in."""
    cells = {"at": "2026-03-02T07:30", "unit_kind_id": "motor", "units": "4"}
    event = event_from_text("ordered", {**cells, "due_in": "2026-05-04"})
    assert isinstance(event, Ordered)
    assert (event.units, event.due_in, event.reference) == (4, MAY, "")
