"""What lies ahead: stages, marriage, ready dates."""

from dataclasses import replace
from datetime import datetime
from math import inf

import pytest

from control_case import Case, days
from events_story import vehicle
from made_plan import made_plan
from pacewright.control.ahead import ahead
from pacewright.control.along import days_left, mean_waits
from pacewright.events.identity import Married, PieceEntered, PieceScrapped
from pacewright.events.stages import Failed, Held, Stored, WorkStarted
from pacewright.events.things import Cause, Piece
from pacewright.pace.critical_path import network_of
from pacewright.pace.stage_times import StageTime
from small_works import small_works

MONDAY = datetime(2026, 3, 9, 7, 0)
HOURS = {  # (least + 4 usual + most) / 6 of the small works, by hand
    "strip": 100 / 6, "body": 30, "chstrip": 50 / 6, "chbuild": 86 / 6, "marry": 6,
    "fitout": 100 / 6, "test": 44 / 6,
}  # fmt: skip


def test_a_vehicle_just_in_has_its_whole_critical_path_ahead() -> None:
    """Its ready day is now plus the longest way through the network of its type."""
    case = Case()
    case.let_in_type("11")
    case.let_in_type("21", "long")
    seen, _, _ = case.seen(MONDAY)
    for number, type_id in (("11", "solo"), ("21", "long")):
        mean = {stage_id: time.mean_days for stage_id, time in seen.times.items()}
        length = network_of(case.works.routes[type_id], mean).length
        assert seen.days_from_now(seen.vehicles[number].ready_day) == pytest.approx(length)


def test_stage_follows_stage() -> None:
    """In the strip since this morning: 16.67 h of it, then parted, body 30 h, and so on."""
    case = Case()
    whole = case.let_in_type("11")
    case.day(MONDAY)
    case.put(whole, "strip")
    seen, _, _ = case.seen()
    coming = {one.stage_id: one for one in seen.vehicles["11"].coming}
    assert list(coming) == ["strip", "body", "bpaint", "marry", "fitout", "test"]
    assert coming["strip"].begun
    assert seen.days_from_now(coming["body"].begins) == pytest.approx(HOURS["strip"] / 8)
    assert seen.days_from_now(coming["bpaint"].begins) == pytest.approx((100 / 6 + 30) / 8)
    end = coming["test"].ends - coming["marry"].begins
    assert end == pytest.approx((HOURS["marry"] + HOURS["fitout"] + HOURS["test"]) / 8)
    parts = seen.vehicles["11"].parts_coming["chassis"]
    assert parts["chbuild"] - parts["chstrip"] == pytest.approx(HOURS["chstrip"] / 16)


def test_assemblies_go_to_the_first_lead_done() -> None:
    """The only chassis done goes to the body that is done first, of whatever number."""
    case = Case()
    body_11, chassis_11 = case.parted("11")
    body_12, chassis_12 = case.parted("12")
    case.day(MONDAY)
    case.passes(chassis_12, "chstrip")
    case.passes(chassis_12, "chbuild")
    case.passes(body_11, "body")
    seen, _, _ = case.seen()
    assert seen.assemblies[chassis_12].goes_to == "11"
    assert seen.assemblies[chassis_11].goes_to == "12"
    assert seen.vehicles["11"].marries_day == seen.vehicles["11"].coming[0].ends
    assert body_12 == seen.vehicles["12"].on_way.known.piece


def test_a_lead_waits_for_the_last_assembly() -> None:
    """A body done waits for its chassis, whose last stage sets the marriage."""
    case = Case()
    body, chassis = case.parted("11")
    case.day(MONDAY)
    case.passes(body, "body")
    case.passes(body, "bpaint")
    case.passes(chassis, "chstrip")
    seen, _, _ = case.seen()
    one = seen.vehicles["11"]
    assert one.waits_for == "chassis"
    assert seen.days_from_now(one.marries_day) == pytest.approx(HOURS["chbuild"] / 16, abs=0.01)


def test_assemblies_change_over_when_one_is_married_to_another() -> None:
    """The chassis of 12 went to 11, so that of 11 goes to 12."""
    case = Case()
    body_11, chassis_11 = case.parted("11")
    body_12, chassis_12 = case.parted("12")
    for body, position in ((body_11, 1), (body_12, 2)):
        case.passes(body, "body", position)
    for chassis in (chassis_11, chassis_12):
        case.passes(chassis, "chstrip")
        case.passes(chassis, "chbuild")
        case.tell(Stored, chassis, "floor")
    case.passes(body_11, "bpaint")
    case.tell(Married, "11", (body_11, chassis_12))
    seen, _, _ = case.seen()
    assert seen.vehicles["11"].on_way.married
    assert seen.vehicles["12"].waits_for == ""
    assert seen.assemblies[chassis_11].goes_to == "12"


def test_without_an_assembly_in_sight_there_is_no_ready_day() -> None:
    """A body whose chassis was scrapped has neither marriage nor ready day."""
    case = Case()
    body, chassis = case.parted("11")
    case.tell(PieceScrapped, chassis, "cracked")
    one = case.seen()[0].vehicles["11"]
    assert one.on_way.known.piece == body
    assert one.waits_for == "chassis"
    assert (one.marries_day, one.ready_day) == (inf, inf)


def test_a_spare_assembly_in_store_is_done() -> None:
    """A spare chassis of told type serves the first body; of untold type with two types, none."""
    case = Case()
    body, chassis = case.parted("11")
    case.passes(body, "body")
    case.tell(PieceEntered, Piece("chassis", "S-1"), "store", "solo")
    case.tell(PieceEntered, Piece("chassis", "S-2"), "store")
    seen, _, _ = case.seen()
    assert seen.assemblies[Piece("chassis", "S-1")].goes_to == "11"
    assert seen.assemblies[Piece("chassis", "S-2")].on_way.type_id == ""
    assert seen.assemblies[chassis].goes_to == ""


def test_a_married_vehicle_goes_on_whole() -> None:
    """After marriage marry, fit-out and test lie ahead; in the fit-out, fit-out and test."""
    case = Case()
    whole = case.married("11")
    stages = [one.stage_id for one in case.seen()[0].vehicles["11"].coming]
    assert stages == ["marry", "fitout", "test"]
    case.passes(whole, "marry")
    case.put(whole, "fitout")
    stages = [one.stage_id for one in case.seen()[0].vehicles["11"].coming]
    assert stages == ["fitout", "test"]
    case.tell(Stored, whole, "yard")
    stages = [one.stage_id for one in case.seen()[0].vehicles["11"].coming]
    assert stages == ["fitout", "test"], "put off its position unfinished, the stage is ahead again"


@pytest.mark.parametrize(
    ("spent", "left"),
    [
        (0.0, 2.0),  # (1 + 4 * 2 + 3) / 6
        (1.0, 1.0),
        (1.5, (1.5 + 8 + 3) / 6 - 1.5),
        (2.5, (2.5 + 10 + 3) / 6 - 2.5),
        (3.0, 0.0),
        (9.0, 0.0),
    ],
)
def test_time_left_of_a_stage_under_way(spent: float, left: float) -> None:
    """Each estimate is raised to the time spent, by hand for 1, 2 and 3 days."""
    assert days_left(StageTime(1, 2, 3), spent) == pytest.approx(left)


def test_work_counts_from_when_it_began_and_not_while_held() -> None:
    """Two days on a position, one of work: the stage lasts a day less; held, it does not shrink."""
    case = Case()
    whole = case.let_in_type("11")
    case.day(MONDAY)
    case.put(whole, "strip")
    case.day(MONDAY + days(1))
    case.tell(WorkStarted, whole, "strip", "fitter")
    later = MONDAY + days(2)
    begun, _, _ = case.seen(later)
    least = 12 / 8
    mean = HOURS["strip"] / 8
    assert least > 1
    assert begun.days_from_now(begun.vehicles["11"].coming[0].ends) == pytest.approx(
        mean - 1, abs=0.01
    )
    other = Case()
    whole = other.let_in_type("11")
    other.day(MONDAY)
    other.put(whole, "strip")
    other.tell(Held, whole, Cause.PART, "motor")
    held, _, _ = other.seen(later)
    assert held.days_from_now(held.vehicles["11"].coming[0].ends) == pytest.approx(mean, abs=0.01)


def test_what_failed_is_put_right_and_done_again() -> None:
    """After a failed test the whole stage lies ahead again, after its rectification."""

    def rectified(tables: dict[str, list[dict[str, str]]]) -> None:
        for row in tables["stages"]:
            if row["stage_id"] == "test":
                row |= {"first_pass_share": "0.8", "rectify_hours": "4"}

    case = Case(small_works(rectified))
    whole = case.married("11")
    case.passes(whole, "marry")
    case.passes(whole, "fitout")
    case.put(whole, "test")
    case.tell(Failed, whole, "test", "brake")
    seen, _, _ = case.seen()
    left = seen.days_from_now(seen.vehicles["11"].ready_day)
    assert left == pytest.approx((4 + HOURS["test"]) / 8)


def test_waits_of_the_line_are_added() -> None:
    """Four hours of mean wait are half a day; of a growing queue no mean is known."""
    line = made_plan()[0].line
    known = replace(line.stages[0], stage_id="strip", wait_hours=3, batch_wait_hours=1)
    grows = replace(known, stage_id="body", wait_grows_hours=9)
    paced = replace(line, stages=(replace(known, wait_grows_hours=0), grows))
    works = small_works()
    assert mean_waits(works, None) == {}
    assert mean_waits(works, paced) == {"strip": 0.5}
    case = Case()
    case.let_in_type("11")
    bare = ahead(works, case.now, case.at())
    waited = ahead(works, case.now, case.at(), paced)
    assert waited.waits_from == "the line of the plan"
    late = [
        two.begins - one.begins
        for one, two in zip(bare.vehicles["11"].coming, waited.vehicles["11"].coming, strict=True)
    ]
    assert late == pytest.approx([0.5] * len(late), abs=0.01)


def test_a_vehicle_of_unknown_type_is_left_out() -> None:
    """What the works has no route for is not sent along one."""
    case = Case()
    case.let_in_type("11", "monorail")
    assert case.seen()[0].vehicles == {}
    assert vehicle("11") in case.now.pieces
