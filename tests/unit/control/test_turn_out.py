"""Shop day sheets, by hand."""

from datetime import datetime

import pytest

from control_case import Case
from pacewright.control.cover import covers
from pacewright.control.demand import Demand
from pacewright.control.shop_sheet import Advice, ShopSheet, UnitsDue
from pacewright.control.turn_out import TurnOut, shop_sheets
from pacewright.events.record import Attended
from pacewright.events.things import Condition, Unit
from pacewright.events.units import UnitEntered

MONDAY = datetime(2026, 3, 9, 7, 0)
ASKED = Demand({"motor": 0.2, "axle": 0.2, "valve": 0.8}, 0.2, "test")


def sheets(case: Case, now: datetime = MONDAY, asked: Demand = ASKED) -> dict[str, ShopSheet]:
    """The sheets by shop."""
    seen, wanted, pool = case.seen(now)
    cover = covers(seen, pool, asked)
    given = TurnOut(case.works, case.now, seen, wanted, pool, cover, asked)
    return {one.shop_id: one for one in shop_sheets(given)}


def motor(case: Case, now: datetime = MONDAY) -> UnitsDue:
    """The line of motors."""
    return sheets(case, now)["elec"].units[0]


def entered(case: Case, condition: Condition, count: int) -> None:
    """Motors of a condition are counted in the store."""
    for n in range(count):
        case.tell(UnitEntered, Unit("motor", f"{condition}-{n}"), condition, "store")


def test_what_a_vehicle_stands_for_comes_first() -> None:
    """The motor of the vehicle in the fit-out is due today, and no more than is in repair."""
    case = Case()
    whole = case.married("11")
    case.passes(whole, "marry")
    case.put(whole, "fitout")
    case.off(whole, "motor", "M-1")
    found = motor(case)
    assert (found.due_today, found.due_week, found.turn_out) == (1, 1, 1)
    assert found.advice is Advice.FIRST


def test_due_this_week_and_not_today() -> None:
    """A vehicle that comes to the fit-out on Tuesday needs its motor this week."""
    case = Case()
    whole = case.married("11")
    case.off(whole, "motor", "M-1")
    case.day(MONDAY)
    case.put(whole, "marry")
    found = motor(case, case.at())
    assert (found.due_today, found.due_week) == (1, 1), "marry lasts six hours, so it is today"
    other = Case()
    body, chassis = other.parted("12")
    other.day(MONDAY)
    other.put(body, "body")
    found = motor(other, other.at())
    assert found.due_week == 0
    assert chassis


def test_a_full_store_says_do_not_start() -> None:
    """Mean demand of one turn 0.2 x 9 = 1.8, full at 1.8 + 2 sqrt(1.8) = 4.5, so 5."""
    case = Case()
    entered(case, Condition.SERVICEABLE, 5)
    entered(case, Condition.UNSERVICEABLE, 2)
    found = motor(case)
    assert (found.full_at, found.serviceable, found.to_repair) == (5, 5, 2)
    assert found.advice is Advice.DO_NOT_START
    assert found.turn_out == 0


def test_with_room_in_the_store_the_pace_is_kept() -> None:
    """Two in store, five to repair: the pace of a week is one, and one is to be turned out."""
    case = Case()
    entered(case, Condition.SERVICEABLE, 2)
    entered(case, Condition.UNSERVICEABLE, 5)
    found = motor(case)
    assert found.at_pace == pytest.approx(1)
    assert found.turn_out == 1
    assert found.advice is Advice.KEEP_PACE
    assert found.hours_each == pytest.approx(14 + 0.08 * 40)


def test_what_runs_out_first_stands_first() -> None:
    """Of the running gear shop the empty axles stand before the valves in store."""
    case = Case()
    for n in range(40):
        case.tell(UnitEntered, Unit("valve", f"V-{n}"), Condition.SERVICEABLE, "store")
    rows = sheets(case)["run"].units
    assert [one.unit_kind_id for one in rows] == ["axle", "valve"]


def test_pieces_due_by_the_way_ahead() -> None:
    """Begun on Monday morning, the strip (16.7 h of 8 a day) is due this week, not today."""
    case = Case()
    whole = case.let_in_type("11")
    case.day(MONDAY)
    case.put(whole, "strip")
    strip = sheets(case, case.at())["strip"].pieces[0]
    assert (strip.there, strip.due_today, strip.due_week) == (1, 0, 1)
    later = sheets(case, datetime(2026, 3, 11, 7, 0))["strip"].pieces[0]
    assert (later.due_today, later.pieces_today) == (1, ("vehicle 11",))


def test_hours_against_people() -> None:
    """Strip: 36 h over 16.67 h of stay, so 17.28 h fall on Monday; 4 x 8 x 0.9 are there."""
    case = Case()
    whole = case.let_in_type("11")
    case.day(MONDAY)
    case.put(whole, "strip")
    row = sheets(case, case.at())["strip"].hours[0]
    assert row.needed_today == pytest.approx(36 * 8 / (100 / 6), abs=0.1)
    assert row.able_today == pytest.approx(4 * 8 * 0.9, abs=0.1)
    assert not row.attended
    assert row.able_week == pytest.approx(5 * 4 * 8 * 0.9, abs=0.1)


def test_attendance_told_stands_before_the_usual_day() -> None:
    """Two fitters with 15 hours came: that is what today can do."""
    case = Case()
    case.let_in_type("11")
    case.day(MONDAY)
    case.tell(Attended, "strip", "fitter", MONDAY.date(), 2.0, 15.0)
    row = sheets(case, MONDAY)["strip"].hours[0]
    assert row.attended
    assert row.able_today == pytest.approx(15)
