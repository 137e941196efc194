"""What stands idle, entry advice, and changes since yesterday."""

from datetime import date, datetime

import pytest

from control_case import Case, days, look
from pacewright.control.changes import Change, ChangeKind, Then, changes
from pacewright.control.day import today
from pacewright.control.demand import Demand
from pacewright.control.entry import Entry, entry
from pacewright.control.idle import NOT_BEGUN, NOT_MOVED, Idle, idle, idle_sums
from pacewright.control.moves import next_moves
from pacewright.control.shortages import shortages
from pacewright.control.turns_seen import turns_seen
from pacewright.events.gate import Arrived, Called, Released
from pacewright.events.stages import Held, StageFinished, WorkStarted
from pacewright.events.things import Cause, Unit
from pacewright.events.units import Fitted, Reconditioned, Removed
from small_works import SETTINGS, small_works

MONDAY = datetime(2026, 3, 9, 7, 0)
ASKED = Demand({}, 0.2, "test")


def stands(case: Case, now: datetime) -> dict[str, Idle]:
    """What stands idle, by piece."""
    seen, wanted, pool = case.seen(now)
    found = next_moves(case.works, case.now, seen, wanted, pool)
    return {one.piece: one for one in idle(case.now, seen, found)}


def test_a_finished_vehicle_not_moved_is_idle() -> None:
    """Done on Monday morning and not moved by Wednesday morning: two days."""
    case = Case()
    whole = case.married("11")
    case.put(whole, "marry")
    case.in_store("motor", "M-1")
    case.in_store("valve", "V-1", "V-2", "V-3", "V-4")
    case.day(MONDAY)
    case.tell(StageFinished, whole, "marry")
    one = stands(case, MONDAY + days(2))["vehicle 11"]
    assert one.cause == NOT_MOVED
    assert one.days == pytest.approx(2, abs=0.01)


def test_a_held_vehicle_is_idle_by_its_hold() -> None:
    """Held for safety since Monday: cause and days are those of the hold."""
    case = Case()
    whole = case.let_in_type("11")
    case.passes(whole, "strip")
    case.day(MONDAY)
    case.tell(Held, whole, Cause.SAFETY, "", "air not drained")
    one = stands(case, MONDAY + days(1))["vehicle 11"]
    assert (one.cause, one.is_vehicle) == ("safety", True)
    assert one.days == pytest.approx(1, abs=0.01)


def test_work_not_begun_is_told_where_work_is_booked() -> None:
    """Two stand in the body shop: at one a trade is at work, the other is not begun."""
    case = Case()
    first, _ = case.parted("11")
    second, _ = case.parted("12")
    case.put(first, "body", 1)
    case.put(second, "body", 2)
    assert str(second) not in stands(case, MONDAY), "nobody books work, so nothing is known"
    case.tell(WorkStarted, first, "body", "body")
    found = stands(case, MONDAY)
    assert found[str(second)].cause == NOT_BEGUN
    assert str(first) not in found


def test_the_gate_and_loose_assemblies_are_counted_apart() -> None:
    """A vehicle at the gate is a vehicle; a chassis that waits for a position is none."""
    case = Case()
    case.parted("11")
    case.day(MONDAY)
    case.tell(Arrived, "12", "solo", "north")
    found = stands(case, MONDAY + days(1))
    assert found["vehicle 12"].cause == "gate"
    assert not found["chassis C-11"].is_vehicle
    sums = {one.cause: one for one in idle_sums(tuple(found.values()))}
    assert (sums["gate"].vehicles, sums["gate"].assemblies) == (1, 0)
    assert sums[NOT_MOVED].assemblies == 1
    assert sums[NOT_MOVED].vehicles == 1, "the body carries the number"


def advice(case: Case, limit_days: float | None = None) -> Entry | None:
    """Entry advice now."""
    return entry(case.works, case.now, case.seen()[0], ASKED, limit_days)


def test_an_empty_works_lets_in() -> None:
    """The vehicle longest at the gate is let in, before one that is only called."""
    case = Case()
    case.tell(Called, "13", "solo", "north", date(2026, 3, 1))
    case.tell(Arrived, "12", "solo", "north")
    case.tell(Arrived, "11", "solo", "north")
    found = advice(case)
    assert found is not None
    assert (found.let_in, found.vehicle_id) == (True, "12")
    assert all(one.wait_days == 0 for one in found.loads)
    assert advice(Case()) is None


def test_a_taken_strip_holds_the_next_until_it_is_nearly_free() -> None:
    """16.67 h of strip ahead, 8 a day: 2.08 days of wait, one allowed; ask in 1.08 days."""
    case = Case()
    whole = case.let_in_type("11")
    case.day(MONDAY)
    case.put(whole, "strip")
    case.tell(Arrived, "12", "solo", "north")
    found = advice(case, 1.0)
    assert found is not None
    assert not found.let_in
    assert (found.loads[0].place, found.loads[0].sort) == ("strip", "positions")
    assert found.loads[0].wait_days == pytest.approx(100 / 6 / 8, abs=0.01)
    seen, _, _ = case.seen()
    assert found.ask_again_day is not None
    assert seen.days_from_now(found.ask_again_day) == pytest.approx(100 / 6 / 8 - 1, abs=0.01)
    usual = advice(case)
    assert usual is not None
    assert usual.limit_days == pytest.approx(5), "one takt of one vehicle a week"
    assert usual.let_in
    assert "5.0 are allowed (one takt of" in usual.reason
    assert "takt" not in found.reason, "the limit was asked for"


def test_the_limit_of_vehicles_inside_holds() -> None:
    """One may be inside and one is: hold, and ask when it is ready."""
    settings = SETTINGS.replace("planned_weeks = 52", "planned_weeks = 52\ninside_limit = 1")
    case = Case(small_works(settings_toml=settings))
    case.married("11")
    case.tell(Arrived, "12", "solo", "north")
    found = advice(case)
    assert found is not None
    assert not found.let_in
    assert "inside: 1, and 1 may be" in found.reason
    seen, _, _ = case.seen()
    assert found.ask_again_day == seen.vehicles["11"].ready_day


def then(case: Case, now: datetime) -> Then:
    """All of a moment that is compared."""
    copy = case.now.copy()
    seen, wanted, pool = look(case.works, copy, now)
    return Then(copy, seen, shortages(seen, wanted, pool))


def kinds(found: tuple[Change, ...]) -> dict[ChangeKind, str]:
    """Kind of change -> what changed."""
    return {one.kind: one.what for one in found}


def test_what_changed_is_told_and_a_day_gone_by_is_none() -> None:
    """Moved on, held, short, arrived: each told; a vehicle that keeps its date is not."""
    case = Case()
    kept = case.let_in_type("10")
    case.day(MONDAY)
    case.put(kept, "strip")
    before = then(case, case.at())
    after = then(case, MONDAY + days(1))
    assert changes(before, after) == ()
    case.day(MONDAY + days(1))
    case.tell(Held, kept, Cause.INSPECTION, "", "crack")
    case.tell(Arrived, "12", "solo", "north")
    found = kinds(changes(before, then(case, MONDAY + days(3))))
    assert found[ChangeKind.HELD] == "vehicle 10"
    assert found[ChangeKind.ARRIVED] == "vehicle 12"
    assert found[ChangeKind.LATER] == "vehicle 10"


def test_moves_releases_and_shortages_are_told() -> None:
    """A vehicle let in, one moved on, one released, a shortage come and gone."""
    case = Case()
    whole = case.married("11")
    case.passes(whole, "marry")
    case.put(whole, "fitout")
    before = then(case, MONDAY)
    case.day(MONDAY)
    case.off(whole, "motor", "M-1")
    short = then(case, MONDAY + days(1))
    assert kinds(changes(before, short))[ChangeKind.NEW_SHORTAGE] == "motor for vehicle 11"
    case.tell(Reconditioned, Unit("motor", "M-1"), "elec")
    case.tell(Fitted, Unit("motor", "M-1"), whole)
    over = then(case, MONDAY + days(1))
    assert kinds(changes(short, over))[ChangeKind.SHORTAGE_OVER] == "motor for vehicle 11"
    case.tell(StageFinished, whole, "fitout")
    case.put(whole, "test")
    case.let_in_type("12")
    moved = kinds(changes(over, then(case, MONDAY + days(1))))
    assert moved[ChangeKind.MOVED_ON] == "vehicle 11"
    assert moved[ChangeKind.LET_IN] == "vehicle 12"
    case.tell(StageFinished, whole, "test")
    case.tell(Released, "11", "inspector 1")
    released = kinds(changes(over, then(case, MONDAY + days(1))))
    assert released[ChangeKind.RELEASED] == "vehicle 11"


def test_turns_seen_are_those_of_the_record() -> None:
    """Ten motors off on Monday and made good after 4 working days: mean 4, sd 0, sample 10."""
    case = Case()
    whole = case.let_in_type("11")
    case.put(whole, "strip")
    case.day(MONDAY)
    for n in range(10):
        case.tell(Removed, Unit("motor", f"M-{n}"), whole)
    case.tell(Removed, Unit("axle", "A-1"), whole)
    case.day(MONDAY + days(4))
    for n in range(10):
        case.tell(Reconditioned, Unit("motor", f"M-{n}"), "elec")
    case.tell(Reconditioned, Unit("axle", "A-1"), "run")
    seen, _, _ = case.seen()
    found = turns_seen(case.now, seen.clock, case.at())
    assert set(found) == {"motor"}, "one axle is too few"
    mean, sd, sample = found["motor"]
    assert (mean, sd, sample) == (pytest.approx(4, abs=0.01), pytest.approx(0, abs=0.01), 10)
    later = turns_seen(case.now, seen.clock, case.at() + days(400))
    assert later == {}, "older than a year"


def test_the_day_is_whole_without_plan_or_yesterday() -> None:
    """A day worked out from the standing alone has every part, and nothing changed."""
    case = Case()
    case.let_in_type("11")
    one = today(case.works, case.now, case.at())
    assert one.changed == ()
    assert one.since is None
    assert [sheet.shop_id for sheet in one.sheets] == [s.shop_id for s in case.works.shops]
    assert len(one.cover) == len(case.works.unit_kinds)
