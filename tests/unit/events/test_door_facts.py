"""What the fold keeps for the rules of the door: stages done, visits, ages, campaigns."""

from datetime import date

import pytest

from events_story import MOTOR, Story, vehicle
from pacewright.events.follow import distance_used
from pacewright.events.gate import OdometerRead, Released
from pacewright.events.identity import Married, Modified, PieceEntered, Renumbered
from pacewright.events.stages import Moved, StageFinished, WorkEnded, WorkStarted
from pacewright.events.things import Condition, Piece, Unit
from pacewright.events.units import AgeTold, Purchased, Removed, SeenOn, UnitEntered
from pacewright.events.written import read_event, write_event


@pytest.fixture
def story() -> Story:
    """Vehicle 11 on the strip position."""
    story = Story()
    story.let_in("11")
    return story


def test_stages_done_go_with_the_pieces_and_come_back_with_them(story: Story) -> None:
    """Parting hands them on, marriage brings them together, release clears them."""
    story.tell(StageFinished, vehicle("11"), "strip")
    came_in = story.now.vehicles["11"].admitted_at
    body, frame = story.take_apart("11")
    assert story.now.pieces[frame].done == ["strip"]
    assert story.now.pieces[frame].came_in == came_in
    assert story.now.pieces[frame].type_id == "T1"
    story.tell(Moved, frame, "frames", 1)
    story.tell(StageFinished, frame, "frames")
    story.tell(Moved, body, "panels", 1)
    story.tell(StageFinished, body, "panels")
    assert story.now.pieces[body].done == ["strip", "panels"]
    story.tell(Married, "11", (body, frame))
    assert story.now.whole("11").done == ["strip", "panels", "frames"]
    story.tell(Released, "11", "I. I.")
    assert not story.now.whole("11").done
    assert not story.now.pieces[frame].done
    assert story.now.pieces[frame].came_in is None


def test_the_operation_named_lasts_as_long_as_the_work(story: Story) -> None:
    """What a trade named when it began is forgotten when it ends."""
    story.tell(WorkStarted, vehicle("11"), "strip", "handler", "lift")
    story.tell(WorkStarted, vehicle("11"), "strip", "fitter")
    assert story.now.whole("11").doing == {"handler": "lift"}
    story.tell(WorkEnded, vehicle("11"), "strip", "handler")
    assert not story.now.whole("11").doing


def test_a_campaign_is_done_once_and_goes_with_the_body(story: Story) -> None:
    """It stays done after release and follows the body to another number."""
    story.tell(Modified, "11", "doors")
    assert "done on it already" in story.refused(Modified, "11", "doors")
    body, _ = story.take_apart("11")
    spare = Piece("body", "B-99")
    story.tell(PieceEntered, spare, "yard", "T1")
    assert story.now.pieces[spare].type_id == "T1"
    story.tell(Renumbered, "11", spare)
    assert story.now.whole("11").campaigns == []
    assert story.now.pieces[body].campaigns == ["doors"]
    story.tell(Renumbered, "11", body)
    assert story.now.whole("11").campaigns == ["doors"]


def test_only_a_unit_seen_being_fitted_counts_as_fitted(story: Story) -> None:
    """Fitting notes its moment, removal forgets it, being seen on a vehicle is no fitting."""
    unit = story.fit_new("11")
    assert story.now.units[unit].fitted_at == story.at()
    story.tell(Removed, unit, vehicle("11"))
    assert story.now.units[unit].fitted_at is None
    story.tell(SeenOn, MOTOR, vehicle("11"), "A. Able")
    assert story.now.units[MOTOR].fitted_at is None


def test_use_is_known_from_new_or_from_what_was_told(story: Story) -> None:
    """A new unit has run nothing; the use told is taken; seen elsewhere it is unknown."""
    new, told = Unit("motor", "M-20"), Unit("motor", "M-21")
    story.tell(Purchased, new, "store")
    assert (story.now.units[new].made_on, story.now.units[new].used_before) == (
        story.at().date(),
        0.0,
    )
    story.tell(UnitEntered, told, Condition.SERVICEABLE, "store")
    assert story.now.units[told].used_before is None
    story.tell(AgeTold, told, "A. Able", date(2019, 5, 2), 90_000.0)
    assert story.now.units[told].made_on == date(2019, 5, 2)
    story.tell(AgeTold, told, "A. Able", date(2019, 6, 2))
    assert story.now.units[told].used_before == 90_000.0
    story.tell(SeenOn, told, vehicle("11"), "A. Able")
    assert story.now.units[told].used_before is None


def test_age_that_says_nothing_or_lies_ahead_is_refused(story: Story) -> None:
    """A day up to now, a distance, or both."""
    story.tell(Purchased, MOTOR, "store")
    assert "neither" in story.refused(AgeTold, MOTOR, "A. Able")
    assert "after" in story.refused(AgeTold, MOTOR, "A. Able", date(2027, 1, 1))


def test_use_can_be_counted_from_a_moment(story: Story) -> None:
    """What ran before the moment is left out; before the first reading nothing is known."""
    story.tell(OdometerRead, "11", 1000.0)
    unit = story.fit_new("11")
    story.tell(Released, "11", "I. I.")
    story.minute += 10_000
    story.tell(OdometerRead, "11", 5000.0)
    middle = story.at()
    story.minute += 10_000
    story.tell(OdometerRead, "11", 9000.0)
    assert distance_used(story.now, unit, story.at()) == 8000.0
    assert distance_used(story.now, unit, story.at(), middle) == 4000.0


@pytest.mark.parametrize(
    ("kind", "fields"),
    [
        ("work_started", {"piece": ["vehicle", "11"], "stage_id": "strip", "trade_id": "fitter"}),
        ("piece_entered", {"piece": ["body", "B-1"], "place_id": "yard"}),
    ],
)
def test_events_written_before_the_new_fields_are_read(kind: str, fields: dict[str, str]) -> None:
    """Version 1 of a kind that has got a field is read, the field left out."""
    at = "2026-03-02T07:00:00"
    event = read_event({"kind": kind, "version": 1, "at": at, **fields})
    assert write_event(event)["version"] == 2
