"""The planner's sheets say what the record and the plan say, and add up."""

from collections.abc import Iterator
from typing import Any

import pytest

from pacewright.control.days_ahead import people_days, places_days
from pacewright.control.hours import stage_hours
from pacewright.events.record import Attended
from pacewright.events.things import Condition, Unit
from pacewright.events.units import UnitEntered
from pacewright.office.desk import Desk
from pacewright.office.errors import NotFoundError
from pacewright.office.sheets import today_paper
from pacewright.office.sheets.catalogue import SHEETS
from pacewright.office.sheets.today_made import coming_in, loaded
from pacewright.office.sheets.today_paper import day_paper, plan_job
from pacewright.reports.sheet import Sheet, sheet_data
from planner_desk import NOW, empty_desk, story_desk
from record_entries import entries


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The story's works: 101 in the fit-out, 102 stripped, 103 parted, 105 at the gate."""
    made = story_desk(tmp_path_factory.mktemp("planner"), roles=())
    yield made
    made.close()


def sheet(desk: Desk, key: str, **asked: str) -> Sheet:
    """A sheet by its key."""
    return SHEETS[key].make(desk, asked)


def rows(one: Sheet, key: str) -> list[dict[str, Any]]:
    """The rows of a part, as REST gives them."""
    found: list[dict[str, Any]] = sheet_data(one)["tables"][key]["rows"]
    return found


def test_today_names_what_stands_and_why(desk: Desk) -> None:
    """101 waits for the motor that came off it; the page says so, and who must turn one out."""
    made = sheet(desk, "today")
    blocked = {row["vehicle_id"]: row for row in rows(made, "blocked")}
    assert blocked["101"]["cause"] == "part"
    assert "motor" in blocked["101"]["waits_for"]
    due = {row["unit_kind_id"]: row for row in rows(made, "units_due")}
    assert due["motor"]["due_today"] == 1
    assert made.figures[0].value == "3"


def test_today_lists_only_what_is_due(desk: Desk) -> None:
    """A row without anything due is left to the page of its shop, and the page says how many."""
    made = sheet(desk, "today")
    for row in rows(made, "units_due"):
        assert row["due_today"] or row["due_span"] or row["turn_out"]
    part = made.part("units_due")
    assert part is not None
    assert "Left out:" in part.how


def test_an_empty_record_is_said_to_be_empty(tmp_path: Any) -> None:
    """Without one event the page says that the record is empty, not that all is well."""
    desk = empty_desk(tmp_path, ())
    assert "The record is empty" in sheet(desk, "today").answer[0]
    desk.close()


def test_hours_of_a_stay_fall_where_it_stands(desk: Desk) -> None:
    """The days of the strip shop add up to what is left of its stays, none lost and none twice."""
    paper = day_paper(desk)
    load = loaded(paper.works, paper.standing, paper.today, paper.plan)
    mine = [one for one in people_days(load, 30) if one.trade_id == "fitter"
            and one.shop_id == "strip"]  # fmt: skip
    inside = sum(one.inside for one in mine)
    stays = [one for one in paper.today.seen.stays if one.stage_id in ("strip", "marry")]
    asked = 0.0
    for stay in stays:
        each = stage_hours(paper.works, stay.stage_id, stay.type_id)["fitter"]
        left = stay.ends - max(stay.begins, paper.today.seen.now_day)
        asked += each * left / (stay.ends - stay.begins)
    assert inside == pytest.approx(asked)
    assert stage_hours(paper.works, "strip", "solo")["fitter"] == 36


def test_vehicles_at_the_gate_load_the_days_ahead(desk: Desk) -> None:
    """105 waits at the gate: it counts once, from now on, and no other comes today."""
    paper = day_paper(desk)
    now = paper.today.now
    assert [one for one in coming_in(paper.standing, now, paper.plan) if one[1] == now] == [
        ("solo", now)
    ]


def test_no_stage_is_over_full_of_what_stands_there(desk: Desk) -> None:
    """On the first day a stage where one piece stands all day is taken by one at most."""
    paper = day_paper(desk)
    load = loaded(paper.works, paper.standing, paper.today, paper.plan)
    first = {one.stage_id: one for one in places_days(load, 1)}
    assert 0 < first["fitout"].inside <= 1 + 1e-9
    assert first["fitout"].positions == 2


def test_a_shop_shows_who_stands_there_and_who_waits(desk: Desk) -> None:
    """The electrical shop holds 101; its motors stand on its sheet; the strip shop holds 102."""
    made = sheet(desk, "shop", shop_id="elec")
    assert [row["vehicle_id"] for row in rows(made, "there")] == ["101"]
    assert rows(made, "there")[0]["state"].startswith("held")
    assert "motor" in [row["unit_kind_id"] for row in rows(made, "units_due")]
    assert [row["vehicle_id"] for row in rows(sheet(desk, "shop", shop_id="strip"), "there")] == [
        "102"
    ]


def test_shops_add_up_to_the_works(desk: Desk) -> None:
    """Pieces on the stages of all shops are the pieces the record has on positions."""
    there = sum(row["there"] for row in rows(sheet(desk, "shops"), "shops"))
    assert there == sum(len(one) for one in day_paper(desk).standing.occupied.values())


def test_an_unknown_shop_is_refused_with_those_there_are(desk: Desk) -> None:
    """The message names the shops."""
    with pytest.raises(NotFoundError, match="strip, body, run, elec, paint, test"):
        sheet(desk, "shop", shop_id="nowhere")


def test_a_slow_day_is_shown_as_it_was_while_the_new_one_is_made(
    tmp_path: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the day takes long pages do not wait; they say up to which event they know."""
    desk = story_desk(tmp_path, roles=())
    assert plan_job(desk, 60).there()
    first = day_paper(desk)
    monkeypatch.setattr(today_paper, "WAIT_SECONDS", -1.0)
    told_then = first.place
    desk.book(entries([Attended(NOW, "elec", "elec", NOW.date(), 2.0, 16.0)], start=900))
    at_once = day_paper(desk)
    assert at_once.place in (told_then, told_then + 1)
    monkeypatch.setattr(today_paper, "REST", 1e9)
    resting = day_paper(desk)
    desk.book(entries([Attended(NOW, "elec", "elec", NOW.date(), 3.0, 24.0)], start=901))
    assert day_paper(desk) is resting, "made anew though it rests"
    monkeypatch.setattr(today_paper, "WAIT_SECONDS", 60.0)
    assert day_paper(desk).place == told_then + 2, "a quick day never rests"
    desk.close()


def test_what_was_booked_a_moment_ago_is_known_though_the_day_is_of_before(
    tmp_path: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A unit counted just now is scanned while the last day rests: its page is there."""
    desk = story_desk(tmp_path, roles=())
    assert plan_job(desk, 60).there()
    day_paper(desk)
    for name, held in (("WAIT_SECONDS", -1.0), ("REST", 1e9), ("STALE_SECONDS", 1e9)):
        monkeypatch.setattr(today_paper, name, held)
    unit = Unit("motor", "JUST-NOW")
    new = UnitEntered(NOW, unit, Condition.SERVICEABLE, "store")
    (answer,) = desk.book(entries([new], start=920))
    assert answer.place, answer.reasons
    assert unit not in day_paper(desk).standing.units
    life = sheet(desk, "serial", code="motor:JUST-NOW")
    assert str(unit) in life.question
    with pytest.raises(NotFoundError, match="the record knows no unit"):
        sheet(desk, "serial", code="motor:NEVER")
    desk.close()
