"""Events on the way through the stages."""

import pytest

from events_story import BODY, Story, vehicle
from pacewright.events.identity import Parted
from pacewright.events.record import Overridden
from pacewright.events.stages import (
    Failed,
    Found,
    Freed,
    Held,
    Moved,
    PutIntoUse,
    PutOutOfUse,
    Rectified,
    Redone,
    StageFinished,
    Stored,
    Tested,
    WorkEnded,
    WorkStarted,
)
from pacewright.events.things import Cause, Overridable, Piece, Verdict

ONE, TWO = vehicle("11"), vehicle("12")


@pytest.fixture
def story() -> Story:
    """Vehicle 11 stands at strip, position 1."""
    told = Story()
    told.let_in("11")
    return told


def test_a_move_frees_the_old_position_and_takes_the_new(story: Story) -> None:
    """A piece is on one position; the one it left can be taken by another."""
    story.tell(Moved, ONE, "paint", 2)
    assert story.now.occupied == {("paint", 2): [ONE]}
    assert story.now.whole("11").since == story.at()
    story.let_in("12", "strip", 1)
    assert story.now.occupied == {("paint", 2): [ONE], ("strip", 1): [TWO]}


def test_a_position_holds_one_piece(story: Story) -> None:
    """A taken position, also one's own, is refused and its occupant named."""
    story.let_in("12", "strip", 2)
    assert "vehicle 11 stands there" in story.refused(Moved, TWO, "strip", 1)
    assert "vehicle 12 stands there" in story.refused(Moved, TWO, "strip", 2)


def test_nothing_is_put_on_a_position_out_of_use(story: Story) -> None:
    """A position out of use takes nothing; what stands there may leave; mended it is used again."""
    story.tell(PutOutOfUse, "paint", 1, "fan broken")
    story.tell(PutOutOfUse, "strip", 1, "pit closed")
    assert "out of use" in story.refused(Moved, ONE, "paint", 1)
    assert "out of use already" in story.refused(PutOutOfUse, "paint", 1)
    story.tell(Moved, ONE, "paint", 2)
    story.tell(PutIntoUse, "paint", 1)
    assert "it is in use" in story.refused(PutIntoUse, "paint", 1)
    story.tell(Moved, ONE, "paint", 1)


def test_a_stored_piece_is_on_no_position(story: Story) -> None:
    """Put into a yard a piece gives its position up, and no work of a stage is done on it."""
    story.tell(Stored, ONE, "yard")
    piece = story.now.whole("11")
    assert (piece.place_id, piece.stage_id, piece.position) == ("yard", "", 0)
    assert story.now.occupied == {}
    assert "it stands at yard" in story.refused(WorkStarted, ONE, "strip", "fitter")
    story.tell(Moved, ONE, "strip", 1)
    assert piece.place_id == ""


def test_work_starts_and_ends_once_where_the_piece_stands(story: Story) -> None:
    """Work belongs to the stage where the piece stands; start and end come in turn."""
    assert "it stands at strip" in story.refused(WorkStarted, ONE, "paint", "painter")
    assert "not at work" in story.refused(WorkEnded, ONE, "strip", "fitter")
    story.tell(WorkStarted, ONE, "strip", "fitter")
    story.tell(WorkStarted, ONE, "strip", "wireman")
    assert "at work on it already" in story.refused(WorkStarted, ONE, "strip", "fitter")
    assert story.now.whole("11").trades == ["fitter", "wireman"]
    story.tell(WorkEnded, ONE, "strip", "fitter", 3.5)
    assert story.now.whole("11").trades == ["wireman"]


def test_when_each_trade_began_is_known_until_the_piece_goes_on(story: Story) -> None:
    """Done or not, a trade's begin is kept; a failed test and a move forget it."""
    story.tell(WorkStarted, ONE, "strip", "fitter")
    began = story.at()
    story.tell(WorkEnded, ONE, "strip", "fitter")
    assert story.now.whole("11").began == {"fitter": began}
    story.tell(Failed, ONE, "strip")
    assert not story.now.whole("11").began
    story.tell(WorkStarted, ONE, "strip", "welder")
    story.tell(WorkEnded, ONE, "strip", "welder")
    story.tell(Moved, ONE, "paint", 2)
    assert not story.now.whole("11").began


@pytest.mark.parametrize(
    ("model", "fields"),
    [(Moved, ("paint", 1)), (Stored, ("yard",)), (StageFinished, ("strip",))],
)
def test_a_piece_stays_while_somebody_works_on_it(
    story: Story, model: type[Moved], fields: tuple[object, ...]
) -> None:
    """No move and no finish while work is under way (a lifted vehicle stays on its supports)."""
    story.tell(WorkStarted, ONE, "strip", "fitter")
    assert "at work on it: fitter" in story.refused(model, ONE, *fields)
    story.tell(WorkEnded, ONE, "strip", "fitter")
    story.tell(model, ONE, *fields)


def test_a_failed_stage_is_finished_after_rectification_only(story: Story) -> None:
    """What failed is not finished until it is rectified; only what failed is rectified."""
    assert "has not failed" in story.refused(Rectified, ONE, "strip")
    story.tell(StageFinished, ONE, "strip")
    story.tell(Failed, ONE, "strip", "weld")
    piece = story.now.whole("11")
    assert (piece.failed, piece.finished) == (True, False)
    assert "it failed at strip" in story.refused(StageFinished, ONE, "strip")
    story.tell(Rectified, ONE, "strip")
    story.tell(StageFinished, ONE, "strip")
    assert piece.finished
    story.tell(Moved, ONE, "paint", 1)
    assert not piece.finished


def test_the_last_finding_and_the_last_result_of_an_item_stand(story: Story) -> None:
    """Findings and tests are kept by item until release."""
    story.tell(Found, ONE, "floor", Verdict.REPAIR, 2.1, 3.0, "mm")
    story.tell(Found, ONE, "floor", Verdict.REPLACE, 1.4, 3.0, "mm")
    story.tell(Tested, ONE, "doors", passed=False)
    story.tell(Tested, ONE, "doors", passed=True)
    story.tell(Redone, ONE, "strip")
    piece = story.now.whole("11")
    assert piece.found["floor"].verdict is Verdict.REPLACE
    assert piece.tests["doors"].passed
    assert piece.last_at == story.at()


def test_an_ordinary_hold_ends_when_the_piece_goes_on(story: Story) -> None:
    """A wait for a part or for people is over when work starts or the piece moves."""
    story.tell(Held, ONE, Cause.PEOPLE, "fitter")
    story.tell(Held, ONE, Cause.PART, "motor")
    piece = story.now.whole("11")
    assert set(piece.holds) == {Cause.PEOPLE, Cause.PART}
    story.tell(Freed, ONE, Cause.PART)
    assert set(piece.holds) == {Cause.PEOPLE}
    assert "no hold for part" in story.refused(Freed, ONE, Cause.PART)
    story.tell(WorkStarted, ONE, "strip", "fitter")
    assert piece.holds == {}


def test_a_vehicle_is_held_at_the_gate_until_it_is_let_in() -> None:
    """A hold at the gate needs no admission; one out in service cannot be held."""
    from pacewright.events.gate import Admitted, Arrived

    story = Story()
    assert "does not know it" in story.refused(Held, ONE, Cause.GATE)
    story.tell(Arrived, "11", "T1")
    story.tell(Held, ONE, Cause.GATE)
    story.tell(Admitted, "11")
    assert story.now.whole("11").holds == {}


def test_a_safety_hold_stops_all_and_only_a_named_person_ends_it(story: Story) -> None:
    """Under a safety hold nothing moves or is worked on, whatever a planner overrides."""
    story.tell(Held, ONE, Cause.PEOPLE)
    story.tell(Held, ONE, Cause.SAFETY, reason="jack slipped")
    for rule in Overridable:
        story.tell(Overridden, ONE, rule, "hurry", "P. Planner")
    for refused in (
        story.refused(Moved, ONE, "paint", 1),
        story.refused(Stored, ONE, "yard"),
        story.refused(WorkStarted, ONE, "strip", "fitter"),
        story.refused(Parted, "11", (BODY,)),
    ):
        assert "jack slipped" in refused
    assert "nobody is named" in story.refused(Freed, ONE, Cause.SAFETY)
    assert "nobody is named" in story.refused(Freed, ONE, Cause.SAFETY, "  ")
    story.tell(Freed, ONE, Cause.SAFETY, "I. Inspector")
    story.tell(Moved, ONE, "paint", 1)
    assert story.now.whole("11").holds == {}


def test_moving_keeps_a_safety_hold_told_while_an_ordinary_one_goes(story: Story) -> None:
    """In a record folded on trust a safety hold outlasts the move that ends the others."""
    from pacewright.events.fold import fold

    held = [Held(story.at(), ONE, Cause.PART), Held(story.at(), ONE, Cause.SAFETY)]
    now = fold([*held, Moved(story.at(), ONE, "paint", 1)], story.now, trusted=True)
    assert set(now.whole("11").holds) == {Cause.SAFETY}


def test_a_permit_for_the_route_lasts_until_the_next_move(story: Story) -> None:
    """An override of the route is used up by one move, and names a piece on the books."""
    assert "does not know" in story.refused(Overridden, TWO, Overridable.ROUTE, "why", "W. M.")
    story.tell(Overridden, ONE, Overridable.ROUTE, "booth free", "W. Manager")
    assert story.now.whole("11").permits == [Overridable.ROUTE]
    story.tell(Moved, ONE, "paint", 1)
    assert story.now.whole("11").permits == []


def test_the_remedy_names_what_stands_instead(story: Story) -> None:
    """A vehicle in pieces, a married assembly and a stranger are refused, each with its remedy."""
    assert "does not know it" in story.refused(Moved, Piece("body", "B-99"), "paint", 1)
    story.take_apart("11")
    refused = story.refused(Moved, ONE, "paint", 1)
    assert "it is in pieces" in refused
    assert "body B-11" in refused
