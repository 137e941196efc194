"""Events at the gate: call-in to release."""

from datetime import date, datetime

import pytest

from events_story import MOTOR, OTHER_MOTOR, START, Story, vehicle
from pacewright.events.fold import ImpossibleEventError, fold, take, why_not
from pacewright.events.gate import (
    Admitted,
    Arrived,
    Called,
    CalledOff,
    OdometerRead,
    Promised,
    Released,
    TurnedBack,
    Withdrawn,
)
from pacewright.events.identity import Married, Stripped
from pacewright.events.record import Overridden
from pacewright.events.stages import Failed, Freed, Held, Moved, Rectified, Tested, WorkStarted
from pacewright.events.standing import Phase
from pacewright.events.things import Cause, Overridable, Unit, Verdict
from pacewright.events.units import Fitted, Purchased, Reconditioned, Removed, UnitFound


def test_a_vehicle_is_followed_from_call_to_release() -> None:
    """Each event at the gate moves the vehicle one phase on, and release closes the visit."""
    story = Story()
    story.tell(Called, "11", "T1", "east", date(2026, 3, 4))
    one = story.now.vehicles["11"]
    assert (one.phase, one.due_in, one.depot_id) == (Phase.CALLED, date(2026, 3, 4), "east")
    story.tell(Arrived, "11", "T1")
    assert (one.phase, one.depot_id) == (Phase.AT_GATE, "east")
    story.tell(Admitted, "11")
    assert story.now.inside() == (one,)
    assert story.now.whole("11").stands
    admitted = story.at()
    story.tell(Moved, vehicle("11"), "strip", 2)
    story.tell(Promised, "11", date(2026, 3, 20))
    story.tell(Promised, "11", date(2026, 3, 24))
    assert (one.first_promise, one.promise) == (date(2026, 3, 20), date(2026, 3, 24))
    story.tell(Stripped, "11")
    assert one.stripped_at == story.at()
    story.tell(Released, "11", "I. Inspector")
    assert one.phase is Phase.IN_SERVICE
    assert one.visits[0].admitted_at == admitted
    assert one.visits[0].released_at == story.at()
    assert one.visits[0].first_promise == date(2026, 3, 20)
    assert one.visits[0].last_promise == date(2026, 3, 24)
    assert one.first_promise is None
    assert story.now.occupied == {}
    assert not story.now.whole("11").stands
    story.let_in("11")
    assert one.phase is Phase.INSIDE


def test_phases_are_not_skipped() -> None:
    """A vehicle is let in from the gate only, comes from service only, leaves from inside only."""
    story = Story()
    assert "does not know it" in story.refused(Admitted, "11")
    assert "does not know it" in story.refused(Promised, "11", date(2026, 3, 20))
    assert "does not know it" in story.refused(Released, "11", "I. Inspector")
    story.tell(Arrived, "11", "T1")
    assert "it is at gate" in story.refused(Arrived, "11", "T1")
    assert "it is at gate" in story.refused(Released, "11", "I. Inspector")
    story.tell(Admitted, "11")
    assert "it is inside" in story.refused(Called, "11", "T1", "east", date(2026, 4, 1))
    assert "it is inside" in story.refused(Admitted, "11")


def test_a_call_can_be_called_off_and_a_vehicle_turned_back() -> None:
    """Both leave the vehicle in service with nothing promised; neither is done to one inside."""
    story = Story()
    assert "does not know it" in story.refused(CalledOff, "11")
    story.tell(Called, "11", "T1", "east", date(2026, 3, 4))
    story.tell(Promised, "11", date(2026, 3, 20))
    story.tell(CalledOff, "11", "wanted in traffic")
    one = story.now.vehicles["11"]
    assert (one.phase, one.due_in, one.first_promise) == (Phase.IN_SERVICE, None, None)
    assert "it is in service" in story.refused(TurnedBack, "11")
    story.tell(Arrived, "11", "T1")
    story.tell(Held, vehicle("11"), Cause.GATE)
    assert "it is at gate" in story.refused(CalledOff, "11")
    story.tell(TurnedBack, "11", "not the one called")
    assert (one.phase, one.arrived_at, one.visits) == (Phase.IN_SERVICE, None, [])
    assert story.now.whole("11").holds == {}
    assert "it is in service" in story.refused(Admitted, "11")


def test_odometer_readings_stand_in_order_and_do_not_fall() -> None:
    """A late entry finds its place in time; one that would fall is refused naming both."""
    story = Story()
    story.tell(OdometerRead, "11", 1000.0)
    story.minute = 100
    story.tell(OdometerRead, "11", 1200.0)
    story.minute = 50
    story.tell(OdometerRead, "11", 1100.0)
    assert [km for _, km in story.now.vehicles["11"].odometer] == [1000.0, 1100.0, 1200.0]
    reason = story.refused(OdometerRead, "11", 1300.0)
    assert "1300" in reason
    assert "1200" in reason
    assert "1100" in story.refused(OdometerRead, "11", 900.0)
    story.tell(OdometerRead, "11", 1100.0)


def test_no_release_on_a_failure_a_hold_or_work_under_way() -> None:
    """Failed tests, failed stages, safety holds and work under way each stop a release."""
    story = Story()
    story.let_in()
    story.tell(Tested, vehicle("11"), "brake", passed=False, reading=4.1, reading_unit="m/s2")
    assert "failed and not passed since: brake" in story.refused(Released, "11", "I. I.")
    story.tell(Tested, vehicle("11"), "brake", passed=True, reading=5.2, reading_unit="m/s2")
    story.tell(Failed, vehicle("11"), "strip", "door")
    assert "stage strip" in story.refused(Released, "11", "I. I.")
    story.tell(Rectified, vehicle("11"), "strip")
    story.tell(Held, vehicle("11"), Cause.SAFETY, reason="crack in a wheel")
    assert "crack in a wheel" in story.refused(Released, "11", "I. I.")
    story.tell(Freed, vehicle("11"), Cause.SAFETY, "I. I.")
    story.tell(WorkStarted, vehicle("11"), "strip", "fitter")
    assert "at work on it: fitter" in story.refused(Released, "11", "I. I.")


def test_no_release_on_a_failed_test_of_an_assembly() -> None:
    """A test failed by the frame before marriage stops the release until it is passed since."""
    story = Story()
    story.let_in()
    body, frame = story.take_apart()
    story.tell(Tested, frame, "axles", passed=False)
    story.tell(Tested, body, "doors", passed=False)
    story.tell(Tested, body, "axles", passed=True)
    story.tell(Tested, frame, "axles", passed=False)
    story.tell(Married, "11", (body, frame))
    refused = story.refused(Released, "11", "I. I.")
    assert "doors (body B-11), axles (frame F-11)" in refused
    story.tell(Tested, vehicle("11"), "doors", passed=True)
    assert "since: axles (frame F-11)" in story.refused(Released, "11", "I. I.")
    story.tell(Tested, vehicle("11"), "axles", passed=False)
    assert "since: axles, axles (frame F-11)" in story.refused(Released, "11", "I. I.")
    story.tell(Tested, vehicle("11"), "axles", passed=True)
    story.tell(Released, "11", "I. I.")
    assert story.now.pieces[frame].tests == {}


def test_no_release_while_a_unit_is_owed_unless_overridden() -> None:
    """What came off must have been made up for; a named person may set that aside once."""
    story = Story()
    story.let_in()
    story.tell(Removed, MOTOR, vehicle("11"))
    assert "still owed: 1 motor" in story.refused(Released, "11", "I. I.")
    story.tell(Overridden, vehicle("11"), Overridable.OWED, "motor no longer carried", "W. Manager")
    story.tell(Released, "11", "I. I.")
    assert story.now.whole("11").permits == []
    assert story.now.whole("11").owed == {}


def test_no_release_with_an_unserviceable_unit_even_when_overridden() -> None:
    """A unit found faulty on the vehicle stops the release until it is changed or made good."""
    story = Story()
    story.let_in()
    unit = story.fit_new()
    story.tell(UnitFound, unit, "brushes", Verdict.REPAIR)
    story.tell(Overridden, vehicle("11"), Overridable.OWED, "hurry", "W. Manager")
    assert "not serviceable on it: motor M-new" in story.refused(Released, "11", "I. I.")
    story.tell(Reconditioned, unit)
    story.tell(Released, "11", "I. I.")
    assert story.now.units_on("11") == (unit,)


def test_every_rule_broken_is_told() -> None:
    """A refusal names all the rules that the event breaks, a line each."""
    story = Story()
    story.let_in()
    story.tell(Removed, MOTOR, vehicle("11"))
    story.tell(Held, vehicle("11"), Cause.SAFETY)
    story.tell(Tested, vehicle("11"), "brake", passed=False)
    reason = story.refused(Released, "11", "I. I.").split("\n")
    assert len(reason) == 3


def test_withdrawal_ends_the_number_and_frees_the_position() -> None:
    """A whole vehicle leaves its position; nothing happens to its number any more."""
    story = Story()
    story.let_in()
    story.tell(Withdrawn, "11", "burnt out")
    assert story.now.occupied == {}
    assert story.now.vehicles["11"].phase is Phase.WITHDRAWN
    for refused in (
        story.refused(Arrived, "11", "T1"),
        story.refused(Withdrawn, "11", "again"),
        story.refused(OdometerRead, "11", 5.0),
        story.refused(Promised, "11", date(2026, 5, 1)),
    ):
        assert "it is withdrawn" in refused


def test_withdrawn_in_pieces_its_lead_becomes_loose_with_what_it_carries() -> None:
    """The body of a withdrawn number stands loose, and units fitted to the vehicle are on it."""
    story = Story()
    story.let_in()
    unit = story.fit_new()
    body, frame = story.take_apart()
    story.tell(Withdrawn, "11", "frame cracked")
    lead = story.now.pieces[body]
    assert (lead.stands, lead.vehicle_id, story.now.piece_links.now_on(body)) == (True, "", None)
    assert story.now.units[unit].onto == body
    assert story.now.unit_links.now_on(unit) == body
    assert story.now.pieces[frame].stands


def test_time_does_not_run_back_for_one_thing() -> None:
    """An event before the last one about the same vehicle is refused; of others it is not."""
    story = Story()
    story.minute = 100
    story.let_in("11")
    early = datetime(2026, 3, 2, 7, 30)
    reason = why_not(story.now, Moved(early, vehicle("11"), "paint", 1))
    assert reason is not None
    assert "07:30 is before" in reason
    reason = why_not(story.now, Released(early, "11", "I. Inspector"))
    assert reason is not None
    assert "07:30 is before" in reason
    assert why_not(story.now, Arrived(early, "12", "T1")) is None


def test_a_refused_event_changes_nothing() -> None:
    """After a refusal the standing is what it was, and the error tells event, place and reasons."""
    story = Story()
    story.let_in()
    story.tell(Removed, MOTOR, vehicle("11"))
    before = story.now.copy()
    wrong = Fitted(story.at(), MOTOR, vehicle("11"))
    with pytest.raises(ImpossibleEventError, match="it is unserviceable") as caught:
        fold([Purchased(story.at(), OTHER_MOTOR, "store"), wrong], story.now)
    assert caught.value.event is wrong
    assert caught.value.place == before.events + 1
    assert story.now == before
    with pytest.raises(ImpossibleEventError, match="it is unserviceable"):
        take(story.now, wrong)
    assert story.now == before


def test_fold_leaves_the_standing_it_is_given() -> None:
    """Folding further events onto a standing gives a new one and leaves the old."""
    story = Story()
    story.let_in()
    story.fit_new()
    before = story.now.copy()
    later = fold([Removed(story.at(), Unit("motor", "M-new"), vehicle("11"))], story.now)
    assert story.now == before
    assert later.events == before.events + 1
    assert later.whole("11").owed == {"motor": 1}
    assert fold(story.told) == before
    assert fold(story.told, trusted=True) == before
    assert story.at() > START
