"""The scope of a vehicle, reckoned by hand from the tables of the small works.

Standard hours of a solo, by hand: stages st-1 36, bd-1 0.8 x 44 = 35.2, bd-2 0.35 x 26 = 9.1, pt-1
18, ch-1 14, ch-3 24, mr-1 14, ft-1 30, ts-1 10; units motor 14 + 0.08 x 40 = 17.2, axle 0.9 x 18 =
16.2, four valves 4 x 2.5 = 10. Together 233.7.
"""

from datetime import date

import pytest

from door_story import Visit, whole
from pacewright.control.scope import scope_of
from pacewright.control.scope_form import form_of
from pacewright.events.gate import Admitted, Arrived, Called, Released
from pacewright.events.identity import Modified, Parted, Stripped
from pacewright.events.stages import Found
from pacewright.events.things import Piece, Unit, Verdict
from pacewright.events.units import Reconditioned, Removed, Scrapped, UnitFound
from pacewright.plans.scope import Basis, Scope, ScopeClass, ScopePart, ScopeWork
from small_works import SETTINGS, Tables, small_works

STANDARD = 233.7
ONE, BODY = whole("101"), Piece("body", "B-101")


@pytest.fixture
def visit() -> Visit:
    """Vehicle 101 stripped, its valves off, parted."""
    visit = Visit()
    visit.arrive()
    visit.part()
    return visit


def scope(visit: Visit, number: str = "101") -> Scope:
    """The scope as it stands."""
    return scope_of(visit.works, visit.now, number)


def work(told: Scope, operation_id: str) -> ScopeWork:
    """One operation of a scope."""
    return next(one for one in told.work if one.operation_id == operation_id)


def part(told: Scope, kind: str) -> ScopePart:
    """One unit kind of a scope."""
    return next(one for one in told.parts if one.unit_kind_id == kind)


def test_before_inspection_the_scope_is_the_standard() -> None:
    """Everything counts by its share; totals by trade and by place add up to it."""
    visit = Visit()
    visit.tell(Arrived, "101", "solo", "north")
    visit.tell(Admitted, "101")
    told = scope(visit)
    assert told.total.hours == pytest.approx(STANDARD)
    assert told.total.standard_hours == pytest.approx(STANDARD)
    assert told.scope_class is ScopeClass.STANDARD
    for grouped in (told.by_trade, told.by_place):
        assert sum(one.hours for one in grouped.values()) == pytest.approx(STANDARD)
    assert told.by_trade["fitter"].hours == pytest.approx(36 + 14 + 24 + 14 + 10 + 16.2 + 10)
    assert told.by_trade["elec"].hours == pytest.approx(30 + 17.2)
    # In question: bd-1, bd-2, and the rewinding of the motor (3.2 h).
    assert told.looked_at_share == pytest.approx(1 - (35.2 + 9.1 + 3.2) / STANDARD)
    assert work(told, "bd-1").basis is Basis.SHARE


def test_found_counts_in_full_and_passed_counts_nothing(visit: Visit) -> None:
    """Floor needed: 26 in place of 9.1; pillars passed: nothing in place of 35.2."""
    visit.tell(Found, BODY, "bd-2", Verdict.REPAIR)
    told = scope(visit)
    assert told.total.grown_hours == pytest.approx(26 - 9.1)
    assert told.by_place["body"].hours == pytest.approx(35.2 + 26)
    visit.tell(Found, BODY, "bd-1", Verdict.USE)
    told = scope(visit)
    assert told.total.hours == pytest.approx(STANDARD - 9.1 + 26 - 35.2)
    assert work(told, "bd-1").hours == 0
    assert work(told, "bd-1").basis is Basis.FOUND
    assert told.by_trade["body"].ratio == pytest.approx(26 / 44.3)


def test_the_last_word_stands_and_classes_follow_the_settings(visit: Visit) -> None:
    """Nothing on the body: 189.4 of 233.7 is 0.81, light; bounds of the settings move it."""
    visit.tell(Found, BODY, "bd-1", Verdict.REPAIR)
    visit.tell(Found, BODY, "bd-1", Verdict.USE)
    visit.tell(Found, BODY, "bd-2", Verdict.USE)
    told = scope(visit)
    assert told.total.ratio == pytest.approx(189.4 / 233.7)
    assert told.scope_class is ScopeClass.LIGHT
    visit.tell(Found, BODY, "bd-1", Verdict.REPLACE)
    visit.tell(Found, BODY, "bd-2", Verdict.SCRAP)
    assert scope(visit).total.ratio == pytest.approx((233.7 + 8.8 + 16.9) / 233.7)
    assert scope(visit).scope_class is ScopeClass.HEAVY


def test_heavy_begins_where_the_settings_say() -> None:
    """1.11 times the standard is no heavy vehicle when heavy_scope is 1.2."""
    works = small_works(None, SETTINGS.replace("[plan]", "[plan]\nheavy_scope = 1.2"))
    visit = Visit(works)
    visit.arrive()
    visit.part()
    visit.tell(Found, BODY, "bd-1", Verdict.REPAIR)
    visit.tell(Found, BODY, "bd-2", Verdict.REPAIR)
    assert scope(visit).scope_class is ScopeClass.STANDARD


def test_must_change_is_always_in(visit: Visit) -> None:
    """Four valves off by rule, the stripping by rule, whatever was found or not."""
    told = scope(visit)
    assert (part(told, "valve").changed, part(told, "valve").basis) == (4.0, Basis.ALWAYS)
    assert (work(told, "st-1").hours, work(told, "st-1").basis) == (36.0, Basis.ALWAYS)
    assert work(told, "vl-1").hours == pytest.approx(10)


def test_units_needed_follow_what_came_off_and_what_was_condemned(visit: Visit) -> None:
    """Scrapped: one is had anew and its hours go; judged good: no share of scrap is left."""
    motor = Unit("motor", "M-1")
    assert part(scope(visit), "motor").lost == pytest.approx(0.02)
    visit.tell(Removed, motor, BODY)
    visit.tell(UnitFound, motor, "mt-2", Verdict.REPAIR)
    told = scope(visit)
    assert work(told, "mt-2").hours == pytest.approx(40)
    assert part(told, "motor").lost == 0
    visit.tell(UnitFound, motor, "mt-1", Verdict.SCRAP)
    visit.tell(Scrapped, motor)
    told = scope(visit)
    assert part(told, "motor").lost == 1
    assert part(told, "motor").condemned == ("M-1",)
    assert work(told, "mt-1").hours == work(told, "mt-2").hours == 0
    valve = Unit("valve", "old-101-0")
    visit.tell(Reconditioned, valve, "run")
    assert part(scope(visit), "valve").lost == pytest.approx(3 * 0.05)


def test_what_is_found_of_a_kind_holds_for_all_of_it(visit: Visit) -> None:
    """Axle to be used: none comes off; replaced: one of the float goes on; scrap: it is lost."""
    assert part(scope(visit), "axle").changed == pytest.approx(0.9)
    visit.tell(Found, BODY, "axle", Verdict.USE)
    told = scope(visit)
    assert part(told, "axle").changed == part(told, "axle").lost == 0
    assert work(told, "ax-1").hours == 0
    visit.tell(Found, BODY, "axle", Verdict.REPLACE)
    told = scope(visit)
    assert (part(told, "axle").changed, part(told, "axle").lost) == (1.0, 0.01)
    assert work(told, "ax-1").hours == 18
    visit.tell(Found, BODY, "axle", Verdict.SCRAP)
    told = scope(visit)
    assert (part(told, "axle").changed, part(told, "axle").lost) == (1.0, 1.0)
    assert work(told, "ax-1").hours == 0


def test_stripped_means_that_all_that_comes_off_is_off(visit: Visit) -> None:
    """After that the axle, still on, is not counted by its share any more."""
    visit.tell(Stripped, "101")
    assert part(scope(visit), "axle").changed == 0
    assert part(scope(visit), "valve").changed == 4


def test_findings_on_each_of_two_like_assemblies_count_apart() -> None:
    """Two chassis of one vehicle: one to be repaired, one passed."""

    def change(tables: Tables) -> None:
        tables["assemblies"][1] |= {"count": "2"}
        tables["operations"][6] |= {"stage_id": "chbuild", "type_id": "", "occurrence_share": "0.5"}

    visit = Visit(small_works(change))
    visit.arrive()
    first, second = Piece("chassis", "C-1"), Piece("chassis", "C-2")
    visit.tell(Parted, "101", (BODY, first, second))
    assert work(scope(visit), "ch-2").hours == pytest.approx(2 * 0.5 * 12)
    visit.tell(Found, first, "ch-2", Verdict.REPAIR)
    assert work(scope(visit), "ch-2").hours == pytest.approx(12 + 6)
    visit.tell(Found, second, "ch-2", Verdict.USE)
    assert work(scope(visit), "ch-2").hours == pytest.approx(12)


def test_a_campaign_that_is_due_is_in_scope_and_standard_until_done() -> None:
    """By the day it was called for; another type, another day, or done: not."""
    visit = Visit()
    visit.tell(Called, "101", "solo", "north", date(2026, 6, 2))
    visit.tell(Arrived, "101", "solo", "north")
    visit.tell(Admitted, "101")
    told = scope(visit)
    assert told.total.hours == told.total.standard_hours == pytest.approx(STANDARD + 9)
    visit.tell(Modified, "101", "doors")
    assert scope(visit).total.hours == pytest.approx(STANDARD)


def test_work_on_another_type_and_findings_beyond_the_tables() -> None:
    """A solo has no bellows: told of it, the finding is named beside the scope."""
    visit = Visit()
    visit.arrive()
    visit.tell(Found, ONE, "bd-3", Verdict.REPAIR)
    visit.tell(Found, ONE, "brake", Verdict.USE)
    assert scope(visit).beyond == ("bd-3 on vehicle 101: repair",)


def test_the_next_visit_starts_anew() -> None:
    """Findings of an earlier visit, and what came off then, count no more."""
    visit = Visit()
    visit.arrive()
    visit.tell(Found, ONE, "bd-2", Verdict.REPAIR)
    visit.marry()
    visit.passes(ONE, "marry", "fitout")
    visit.valves()
    visit.passes(ONE, "test")
    visit.tests()
    visit.tell(Released, "101", "I. I.")
    visit.tell(Arrived, "101", "solo", "north")
    visit.tell(Admitted, "101")
    assert scope(visit).total.hours == pytest.approx(STANDARD)


# -- the form ------------------------------------------------------------------------------------


def test_the_form_asks_what_is_in_question_and_fixes_must_change(visit: Visit) -> None:
    """Shares between 0 and 1, and must-change; on the assembly that has it; nothing twice."""
    lines = {one.item_id: one for one in form_of(visit.works, visit.now, "101")}
    assert set(lines) == {"st-1", "bd-1", "bd-2", "pt-1", "ch-1", "ch-3", "mr-1", "ft-1", "ts-1",
                          "axle", "valve"}  # fmt: skip
    assert (lines["bd-1"].piece, lines["bd-1"].verdict) == ("body:B-101", "")
    assert (lines["ch-3"].piece, lines["ch-3"].verdict) == ("chassis:C-101", "repair")
    assert (lines["valve"].piece, lines["valve"].verdict) == ("body:B-101", "replace")
    visit.tell(Found, BODY, "bd-1", Verdict.USE)
    visit.tell(Found, BODY, "axle", Verdict.USE)
    left = {one.item_id for one in form_of(visit.works, visit.now, "101")}
    assert set(lines) - left == {"bd-1", "axle"}


def test_before_parting_the_form_names_the_vehicle() -> None:
    """There is no assembly yet to hang an item on."""
    visit = Visit()
    visit.arrive()
    assert {one.piece for one in form_of(visit.works, visit.now, "101")} == {"vehicle:101"}
