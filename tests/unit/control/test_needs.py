"""What each vehicle still needs, where and by when."""

from datetime import datetime

import pytest

from control_case import Case
from pacewright.control.needs import Need
from pacewright.events.identity import Modified, Stripped
from pacewright.events.stages import StageFinished
from pacewright.events.things import Piece, Unit
from pacewright.events.units import Fitted, Issued
from small_works import small_works

MONDAY = datetime(2026, 3, 9, 7, 0)


def by_kind(case: Case, now: datetime | None = None) -> dict[tuple[str, str], Need]:
    """(piece in words, kind) -> need."""
    return {(str(one.piece), one.unit_kind_id): one for one in case.seen(now)[1]}


def test_what_has_not_come_off_yet_is_expected_by_its_share() -> None:
    """Of a vehicle just in: motor 1, axle 0.9 of 1, and all 4 valves, which must be changed."""
    case = Case()
    case.let_in_type("11")
    found = by_kind(case)
    wanted = {kind: one.wanted for (_, kind), one in found.items()}
    assert wanted == {"motor": 1, "axle": pytest.approx(0.9), "valve": 4}
    assert found["vehicle 11", "valve"].must_change
    assert all(one.owed == 0 for one in found.values())


def test_what_came_off_is_owed_and_not_expected_twice() -> None:
    """In the strip one motor and one valve are off: 3 valves more are expected, no motor."""
    case = Case()
    whole = case.let_in_type("11")
    case.put(whole, "strip")
    case.off(whole, "motor", "M-1")
    case.off(whole, "valve", "V-1")
    found = by_kind(case)
    assert (found["vehicle 11", "motor"].owed, found["vehicle 11", "motor"].expected) == (1, 0)
    assert (found["vehicle 11", "valve"].owed, found["vehicle 11", "valve"].expected) == (1, 3)


def test_when_all_is_off_nothing_more_is_expected() -> None:
    """After the strip is done, or said to be closed, only what is owed is needed."""
    case = Case()
    whole = case.let_in_type("11")
    case.put(whole, "strip")
    case.off(whole, "motor", "M-1")
    case.tell(Stripped, "11")
    assert {kind for _, kind in by_kind(case)} == {"motor", "axle"}
    case.tell(StageFinished, whole, "strip")
    assert {kind for _, kind in by_kind(case)} == {"motor", "axle"}


def test_an_assembly_has_needs_of_its_own() -> None:
    """The axle comes off the chassis at its strip and goes on at its build; the motor stays due."""
    case = Case()
    body, chassis = case.parted("11")
    assert by_kind(case)["chassis C-11", "axle"].expected == pytest.approx(0.9)
    case.put(chassis, "chstrip")
    case.off(chassis, "axle", "A-1")
    found = by_kind(case)
    need = found["chassis C-11", "axle"]
    assert (need.owed, need.expected, need.vehicle_id) == (1, 0, "11")
    seen, _, _ = case.seen()
    build = seen.assemblies[chassis].coming[1]
    assert build.stage_id == "chbuild"
    assert need.needed_day == build.begins
    assert (str(body), "axle") not in found


def test_needed_when_the_stage_begins_where_it_goes_on() -> None:
    """The motor is needed when the fit-out begins; once in the fit-out, now."""
    case = Case()
    whole = case.let_in_type("11")
    case.put(whole, "strip")
    case.off(whole, "motor", "M-1")
    seen, wanted, _ = case.seen()
    fitout = next(one for one in seen.vehicles["11"].coming if one.stage_id == "fitout")
    assert next(n for n in wanted if n.unit_kind_id == "motor").needed_day == fitout.begins
    other = Case()
    whole = other.married("12")
    other.passes(whole, "marry")
    other.put(whole, "fitout")
    other.off(whole, "motor", "M-1")
    seen, wanted, _ = other.seen(MONDAY)
    assert next(n for n in wanted if n.unit_kind_id == "motor").needed_day == seen.now_day


def test_issued_units_are_set_against_what_is_owed() -> None:
    """A motor given out for the vehicle leaves nothing to wait for; fitted, nothing is owed."""
    case = Case()
    whole = case.let_in_type("11")
    case.put(whole, "strip")
    case.off(whole, "motor", "M-1")
    case.in_store("motor", "M-9")
    case.tell(Issued, Unit("motor", "M-9"), whole)
    need = by_kind(case)["vehicle 11", "motor"]
    assert (need.owed, need.issued, need.wanted) == (1, 1, 0)
    case.tell(Fitted, Unit("motor", "M-9"), whole)
    case.tell(Stripped, "11")
    assert ("vehicle 11", "motor") not in by_kind(case)


def test_must_change_is_needed_though_it_never_came_off() -> None:
    """A vehicle whole again whose valves were not changed still needs all of them."""
    case = Case()
    whole = case.married("11")
    need = by_kind(case)["vehicle 11", "valve"]
    assert (need.owed, need.expected, need.must_change) == (0, 4, True)
    case.passes(whole, "marry")
    case.put(whole, "fitout")
    case.off(whole, "valve", "V-1", "V-2")
    case.in_store("valve", "V-7")
    case.tell(Fitted, Unit("valve", "V-7"), whole)
    need = by_kind(case)["vehicle 11", "valve"]
    assert (need.owed, need.expected) == (1, 2)
    assert need.wanted == 3, "one is changed, one owed, two never came off"


def test_what_a_campaign_does_away_with_is_not_expected() -> None:
    """A kind carried until a campaign is needed before it is done, and not after."""

    def until_doors(tables: dict[str, list[dict[str, str]]]) -> None:
        for row in tables["fits"]:
            if row["unit_kind_id"] == "motor":
                row["until_campaign_id"] = "doors"

    case = Case(small_works(until_doors))
    case.let_in_type("11")
    assert ("vehicle 11", "motor") in by_kind(case)
    case.tell(Modified, "11", "doors")
    assert ("vehicle 11", "motor") not in by_kind(case)


def test_the_need_of_a_former_chassis_follows_it() -> None:
    """An axle owed by the vehicle since before parting is needed when its old chassis is built."""
    case = Case()
    whole = case.let_in_type("11")
    case.put(whole, "strip")
    case.off(whole, "axle", "A-1")
    seen, wanted, _ = case.seen()
    need = next(one for one in wanted if one.unit_kind_id == "axle")
    assert need.piece == whole
    assert need.needed_day == seen.vehicles["11"].parts_coming["chassis"]["chbuild"]
    assert Piece("chassis", "C-11") not in case.now.pieces
