"""Next moves and what is blocked, cause by cause."""

from datetime import datetime, timedelta

import pytest

from control_case import Case
from events_story import vehicle
from pacewright.control.moves import next_moves
from pacewright.control.next_move import MARRY, MOVE, PART, RELEASE, Blocked, Move, Moves
from pacewright.events.gate import Promised
from pacewright.events.identity import Parted
from pacewright.events.record import Attended
from pacewright.events.stages import Failed, Held, PutOutOfUse, StageFinished, WorkStarted
from pacewright.events.things import Cause, Piece
from small_works import small_works

MONDAY = datetime(2026, 3, 9, 7, 0)


def moves(case: Case) -> Moves:
    """The moves as things stand."""
    seen, wanted, pool = case.seen()
    return next_moves(case.works, case.now, seen, wanted, pool)


def move_of(case: Case, piece: Piece) -> Move:
    """The one move of a piece."""
    (found,) = (one for one in moves(case).moves if one.piece == str(piece))
    return found


def block_of(case: Case, piece: Piece) -> Blocked:
    """What blocks a piece."""
    (found,) = (one for one in moves(case).blocked if one.piece == str(piece))
    return found


def test_a_vehicle_let_in_moves_to_the_first_stage() -> None:
    """The lowest free position of the strip is proposed."""
    case = Case()
    whole = case.let_in_type("11")
    found = move_of(case, whole)
    assert (found.what, found.to_stage_id, found.position) == (MOVE, "strip", 1)


def test_one_free_position_goes_to_the_earlier_promise() -> None:
    """Two wait for the only strip position: the earlier promise moves, the other is blocked."""
    case = Case()
    late = case.let_in_type("11", promise=datetime(2026, 4, 20))
    early = case.let_in_type("12", promise=datetime(2026, 4, 10))
    assert move_of(case, early).position == 1
    blocked = block_of(case, late)
    assert blocked.cause is Cause.POSITION
    assert blocked.waits_for == "strip"


def test_a_full_stage_says_who_stands_there_and_when_it_opens() -> None:
    """The strip is taken by vehicle 11, and opens when that is done there."""
    case = Case()
    first = case.let_in_type("11")
    case.put(first, "strip")
    second = case.let_in_type("12")
    blocked = block_of(case, second)
    assert (blocked.by, blocked.opens) == ("vehicle 11", "vehicle 11 done there")
    seen, _, _ = case.seen()
    assert blocked.opens_day == seen.vehicles["11"].coming[0].ends


def test_a_position_out_of_use_is_not_proposed() -> None:
    """The only strip position is closed: the vehicle is blocked by that."""
    case = Case()
    whole = case.let_in_type("11")
    case.tell(PutOutOfUse, "strip", 1, "crane")
    assert block_of(case, whole).by == "position 1 out of use"


def test_a_vehicle_stripped_is_parted_and_a_whole_one_released() -> None:
    """At the end of the strip it parts; at the end of the test it is ready for release."""
    case = Case()
    whole = case.let_in_type("11")
    case.passes(whole, "strip")
    assert move_of(case, whole).what == PART
    other = Case()
    whole = other.married("12")
    for stage_id in ("marry", "fitout", "test"):
        other.passes(whole, stage_id)
    assert move_of(other, whole).what == RELEASE


def test_pieces_parted_on_a_position_move_off_it() -> None:
    """Body and chassis on the strip position go to the body shop and the chassis strip."""
    case = Case()
    whole = case.let_in_type("11")
    case.passes(whole, "strip")
    body, chassis = Piece("body", "B-11"), Piece("chassis", "C-11")
    case.tell(Parted, "11", (body, chassis))
    assert move_of(case, body).to_stage_id == "body"
    assert move_of(case, chassis).to_stage_id == "chstrip"


def test_a_body_done_marries_when_a_chassis_is_done() -> None:
    """Body painted, chassis not built: blocked by the assembly; built: they are married."""
    case = Case()
    body, chassis = case.parted("11")
    case.passes(body, "body")
    case.passes(body, "bpaint")
    case.passes(chassis, "chstrip")
    blocked = block_of(case, body)
    assert (blocked.cause, blocked.waits_for) == (Cause.ASSEMBLY, "chassis")
    case.passes(chassis, "chbuild")
    found = move_of(case, body)
    assert (found.what, found.to_stage_id) == (MARRY, "marry")


def test_a_chassis_done_before_its_body_waits_for_it() -> None:
    """The chassis is built, its body not begun: it waits until they can be married."""
    case = Case()
    body, chassis = case.parted("11")
    case.passes(chassis, "chstrip")
    case.passes(chassis, "chbuild")
    blocked = block_of(case, chassis)
    assert (blocked.cause, blocked.waits_for) == (Cause.ASSEMBLY, str(body))
    seen, _, _ = case.seen()
    assert blocked.opens_day == seen.vehicles["11"].marries_day


def test_who_is_at_work_is_neither_moved_nor_blocked() -> None:
    """A fitter works on the vehicle: no move is proposed, though the stage was said done."""
    case = Case()
    whole = case.let_in_type("11")
    case.put(whole, "strip")
    case.tell(WorkStarted, whole, "strip", "fitter")
    found = moves(case)
    assert found.at_work == ("vehicle 11",)
    assert found.moves == found.blocked == found.to_work_on == ()


@pytest.mark.parametrize("cause", [Cause.SAFETY, Cause.INSPECTION, Cause.OTHER])
def test_no_move_is_proposed_under_a_hold(cause: Cause) -> None:
    """A hold for safety, inspection or other reasons blocks until someone frees it."""
    case = Case()
    whole = case.let_in_type("11")
    case.passes(whole, "strip")
    case.tell(Held, whole, cause, "", "jacks not locked")
    found = moves(case)
    assert found.moves == ()
    (blocked,) = found.blocked
    assert (blocked.cause, blocked.by) == (cause, "jacks not locked")
    assert "freed by" in blocked.opens


def test_a_missing_part_blocks_the_stage_where_it_goes_on() -> None:
    """With its motor off and none in store the vehicle is not moved into the fit-out."""
    case = Case()
    whole = case.married("11")
    case.put(whole, "marry")
    case.off(whole, "motor", "M-1")
    case.in_store("valve", "V-1", "V-2", "V-3", "V-4")
    case.tell(StageFinished, whole, "marry")
    blocked = block_of(case, whole)
    assert (blocked.cause, blocked.waits_for) == (Cause.PART, "motor")
    assert blocked.opens == "motor from shop elec"
    seen, _, pool = case.seen()
    assert blocked.opens_day == pool["motor"].in_sight(seen.now_day)[0].day > seen.now_day + 8
    case.in_store("motor", "M-9")
    assert move_of(case, whole).to_stage_id == "fitout"


def test_a_failed_piece_waits_for_rectification() -> None:
    """Failed in the test house, it must be put right there."""
    case = Case()
    whole = case.married("11")
    case.passes(whole, "marry")
    case.passes(whole, "fitout")
    case.put(whole, "test")
    case.tell(Failed, whole, "test", "brake")
    assert block_of(case, whole).waits_for == "rectification"


def test_nobody_in_the_trade_today() -> None:
    """Attendance says no fitter came to the strip shop: the vehicle waits for people."""
    case = Case()
    whole = case.let_in_type("11")
    case.put(whole, "strip")
    assert moves(case).to_work_on[0].piece == "vehicle 11"
    case.tell(Attended, "strip", "fitter", case.at().date(), 0.0, 0.0)
    blocked = block_of(case, whole)
    assert (blocked.cause, blocked.waits_for) == (Cause.PEOPLE, "fitter")


def test_a_charge_waits_until_it_is_full() -> None:
    """Painted two at a time: one body alone waits for one more; with two work can begin."""

    def pairs(tables: dict[str, list[dict[str, str]]]) -> None:
        for row in tables["stages"]:
            if row["stage_id"] == "bpaint":
                row |= {"batch_size": "2", "positions": "2"}

    case = Case(small_works(pairs))
    body, _ = case.parted("11")
    case.passes(body, "body")
    case.put(body, "bpaint", 1)
    blocked = block_of(case, body)
    assert (blocked.cause, blocked.opens) == (
        Cause.BATCH,
        "1 more have come, or it starts as it is next morning",
    )
    other, _ = case.parted("12")
    case.passes(other, "body")
    assert move_of(case, other).position == 2
    case.put(other, "bpaint", 2)
    assert {one.piece for one in moves(case).to_work_on} == {str(body), str(other)}
    assert vehicle("11") in case.now.pieces


def test_the_longest_wait_says_until_when() -> None:
    """Paint must follow the body shop within 24 h by the clock: each body says until when."""
    case = Case()
    promised, _ = case.parted("11")
    pressing, _ = case.parted("12")
    case.tell(Promised, "11", datetime(2026, 3, 20).date())
    case.passes(promised, "body", 1)
    case.passes(pressing, "body", 2)
    found = move_of(case, promised)
    finished = case.now.pieces[promised].last_at
    assert finished is not None
    assert found.must_by == finished + timedelta(hours=24), "longest wait of 24 h in the table"
    assert block_of(case, pressing).must_by is not None
    third = case.let_in_type("13")
    assert move_of(case, third).must_by is None


def test_what_presses_goes_before_an_earlier_promise() -> None:
    """Of 40 h allowed, one body has 40 left and an early promise, the other 20: it goes first."""

    def longer(tables: dict[str, list[dict[str, str]]]) -> None:
        for row in tables["stages"]:
            if row["stage_id"] == "bpaint":
                row["longest_wait_hours"] = "40"

    case = Case(small_works(longer))
    early, _ = case.parted("11")
    pressing, _ = case.parted("12")
    case.tell(Promised, "11", datetime(2026, 3, 20).date())
    case.passes(pressing, "body", 2)
    case.day(case.at() + timedelta(hours=20))
    case.passes(early, "body", 1)
    assert move_of(case, pressing).to_stage_id == "bpaint"
    assert block_of(case, early).cause is Cause.POSITION
