"""Parting, marriage and numbers; identity followed both ways."""

from datetime import timedelta

import pytest

from events_story import BODY, FRAME, START, Story, vehicle
from pacewright.events.follow import carried_at, carriers_at, distance_used, number_at
from pacewright.events.gate import OdometerRead, Released, Withdrawn
from pacewright.events.identity import (
    Married,
    Parted,
    PieceEntered,
    PieceScrapped,
    Renumbered,
    Stripped,
)
from pacewright.events.stages import Failed, Held, Moved, Rectified, Stored, WorkEnded, WorkStarted
from pacewright.events.things import Cause, Piece, Unit
from pacewright.events.units import Fitted, Purchased, Removed

SPARE = Piece("body", "B-spare")


def two_parted() -> Story:
    """Vehicles 11 and 12 inside, each parted where it stood."""
    story = Story()
    story.let_in("11", "strip", 1)
    story.let_in("12", "strip", 2)
    story.take_apart("11")
    story.take_apart("12")
    return story


def test_parted_pieces_stand_where_the_vehicle_stood() -> None:
    """All pieces share the position until they leave; the number stays with the lead."""
    story = Story()
    story.let_in()
    story.tell(Stripped, "11")
    story.take_apart("11")
    assert story.now.occupied == {("strip", 1): [BODY, FRAME]}
    assert story.now.stands_at("11") is story.now.pieces[BODY]
    assert story.now.vehicles["11"].lead == BODY
    assert story.now.pieces[FRAME].vehicle_id == ""
    assert story.now.pieces[FRAME].came_from == "11"
    story.let_in("12", "wash", 1)
    assert "body B-11, frame F-11 stands there" in story.refused(Moved, vehicle("12"), "strip", 1)
    story.tell(Moved, BODY, "panel", 1)
    story.tell(Moved, FRAME, "frame", 1)
    story.tell(Moved, vehicle("12"), "strip", 1)


def test_a_vehicle_is_married_from_any_frame() -> None:
    """The frame of another vehicle goes under; the other way about it is refused by lead."""
    story = two_parted()
    other = Piece("frame", "F-12")
    story.tell(Stored, other, "floor")
    refused = story.refused(Married, "11", (other, BODY))
    assert "body B-11 carries the number" in refused
    story.tell(Married, "11", (BODY, other))
    whole = story.now.whole("11")
    assert (whole.stands, whole.stage_id, whole.position) == (True, "strip", 1)
    assert not story.now.pieces[other].stands
    assert story.now.occupied[("strip", 1)] == [FRAME, vehicle("11")]
    assert "part of vehicle 11" in story.refused(Moved, other, "frame", 1)
    assert "it is whole" in story.refused(Married, "11", (BODY, FRAME))
    story.tell(Married, "12", (Piece("body", "B-12"), FRAME))
    assert story.now.piece_links.on_now(vehicle("12")) == (Piece("body", "B-12"), FRAME)


def test_marriage_refuses_what_is_not_fit_to_join() -> None:
    """Another's lead, a strange serial, a failed, worked-on or held piece is refused."""
    story = two_parted()
    assert "number of vehicle 12" in story.refused(Married, "11", (BODY, Piece("body", "B-12")))
    assert "does not know" in story.refused(Married, "11", (BODY, Piece("frame", "F-99")))
    assert "named twice" in story.refused(Married, "11", (BODY, FRAME, FRAME))
    assert "no assembly: vehicle 12" in story.refused(Married, "11", (BODY, vehicle("12")))
    story.tell(Failed, FRAME, "strip")
    assert "it failed at strip" in story.refused(Married, "11", (BODY, FRAME))
    story.tell(Rectified, FRAME, "strip")
    story.tell(WorkStarted, FRAME, "strip", "fitter")
    assert "at work on it" in story.refused(Married, "11", (BODY, FRAME))
    story.tell(WorkEnded, FRAME, "strip", "fitter")
    story.tell(Held, BODY, Cause.SAFETY)
    assert "safety hold" in story.refused(Married, "11", (BODY, FRAME))


def test_a_vehicle_parts_into_what_it_was_married_from() -> None:
    """At the next visit the books know the serials; a missing or strange one is told."""
    story = two_parted()
    frame = Piece("frame", "F-12")
    story.tell(Married, "11", (BODY, frame))
    story.tell(Released, "11", "I. I.")
    story.let_in("11", "strip", 3)
    wrong = story.refused(Parted, "11", (BODY, FRAME))
    assert "frame F-12 is missing" in wrong
    assert "frame F-11 is not on it" in wrong
    assert "carries the number" in story.refused(Parted, "11", (frame, BODY))
    assert "not on it" in story.refused(Parted, "11", (BODY, frame, Piece("body", "B-77")))
    story.tell(Parted, "11", (BODY, frame))
    assert "it is in pieces" in story.refused(Parted, "11", (BODY, frame))


def test_a_number_can_go_to_a_spare_body() -> None:
    """The spare gets the number, the old body stands loose with the units that were on it."""
    story = Story()
    story.let_in()
    unit = story.fit_new("11")
    story.take_apart("11")
    story.tell(PieceEntered, SPARE, "yard")
    assert "the number is on body B-11" in story.refused(Renumbered, "11", BODY)
    assert "the number is on body B-11" in story.refused(Renumbered, "11", FRAME)
    assert "it carries no number" in story.refused(Renumbered, "11", SPARE, "12")
    story.tell(Renumbered, "11", SPARE)
    moment = story.at()
    assert story.now.vehicles["11"].lead == SPARE
    assert story.now.pieces[BODY].vehicle_id == ""
    assert story.now.units[unit].onto == BODY
    assert carried_at(story.now, "11", moment) == ((SPARE,), ())
    assert carriers_at(story.now, unit, moment) == (BODY,)
    assert carriers_at(story.now, unit, moment - timedelta(minutes=1)) == (vehicle("11"),)
    assert "on it by the books: motor M-new" in story.refused(PieceScrapped, BODY, "bent")
    story.tell(Removed, unit, BODY)
    story.tell(PieceScrapped, BODY, "bent")
    assert story.now.pieces[BODY].owed == {}
    assert "it was scrapped" in story.refused(Moved, BODY, "panel", 1)
    story.tell(Married, "11", (SPARE, FRAME))
    assert story.now.stands_at("11").place_id == "yard"


def test_two_numbers_can_change_bodies() -> None:
    """Both numbers are named, and each goes to the other's body."""
    story = two_parted()
    other = Piece("body", "B-12")
    assert "does not know" in story.refused(Renumbered, "11", Piece("body", "B-99"))
    assert "it carries 12" in story.refused(Renumbered, "11", other)
    story.tell(Renumbered, "11", other, "12")
    moment = story.at()
    assert (number_at(story.now, other, moment), number_at(story.now, BODY, moment)) == ("11", "12")
    before = moment - timedelta(minutes=1)
    assert (number_at(story.now, other, before), number_at(story.now, BODY, before)) == ("12", "11")
    assert story.now.vehicles["12"].lead == BODY
    assert story.now.stands_at("11").piece == other


def test_debts_go_with_the_body_when_numbers_change() -> None:
    """A motor taken off body B-11 is owed to that body, whichever number it carries."""
    story = two_parted()
    other = Piece("body", "B-12")
    story.tell(Removed, Unit("motor", "M-1"), BODY)
    assert story.now.whole("11").owed == {"motor": 1}
    story.tell(Renumbered, "11", other, "12")
    assert (story.now.whole("11").owed, story.now.whole("12").owed) == ({}, {"motor": 1})
    story.tell(PieceEntered, SPARE, "yard")
    story.tell(Renumbered, "12", SPARE)
    assert story.now.whole("12").owed == {}
    assert story.now.pieces[BODY].owed == {"motor": 1}
    story.tell(Renumbered, "11", BODY)
    assert story.now.whole("11").owed == {"motor": 1}
    story.tell(Withdrawn, "11", "burnt")
    assert story.now.pieces[BODY].owed == {"motor": 1}


def test_a_wait_of_the_whole_ends_at_parting() -> None:
    """What the vehicle waited for is over when it is parted."""
    story = Story()
    story.let_in()
    story.tell(Held, vehicle("11"), Cause.PEOPLE)
    story.take_apart("11")
    assert story.now.whole("11").holds == {}


def test_only_loose_assemblies_are_scrapped_or_entered() -> None:
    """A body with a number is not scrapped; what is on the books is not entered again."""
    story = two_parted()
    assert "number of vehicle 11" in story.refused(PieceScrapped, BODY, "bent")
    assert "on the books" in story.refused(PieceEntered, FRAME, "yard")
    assert "it is a vehicle" in story.refused(PieceEntered, vehicle("13"), "yard")
    story.tell(Withdrawn, "11", "burnt")
    story.tell(PieceScrapped, BODY, "burnt")
    assert story.now.pieces[BODY].scrapped


def test_debts_of_an_assembly_go_with_it_into_marriage() -> None:
    """What came off a loose frame is owed to the frame, then to the vehicle it goes under."""
    story = two_parted()
    frame = Piece("frame", "F-12")
    brake = Unit("brake", "K-1")
    story.tell(Removed, brake, frame)
    assert story.now.pieces[frame].owed == {"brake": 1}
    story.tell(Married, "11", (BODY, frame))
    assert story.now.whole("11").owed == {"brake": 1}
    assert story.now.pieces[frame].owed == {}
    story.tell(Purchased, Unit("brake", "K-2"), "store")
    story.tell(Fitted, Unit("brake", "K-2"), frame)
    assert story.now.whole("11").owed == {}
    assert story.now.units[Unit("brake", "K-2")].onto == frame


def test_a_loose_frame_gets_what_its_old_vehicle_is_owed() -> None:
    """A brake that came off the whole vehicle may go onto its frame while that stands alone."""
    story = Story()
    story.let_in()
    story.tell(Removed, Unit("brake", "K-1"), vehicle("11"))
    story.take_apart("11")
    story.tell(Purchased, Unit("brake", "K-2"), "store")
    story.tell(Fitted, Unit("brake", "K-2"), FRAME)
    assert story.now.whole("11").owed == {}
    story.tell(Purchased, Unit("brake", "K-3"), "store")
    assert "no brake is owed" in story.refused(Fitted, Unit("brake", "K-3"), FRAME)


def test_identity_is_followed_both_ways_at_any_moment() -> None:
    """A brake on a frame is found under each vehicle the frame was under, and the way back."""
    story = two_parted()
    frame, brake = Piece("frame", "F-12"), Unit("brake", "K-2")
    story.tell(Removed, Unit("brake", "K-1"), frame)
    story.tell(Purchased, brake, "store")
    alone = story.at()
    story.tell(Fitted, brake, frame)
    fitted = story.at()
    story.tell(Married, "11", (BODY, frame))
    under = story.at()
    assert carriers_at(story.now, brake, alone) == ()
    assert carriers_at(story.now, brake, fitted) == (frame,)
    assert carriers_at(story.now, brake, under) == (frame, vehicle("11"))
    assert carried_at(story.now, "11", under) == ((BODY, frame), (brake,))
    assert carried_at(story.now, "11", fitted) == ((BODY,), ())
    # Since before the record: frame F-12 was under 12 until that was parted.
    assert number_at(story.now, frame, START) == "12"
    assert carried_at(story.now, "12", START)[0] == (Piece("body", "B-12"), frame)
    # The old brake was on the frame all the while, so under 12 at the start.
    assert carriers_at(story.now, Unit("brake", "K-1"), START) == (frame, vehicle("12"))


def test_distance_used_runs_with_every_vehicle_the_carrier_was_under() -> None:
    """A unit on a frame ran 500 under one vehicle and 300 under the next, by hand 800."""
    story = two_parted()
    frame, brake = Piece("frame", "F-12"), Unit("brake", "K-2")
    story.tell(OdometerRead, "11", 10_000.0)
    story.tell(OdometerRead, "12", 50_000.0)
    story.tell(Removed, Unit("brake", "K-1"), frame)
    story.tell(Purchased, brake, "store")
    assert distance_used(story.now, brake, story.at()) == pytest.approx(0.0)
    story.tell(Fitted, brake, frame)
    story.tell(Married, "11", (BODY, frame))
    story.tell(Released, "11", "I. I.")
    story.tell(OdometerRead, "11", 10_500.0)
    halfway = story.at()
    story.let_in("11", "strip", 3)
    story.tell(Parted, "11", (BODY, frame))
    story.tell(OdometerRead, "11", 10_900.0)
    story.tell(Married, "12", (Piece("body", "B-12"), frame))
    story.tell(Released, "12", "I. I.")
    story.tell(OdometerRead, "12", 50_300.0)
    assert distance_used(story.now, brake, halfway) == pytest.approx(500.0)
    assert distance_used(story.now, brake, story.at()) == pytest.approx(800.0)


def test_a_unit_on_a_spare_frame_runs_nothing() -> None:
    """On a frame that was under no vehicle yet a new unit has run nought."""
    story = Story()
    spare, brake = Piece("frame", "F-spare"), Unit("brake", "K-2")
    story.tell(PieceEntered, spare, "yard")
    story.tell(Removed, Unit("brake", "K-1"), spare)
    story.tell(Purchased, brake, "store")
    story.tell(Fitted, brake, spare)
    assert distance_used(story.now, brake, story.at()) == pytest.approx(0.0)
    assert carriers_at(story.now, brake, story.at()) == (spare,)


def test_distance_is_unknown_when_the_record_cannot_tell() -> None:
    """On a vehicle since before the record, or with no reading at fitting: unknown, not nought."""
    story = Story()
    story.let_in()
    unit = story.fit_new("11")
    story.tell(OdometerRead, "11", 900.0)
    assert distance_used(story.now, unit, story.at()) is None
    assert distance_used(story.now, Unit("motor", "M-new-old"), story.at()) is None
