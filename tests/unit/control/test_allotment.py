"""The allotment of a works told event by event."""

from datetime import datetime
from math import inf

import pytest

from control_case import Case, days
from pacewright.control.allotment import Seen, allotment
from pacewright.control.door import door_of
from pacewright.control.shortages import shortages
from pacewright.events.gate import Promised
from pacewright.events.stages import Held, Stored
from pacewright.events.things import Cause, Piece, Unit
from pacewright.events.units import Cleared, Issued, Quarantined, Reconditioned, Removed
from pacewright.plans.allotment import Allotment
from small_works import Tables, small_works

MONDAY = datetime(2026, 3, 9, 7, 0)


def pairs_kept(tables: Tables) -> None:
    """A motor is matched with an axle; each type carries as many."""
    for row in tables["unit_kinds"]:
        if row["unit_kind_id"] == "motor":
            row["keep_with_kind_id"] = "axle"


def proposed(case: Case, look_days: float = 15, issue_days: float = 3) -> Allotment:
    """What is proposed a minute after the last event."""
    seen, wanted, pool = case.seen()
    return allotment(
        Seen(case.works, case.now, seen, wanted, pool, door_of(case.works)), look_days, issue_days
    )


def two_that_lack_a_motor() -> Case:
    """101 and 102 are whole again and owed a motor each; one motor is in store."""
    case = Case()
    for number in ("101", "102"):
        whole = case.married(number)
        case.put(whole, "fitout", int(number[-1]))
        case.off(whole, "motor", f"M-{number}")
    case.in_store("motor", "M-new")
    return case


def test_the_unit_goes_to_the_promise_that_would_break() -> None:
    """One motor for two: the vehicle with a promise near gets it, the other waits for its turn."""
    case = two_that_lack_a_motor()
    case.tell(Promised, "101", (case.at() + days(200)).date())
    case.tell(Promised, "102", (case.at() + days(6)).date())
    made = proposed(case)
    (unit,) = made.units
    assert (unit.unit, unit.vehicle_id) == ("motor:M-new", "102")
    assert "1 in store for 2 needs: its promise leaves it" in unit.reason
    assert unit.scarce
    (other,) = made.awaiting
    assert other.vehicle_id == "101"
    assert other.gets.startswith("motor:M-10")
    assert other.first_need == case.at().date(), "the list gives the one in store to the first"
    assert other.why.startswith("an earlier one goes to vehicle 102; this waits: ")
    assert other.why.endswith(" days before its promise")
    assert made.card.status == "optimal"
    assert made.card.bound <= made.card.objective + 1e-9


def test_what_was_issued_stays() -> None:
    """A unit given out for a vehicle is not proposed for another, and its need is met."""
    case = two_that_lack_a_motor()
    case.tell(Issued, Unit("motor", "M-new"), Piece("vehicle", "101"))
    made = proposed(case)
    assert made.units == ()
    assert [one.vehicle_id for one in made.awaiting] == ["102"]


def test_own_body_and_chassis_are_married_where_nothing_speaks_against_it() -> None:
    """Two parted vehicles: each gets its own chassis, though any would do."""
    case = Case()
    for number in ("101", "102"):
        body, chassis = case.parted(number)
        case.passes(chassis, "chstrip", int(number[-1]))
        case.put(body, "body", int(number[-1]))
    made = proposed(case, look_days=200)
    assert {(one.assembly, one.vehicle_id, one.own) for one in made.assemblies} == {
        ("chassis:C-101", "101", True),
        ("chassis:C-102", "102", True),
    }


def test_a_pair_goes_together_and_is_held_back_till_both_are_good() -> None:
    """Motor and axle that came off together: neither goes while the other is in repair."""
    case = Case(small_works(pairs_kept))
    whole = case.married("101")
    case.put(whole, "fitout")
    case.tell(Removed, Unit("motor", "M-1"), whole)
    case.tell(Removed, Unit("axle", "A-1"), whole)
    case.tell(Reconditioned, Unit("motor", "M-1"), "")
    made = proposed(case)
    assert made.units == ()
    assert made.held_back == ("motor:M-1",)
    case.tell(Reconditioned, Unit("axle", "A-1"), "")
    made = proposed(case)
    assert {(one.unit, one.with_unit) for one in made.units} == {
        ("motor:M-1", "axle:A-1"),
        ("axle:A-1", "motor:M-1"),
    }


def test_a_unit_whose_mate_is_in_quarantine_is_held_back() -> None:
    """Until the mate is cleared nothing is proposed for the other."""
    case = Case(small_works(pairs_kept))
    whole = case.married("101")
    case.put(whole, "fitout")
    case.tell(Removed, Unit("motor", "M-1"), whole)
    case.tell(Removed, Unit("axle", "A-1"), whole)
    case.tell(Quarantined, Unit("axle", "A-1"), "crack looked for")
    case.tell(Reconditioned, Unit("motor", "M-1"), "")
    assert proposed(case).held_back == ("motor:M-1",)
    assert proposed(case).units == ()
    case.tell(Cleared, Unit("axle", "A-1"), "I. Inspector")
    case.tell(Reconditioned, Unit("axle", "A-1"), "")
    assert len(proposed(case).units) == 2


@pytest.mark.parametrize("look", [1.0, 15.0])
def test_needs_beyond_the_look_ahead_are_left_alone(look: float) -> None:
    """A vehicle whose fitting begins later than looked at gets nothing yet."""
    case = Case()
    whole = case.let_in_type("101")
    case.put(whole, "strip")
    case.off(whole, "motor", "M-1")
    case.in_store("motor", "M-2")
    assert len(proposed(case, look, look).units) == int(look > 10)
    assert proposed(case, look, 1.0).units == ()


def test_a_held_vehicle_is_still_allotted_what_it_needs() -> None:
    """A hold for a part is no reason to leave it without the part."""
    case = two_that_lack_a_motor()
    case.tell(Held, Piece("vehicle", "101"), Cause.PART, "motor")
    assert len(proposed(case).units) == 1


def test_the_list_and_the_allotment_name_the_same_days() -> None:
    """Five vehicles, their motors in repair: the first, the second ... back, for both the same."""
    case = Case()
    for number in ("101", "102", "103", "104", "105"):
        whole = case.married(number)
        case.tell(Stored, whole, "floor")
        case.off(whole, "motor", f"M-{number}")
        case.day(case.at() + days(1))
    seen, wanted, pool = case.seen()
    made = allotment(Seen(case.works, case.now, seen, wanted, pool, door_of(case.works)), 60.0)
    listed = {
        one.vehicle_id: seen.clock.date_of(one.expected_day or inf)
        for one in shortages(seen, wanted, pool, 60.0)
        if one.unit_kind_id == "motor"
    }
    waits = {one.vehicle_id: one for one in made.awaiting if one.sort == "motor"}
    assert len(listed) >= 3
    assert {name: waits[name].first_need for name in listed} == listed
    assert all(one.expected == one.first_need for one in waits.values() if not one.why)
    assert len({one.expected for one in waits.values()}) > 2, "each has a day of its own"
    lone = pool["motor"].coming[0].day
    assert min(listed.values()) < seen.clock.date_of(lone), "the first of five is back sooner"


def test_a_matched_unit_is_back_on_its_own_day() -> None:
    """No other motor will do for the axle in store: its own day stands, and the page says why."""
    case = Case(small_works(pairs_kept))
    for number in ("101", "102", "103"):
        whole = case.married(number)
        case.tell(Stored, whole, "floor")
        case.off(whole, "motor", f"M-{number}")
        if number == "101":
            case.off(whole, "axle", "A-1")
            case.tell(Reconditioned, Unit("axle", "A-1"), "")
    made = proposed(case, look_days=60)
    (one,) = [one for one in made.awaiting if one.gets == "motor:M-101"]
    assert one.vehicle_id == "101"
    assert one.why == "matched with axle:A-1: no other will do"
    assert one.first_need is not None
    assert one.expected is not None
    assert one.first_need < one.expected
