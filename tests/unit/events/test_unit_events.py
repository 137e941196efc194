"""Events of units: removal to fitting, one place each, nothing unserviceable fitted."""

import pytest

from events_story import MOTOR, OTHER_MOTOR, Story, vehicle
from pacewright.events.gate import Admitted, Arrived
from pacewright.events.record import Attended, Overridden
from pacewright.events.stages import Held
from pacewright.events.standing import OffVehicle
from pacewright.events.things import Cause, Condition, Overridable, Piece, Unit, Verdict
from pacewright.events.units import (
    Cleared,
    Fitted,
    Issued,
    Purchased,
    Quarantined,
    Received,
    Reconditioned,
    Removed,
    Robbed,
    Scrapped,
    SeenOn,
    Sent,
    UnitEntered,
    UnitFound,
)

ONE, TWO = vehicle("11"), vehicle("12")
NEW = Unit("motor", "M-9")


@pytest.fixture
def story() -> Story:
    """Vehicles 11 and 12 at strip; motor M-1 is off 11; a new motor M-9 is in the store."""
    told = Story()
    told.let_in("11", "strip", 1)
    told.let_in("12", "strip", 2)
    told.tell(Removed, MOTOR, ONE)
    told.tell(Purchased, NEW, "store")
    return told


def test_a_unit_goes_round_from_removal_to_fitting(story: Story) -> None:
    """Off, sent, received, inspected, made good, issued, fitted: place and condition follow."""
    unit = story.now.units[MOTOR]
    assert (unit.condition, unit.place_id, unit.onto) == (Condition.UNSERVICEABLE, "strip", None)
    assert story.now.whole("11").owed == {"motor": 1}
    story.tell(Sent, MOTOR, "motors")
    assert (unit.place_id, unit.on_way) == ("motors", True)
    story.tell(Received, MOTOR, "motors")
    assert (unit.place_id, unit.on_way) == ("motors", False)
    story.tell(UnitFound, MOTOR, "bearing", Verdict.REPLACE, 0.31, 0.25, "mm")
    assert unit.found["bearing"].measurement == pytest.approx(0.31)
    story.tell(Reconditioned, MOTOR, "motors")
    assert unit.condition is Condition.SERVICEABLE
    assert (unit.made_good_at, unit.found) == (story.at(), {})
    story.tell(Received, MOTOR, "store")
    story.tell(Issued, MOTOR, ONE)
    assert unit.issued_to == ONE
    story.tell(Fitted, MOTOR, ONE)
    assert (unit.onto, unit.place_id, unit.issued_to) == (ONE, "", None)
    assert story.now.whole("11").owed == {}
    assert story.now.units_on("11") == (MOTOR,)


def test_units_off_vehicles_are_told_by_condition(story: Story) -> None:
    """The counts of a kind stand apart; fitted and scrapped ones are in none of them."""
    story.tell(UnitEntered, OTHER_MOTOR, Condition.UNSERVICEABLE, "store")
    story.tell(UnitEntered, Unit("motor", "M-3"), Condition.QUARANTINE, "cage")
    story.tell(UnitEntered, Unit("brake", "K-3"), Condition.SERVICEABLE, "store")
    assert story.now.off_vehicle("motor") == OffVehicle(1, 2, 1)
    story.tell(Fitted, NEW, ONE)
    story.tell(Scrapped, OTHER_MOTOR, "cracked")
    assert story.now.off_vehicle("motor") == OffVehicle(0, 1, 1)


def test_a_unit_is_on_one_thing_only(story: Story) -> None:
    """What is fitted must come off before anything else happens to it."""
    story.tell(Fitted, NEW, ONE)
    for refused in (
        story.refused(Fitted, NEW, TWO),
        story.refused(Sent, NEW, "motors"),
        story.refused(Received, NEW, "store"),
        story.refused(Issued, NEW, TWO),
        story.refused(Scrapped, NEW),
        story.refused(Quarantined, NEW, "recall"),
    ):
        assert "it is on vehicle 11. A unit is in one place." in refused
    assert "it is on vehicle 11, not on vehicle 12" in story.refused(Removed, NEW, TWO)
    assert "it is at strip, not on vehicle 11" in story.refused(Removed, MOTOR, ONE)


@pytest.mark.parametrize("condition", [Condition.UNSERVICEABLE, Condition.QUARANTINE])
def test_nothing_but_a_serviceable_unit_is_issued_or_fitted(
    story: Story, condition: Condition
) -> None:
    """Unserviceable and quarantined units are refused, also under an override."""
    story.tell(UnitEntered, OTHER_MOTOR, condition, "store")
    story.tell(Overridden, ONE, Overridable.OWED, "hurry", "P. Planner")
    assert f"it is {condition.value}" in story.refused(Issued, OTHER_MOTOR, ONE)
    assert f"it is {condition.value}" in story.refused(Fitted, OTHER_MOTOR, ONE)


def test_a_scrapped_unit_is_gone(story: Story) -> None:
    """Nothing happens to scrap, and scrap is not entered."""
    story.tell(Scrapped, MOTOR, "cracked")
    assert "it was scrapped" in story.refused(Reconditioned, MOTOR)
    assert "it was scrapped" in story.refused(Fitted, MOTOR, ONE)
    assert "it was scrapped" in story.refused(Removed, MOTOR, ONE)
    assert "on the books: it was scrapped" in story.refused(Purchased, MOTOR, "store")
    refused = story.refused(UnitEntered, Unit("motor", "M-4"), Condition.SCRAPPED, "store")
    assert "No scrap is entered" in refused


def test_a_verdict_takes_out_of_use_but_never_puts_into_use(story: Story) -> None:
    """Verdict use leaves a removed unit unserviceable; any other makes a good one unserviceable."""
    story.tell(UnitFound, MOTOR, "bearing", Verdict.USE)
    assert story.now.units[MOTOR].condition is Condition.UNSERVICEABLE
    story.tell(Issued, NEW, ONE)
    story.tell(UnitFound, NEW, "shaft", Verdict.REPAIR)
    assert story.now.units[NEW].condition is Condition.UNSERVICEABLE
    assert story.now.units[NEW].issued_to is None


def test_a_condemned_unit_is_not_made_good(story: Story) -> None:
    """After verdict scrap a unit is scrapped, unless a new finding on the item takes it back."""
    story.tell(UnitFound, MOTOR, "frame", Verdict.SCRAP)
    assert "verdict scrap on frame" in story.refused(Reconditioned, MOTOR)
    story.tell(UnitFound, MOTOR, "frame", Verdict.REPAIR)
    story.tell(Reconditioned, MOTOR)


def test_quarantine_lasts_until_it_is_cleared(story: Story) -> None:
    """A quarantined unit is not made good or scrapped; cleared it is unserviceable, not good."""
    assert "it is serviceable" in story.refused(Cleared, NEW, "I. I.")
    story.tell(Quarantined, NEW, "maker's warning")
    assert "in quarantine" in story.refused(Reconditioned, NEW)
    assert "in quarantine" in story.refused(Scrapped, NEW)
    assert "in quarantine" in story.refused(Quarantined, NEW, "again")
    story.tell(Sent, NEW, "laboratory")
    story.tell(Cleared, NEW, "I. Inspector")
    assert story.now.units[NEW].condition is Condition.UNSERVICEABLE


def test_a_unit_issued_for_one_goes_to_no_other(story: Story) -> None:
    """Issued units are kept for their vehicle until they are received back."""
    story.tell(Removed, OTHER_MOTOR, TWO)
    story.tell(Issued, NEW, ONE)
    assert "issued for vehicle 11" in story.refused(Fitted, NEW, TWO)
    assert "issued for vehicle 11" in story.refused(Issued, NEW, TWO)
    story.tell(Received, NEW, "store")
    story.tell(Fitted, NEW, TWO)


def test_a_unit_goes_only_where_one_is_owed_unless_overridden(story: Story) -> None:
    """A wrong vehicle number is caught; a modification is let through once by a named person."""
    assert "no motor is owed to vehicle 12" in story.refused(Fitted, NEW, TWO)
    story.tell(Overridden, TWO, Overridable.OWED, "second motor", "W. Manager")
    story.tell(Fitted, NEW, TWO)
    story.tell(Purchased, Unit("motor", "M-8"), "store")
    assert "no motor is owed" in story.refused(Fitted, Unit("motor", "M-8"), TWO)


def test_an_override_is_not_used_by_what_needs_none(story: Story) -> None:
    """A fitting that is owed leaves the permit for the next."""
    story.tell(Overridden, ONE, Overridable.OWED, "second motor", "W. Manager")
    story.tell(Fitted, NEW, ONE)
    assert story.now.whole("11").permits == [Overridable.OWED]


def test_units_come_off_and_go_on_inside_the_works_only(story: Story) -> None:
    """A vehicle in service or at the gate is not worked on; a safety hold stops fitting."""
    assert "does not know it" in story.refused(Removed, Unit("motor", "M-5"), vehicle("13"))
    story.tell(Arrived, "13", "T1")
    assert "it is at gate" in story.refused(Removed, Unit("motor", "M-5"), vehicle("13"))
    assert "it is at gate" in story.refused(Issued, NEW, vehicle("13"))
    story.tell(Admitted, "13")
    story.tell(Removed, Unit("motor", "M-5"), vehicle("13"))
    story.tell(Held, ONE, Cause.SAFETY, reason="not on supports")
    assert "not on supports" in story.refused(Fitted, NEW, ONE)
    assert "not on supports" in story.refused(Removed, Unit("motor", "M-6"), ONE)
    assert "does not know it" in story.refused(Fitted, NEW, Piece("body", "B-x"))


def test_a_safety_hold_on_the_whole_covers_its_pieces_and_units(story: Story) -> None:
    """A hold on the body of a vehicle in pieces stops work told of the number, and robbing."""
    unit = story.fit_new("12", "M-8")
    body, _ = story.take_apart("12")
    story.tell(Held, body, Cause.SAFETY, reason="not on supports")
    assert "not on supports" in story.refused(Removed, unit, TWO)
    assert "not on supports" in story.refused(Robbed, unit, TWO, ONE, "A. Able", "B. Best")
    story.tell(Removed, OTHER_MOTOR, Piece("frame", "F-12"))
    story.tell(Issued, NEW, TWO)
    assert "not on supports" in story.refused(Fitted, NEW, TWO)
    story.tell(Robbed, NEW, TWO, ONE, "A. Able", "B. Best")


def test_a_unit_not_on_the_books_is_told(story: Story) -> None:
    """A serial never heard of is not sent or fitted; one heard of is not entered again."""
    strange = Unit("motor", "M-77")
    assert "does not know it" in story.refused(Sent, strange, "motors")
    assert "does not know it" in story.refused(Fitted, strange, ONE)
    assert "on the books: it is at store" in story.refused(Purchased, NEW, "store")
    same_serial = Unit("brake", "M-9")
    story.tell(UnitEntered, same_serial, Condition.SERVICEABLE, "store")
    assert story.now.units[same_serial] is not story.now.units[NEW]


def test_robbing_needs_two_names_and_leaves_a_debt(story: Story) -> None:
    """A fitted unit is robbed with two approvals; its vehicle is owed one; a register keeps it."""
    story.tell(Fitted, NEW, ONE)
    story.tell(Removed, OTHER_MOTOR, TWO)
    once = story.refused(Robbed, NEW, ONE, TWO, "A. Able", " a. able ")
    assert "approved it twice" in once
    assert "not on it" not in once
    assert "on vehicle 11" in story.refused(Robbed, NEW, TWO, ONE, "A. Able", "B. Best")
    robbed = story.tell(Robbed, NEW, ONE, TWO, "A. Able", "B. Best", "12 is promised today")
    assert story.now.robberies == [robbed]
    assert story.now.whole("11").owed == {"motor": 1}
    assert story.now.units[NEW].issued_to == TWO
    assert "issued for vehicle 12" in story.refused(Fitted, NEW, ONE)
    story.tell(Fitted, NEW, TWO)
    assert story.now.whole("12").owed == {}


def test_an_issued_unit_is_robbed_without_a_second_debt(story: Story) -> None:
    """What was only issued was never made up for, so the debt stays as it is."""
    story.tell(Removed, OTHER_MOTOR, TWO)
    assert "issued, not robbed" in story.refused(Robbed, NEW, ONE, TWO, "A. Able", "B. Best")
    story.tell(Issued, NEW, ONE)
    story.tell(Robbed, NEW, ONE, TWO, "A. Able", "B. Best")
    assert story.now.whole("11").owed == {"motor": 1}
    story.tell(Fitted, NEW, TWO)


def test_only_a_serviceable_unit_is_robbed(story: Story) -> None:
    """A unit found faulty on a vehicle is not put on another."""
    story.tell(Fitted, NEW, ONE)
    story.tell(UnitFound, NEW, "brushes", Verdict.REPAIR)
    assert "it is unserviceable" in story.refused(Robbed, NEW, ONE, TWO, "A. Able", "B. Best")


def test_a_unit_changed_at_a_depot_is_put_right_by_seeing_it(story: Story) -> None:
    """Seen on another vehicle it is there, owed by nobody, and serviceable only if it was so."""
    story.tell(Fitted, NEW, ONE)
    assert "say so already" in story.refused(SeenOn, NEW, ONE, "S. Storeman")
    assert "not on the books" in story.refused(SeenOn, NEW, vehicle("99"), "S. Storeman")
    story.tell(SeenOn, NEW, TWO, "S. Storeman")
    assert story.now.units_on("12") == (NEW,)
    assert story.now.units_on("11") == ()
    assert story.now.units[NEW].condition is Condition.SERVICEABLE
    _, frame = story.take_apart("12")
    story.tell(SeenOn, NEW, frame, "S. Storeman")
    assert story.now.units[NEW].onto == frame
    assert "say so already" in story.refused(SeenOn, NEW, frame, "S. Storeman")
    story.tell(SeenOn, NEW, TWO, "S. Storeman")
    story.tell(SeenOn, MOTOR, TWO, "S. Storeman")
    assert story.now.units[MOTOR].condition is Condition.UNSERVICEABLE
    story.tell(SeenOn, Unit("motor", "M-6"), TWO, "S. Storeman")
    story.tell(Removed, NEW, TWO)
    assert story.now.whole("12").owed == {"motor": 1}


def test_attendance_keeps_the_last_word_for_a_day() -> None:
    """A second count for the same shop, trade and day replaces the first."""
    story = Story()
    day = story.at().date()
    story.tell(Attended, "body-shop", "fitter", day, 7.0, 56.0)
    story.tell(Attended, "body-shop", "fitter", day, 6.0, 46.5)
    assert story.now.attended == {("body-shop", "fitter", day): (6.0, 46.5)}


def test_time_of_a_unit_does_not_run_back(story: Story) -> None:
    """An event of a unit before its last one, or before the vehicle was let in, is refused."""
    story.tell(Sent, MOTOR, "motors")
    story.minute -= 5
    assert "its last event" in story.refused(Received, MOTOR, "motors")
    story.minute = 0
    assert "when it was let in" in story.refused(Removed, Unit("motor", "M-5"), ONE)
