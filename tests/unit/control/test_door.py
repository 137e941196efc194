"""The rules at the door, each kept and each broken."""

from datetime import date
from typing import Any

import pytest

from door_story import CHASSIS_STAGES, Visit, whole
from pacewright.control.door import RULES
from pacewright.control.door_names import NAMES
from pacewright.events.fold import refusals, take
from pacewright.events.gate import Admitted, Arrived, Called, OdometerRead, Released
from pacewright.events.identity import Married, Modified, Parted, PieceEntered
from pacewright.events.record import Attended, Overridden
from pacewright.events.reference import event_fields
from pacewright.events.registry import KIND_OF, KINDS
from pacewright.events.stages import (
    Found,
    Held,
    Moved,
    PutOutOfUse,
    StageFinished,
    Stored,
    Tested,
    WorkEnded,
    WorkStarted,
)
from pacewright.events.standing import Standing
from pacewright.events.things import Cause, Condition, Event, Overridable, Piece, Unit, Verdict
from pacewright.events.units import (
    AgeTold,
    Fitted,
    Issued,
    Missed,
    Ordered,
    Purchased,
    Reconditioned,
    Removed,
    Robbed,
    UnitEntered,
    UnitFound,
)
from pacewright.events.written import read_event
from small_works import Tables, small_works

ONE = whole("101")


@pytest.fixture
def visit() -> Visit:
    """Vehicle 101, of type solo, stripped."""
    visit = Visit()
    visit.arrive()
    return visit


def with_cells(table: str, place: int, **cells: str) -> Visit:
    """A visit of the small works with some cells changed; vehicle 101 is stripped."""

    def change(tables: Tables) -> None:
        tables[table][place] |= cells

    visit = Visit(small_works(change))
    visit.arrive()
    return visit


def test_a_whole_overhaul_passes() -> None:
    """A visit told rightly is let in from arrival to release, twice in a row."""
    visit = Visit()
    visit.overhaul()
    visit.overhaul()
    assert len(visit.now.vehicles["101"].visits) == 2


@pytest.mark.parametrize(
    ("model", "fields", "told"),
    [
        (Called, ("102", "sol", "north", date(2026, 4, 1)), "'sol' is not in vehicle_types"),
        (Called, ("102", "solo", "nort", date(2026, 4, 1)), "Is 'north' meant?"),
        (Arrived, ("1O2", "solo"), "'1O2' is not in vehicles"),
        (Arrived, ("102", "long"), "type long, but solo in vehicles"),
        (OdometerRead, ("999", 5.0), "'999' is not in vehicles"),
        (Moved, (ONE, "fitot", 1), "Is 'fitout' meant?"),
        (WorkStarted, (ONE, "strip", "fiter"), "'fiter' is not in trades"),
        (WorkStarted, (ONE, "strip", "fitter", "st-9"), "'st-9' is not in operations"),
        (WorkStarted, (ONE, "strip", "fitter", "bd-1"), "bd-1 is work of body at body"),
        (Attended, ("strp", "fitter", date(2026, 3, 2), 1.0, 8.0), "Is 'strip' meant?"),
        (Attended, ("strip", "fiter", date(2026, 3, 2), 1.0, 8.0), "Is 'fitter' meant?"),
        (UnitEntered, (Unit("moter", "M-1"), Condition.SERVICEABLE, "store"), "Is 'motor' meant?"),
        (Ordered, ("moter", 2, date(2026, 4, 1)), "Is 'motor' meant?"),
        (Purchased, (Unit("moter", "M-1"), "store"), "'moter' is not in unit_kinds"),
        (Removed, (Unit("moter", "M-1"), ONE), "'moter' is not in unit_kinds"),
        (Tested, (ONE, "brak", True), "Is 'brake' meant?"),
        (Found, (ONE, "bd-9", Verdict.REPAIR), "'bd-9' is not in operations or unit_kinds"),
        (Held, (ONE, Cause.PART, "moter"), "'moter' is not in the works"),
        (PutOutOfUse, ("bodi", 1), "'bodi' is not in stages or unit_kinds"),
        (PutOutOfUse, ("body", 3), "body has 2"),
        (PutOutOfUse, ("motor", 3), "motor has 2"),
        (Modified, ("101", "dors"), "Is 'doors' meant?"),
        (PieceEntered, (Piece("bogie", "G-1"), "yard"), "no type has a bogie"),
        (PieceEntered, (Piece("bogie", "G-1"), "yard", "solo"), "solo has no bogie"),
        (PieceEntered, (Piece("body", "B-1"), "yard", "solos"), "Is 'solo' meant?"),
    ],
)
def test_a_name_the_works_does_not_know_is_refused(
    visit: Visit, model: type[Event], fields: tuple[Any, ...], told: str
) -> None:
    """A mistyped id is told with the nearest one that is known."""
    assert told in visit.refused(model, *fields)


def test_names_that_are_left_out_or_known_pass(visit: Visit) -> None:
    """Blank is not a wrong name, and benches without a number have no number to pass."""
    visit.tell(Arrived, "102", "solo")
    visit.tell(Held, ONE, Cause.PART, "motor")
    visit.tell(PutOutOfUse, "axle", 7)
    visit.tell(Modified, "101", "doors")


def test_campaigns_are_done_on_their_type() -> None:
    """The small works has a campaign for solo only."""
    visit = Visit()
    visit.tell(Arrived, "201", "long", "north")
    visit.tell(Admitted, "201")
    assert "is of type long" in visit.refused(Modified, "201", "doors")


def test_a_unit_received_back_by_an_unknown_shop_is_refused(visit: Visit) -> None:
    """The shop that made a unit good is one of the works."""
    unit = Unit("motor", "M-1")
    visit.tell(Removed, unit, ONE)
    assert "Is 'elec' meant?" in visit.refused(Reconditioned, unit, "elek")


# -- the route ---------------------------------------------------------------------------------


def test_a_piece_goes_only_where_its_route_leads(visit: Visit) -> None:
    """Other assemblies' stages, unfinished ones and missing positions are refused."""
    assert "body takes body" in visit.refused(Moved, ONE, "body", 1)
    body, chassis = visit.part()
    assert "not finished in this visit: body" in visit.refused(Moved, body, "bpaint", 1)
    assert "type solo does not pass chaxle" in visit.refused(Moved, chassis, "chaxle", 1)
    assert "body has 2" in visit.refused(Moved, body, "body", 3)
    visit.passes(body, "body")
    visit.tell(Moved, body, "bpaint", 1)
    visit.tell(Moved, body, "body", 1)


def test_the_route_can_be_overridden_for_one_step(visit: Visit) -> None:
    """With a named person and a reason; the next step is judged again."""
    body, _ = visit.part()
    visit.tell(Overridden, body, Overridable.ROUTE, "booth stands empty", "W. Manager")
    visit.tell(Moved, body, "bpaint", 1)
    visit.tell(StageFinished, body, "bpaint")
    visit.tell(Moved, body, "body", 1)
    assert "not finished in this visit: body" in visit.refused(Moved, body, "bpaint", 1)


def test_no_override_gives_a_stage_more_positions(visit: Visit) -> None:
    """A position that is not there cannot be had by signature."""
    body, _ = visit.part()
    visit.tell(Overridden, body, Overridable.ROUTE, "haste", "W. Manager")
    assert "body has 2" in visit.refused(Moved, body, "body", 3)


def test_the_visit_before_does_not_count() -> None:
    """Stages finished in an earlier visit are to be done again."""
    visit = Visit()
    visit.overhaul()
    visit.tell(Arrived, "101", "solo", "north")
    visit.tell(Admitted, "101")
    assert "not finished in this visit: marry" in visit.refused(Moved, ONE, "fitout", 1)


def test_a_vehicle_parts_at_its_stage_into_its_assemblies() -> None:
    """Not at the gate, and neither more nor less than its type has."""
    visit = Visit()
    visit.tell(Arrived, "101", "solo", "north")
    visit.tell(Admitted, "101")
    pieces = (Piece("body", "B-1"), Piece("chassis", "C-1"))
    assert "not finished: strip" in visit.refused(Parted, "101", pieces)
    visit.tell(Moved, ONE, "strip", 1)
    assert "solo has 1 body, 1 chassis" in visit.refused(Parted, "101", pieces[:1])
    three = (*pieces, Piece("chassis", "C-2"))
    assert "1 body, 2 chassis given" in visit.refused(Parted, "101", three)
    visit.tell(Parted, "101", pieces)


def test_marriage_waits_for_both_and_for_the_like(visit: Visit) -> None:
    """Unfinished, incomplete or of another type: refused."""
    body, chassis = visit.part()
    visit.passes(body, "body", "bpaint")
    told = visit.refused(Married, "101", (body, chassis))
    assert "chassis C-101: not finished in this visit: chbuild" in told
    visit.passes(chassis, *CHASSIS_STAGES)
    assert "1 body given" in visit.refused(Married, "101", (body,))
    visit.arrive("201", "long")
    pieces = (Piece("body", "B-201"), Piece("chassis", "C-201"))
    visit.tell(Parted, "201", pieces)
    told = visit.refused(Married, "101", (body, pieces[1]))
    assert "it is of type long, vehicle 101 of solo" in told


def test_parting_and_marriage_can_be_overridden_once(visit: Visit) -> None:
    """For the vehicle, or for the assembly that lacks a stage; what is used is used up."""
    other = whole("102")
    visit.tell(Arrived, "102", "solo", "north")
    visit.tell(Admitted, "102")
    pieces = (Piece("body", "B-102"), Piece("chassis", "C-102"))
    visit.tell(Overridden, other, Overridable.ROUTE, "came in two parts", "W. Manager")
    visit.tell(Parted, "102", pieces)
    assert visit.now.whole("102").permits == []
    for piece in pieces:
        visit.tell(Overridden, piece, Overridable.ROUTE, "done at the maker's", "W. Manager")
    visit.tell(Married, "102", pieces)
    assert all(visit.now.pieces[piece].permits == [] for piece in pieces)
    assert "not finished in this visit: bpaint" in visit.refused(Moved, other, "marry", 1)
    body, chassis = visit.part()
    visit.tell(Overridden, ONE, Overridable.ROUTE, "done at the maker's", "W. Manager")
    visit.tell(Married, "101", (body, chassis))


def test_assemblies_of_one_type_are_married_any_to_any() -> None:
    """The chassis of another vehicle of the type will do."""
    visit = Visit()
    visit.arrive("101")
    body, chassis = visit.part("101")
    visit.passes(chassis, *CHASSIS_STAGES)
    visit.tell(Stored, chassis, "floor")
    visit.passes(body, "body", "bpaint")
    visit.arrive("102")
    other_body, other = visit.part("102")
    assert "not finished" in visit.refused(Married, "101", (body, other))
    visit.passes(other, *CHASSIS_STAGES)
    visit.tell(Married, "101", (body, other))
    visit.passes(ONE, "marry", "fitout")
    visit.passes(other_body, "body", "bpaint")
    visit.tell(Married, "102", (other_body, chassis))


def test_a_spare_body_needs_no_strip_but_its_own_stages(visit: Visit) -> None:
    """What came with no vehicle has passed none of a whole vehicle's stages; its own it must."""
    spare = Piece("body", "B-9")
    visit.tell(PieceEntered, spare, "yard", "solo")
    visit.tell(Moved, spare, "body", 1)
    assert "not finished in this visit: body" in visit.refused(Moved, spare, "bpaint", 1)


# -- units ---------------------------------------------------------------------------------------


def test_a_unit_fits_its_type_and_there_is_room(visit: Visit) -> None:
    """No unit that a type does not carry, and no more than it carries."""
    visit.tell(Removed, Unit("motor", "M-1"), ONE)
    told = visit.refused(Removed, Unit("motor", "M-2"), ONE)
    assert "1 motor came off vehicle 101" in told
    new, more = Unit("motor", "M-3"), Unit("motor", "M-4")
    visit.tell(Purchased, new, "store")
    visit.tell(Purchased, more, "store")
    visit.tell(Fitted, new, ONE)
    visit.tell(Overridden, ONE, Overridable.OWED, "trial", "W. Manager")
    told = visit.refused(Fitted, more, ONE)
    assert "on vehicle 101 already: motor M-3" in told
    assert "carries 1 motor" in told


def test_what_the_books_have_on_it_comes_off_or_is_missed(visit: Visit) -> None:
    """A strange serial is refused while another is known on it; one changed at a depot is told."""
    first, strange = Unit("motor", "M-1"), Unit("motor", "M-2")
    visit.tell(Removed, Unit("motor", "M-0"), ONE)
    visit.tell(Purchased, first, "store")
    visit.tell(Fitted, first, ONE)
    assert "known on it: 1" in visit.refused(Removed, strange, ONE)
    visit.tell(Missed, first, ONE, "A. Able", "north")
    assert visit.now.units[first].condition is Condition.QUARANTINE
    assert visit.now.units[first].onto is None
    visit.tell(Removed, strange, ONE)
    assert visit.now.whole("101").owed == {"motor": 1}


def test_a_kind_the_type_does_not_carry_is_refused() -> None:
    """Neither taken off nor fitted."""
    works = small_works(lambda tables: tables["fits"].pop(0) and None)
    visit = Visit(works)
    visit.arrive()
    assert "a motor fits long" in visit.refused(Removed, Unit("motor", "M-1"), ONE)
    visit.tell(Purchased, Unit("motor", "M-2"), "store")
    assert "a motor fits long" in visit.refused(Issued, Unit("motor", "M-2"), ONE)


@pytest.mark.parametrize("column", ["needs_campaign_id", "until_campaign_id"])
def test_a_unit_goes_on_vehicles_of_its_modification_state(column: str) -> None:
    """A new kind only after the campaign, an old kind only before it."""
    visit = with_cells("fits", 0, **{column: "doors"})
    old, new = Unit("motor", "M-1"), Unit("motor", "M-2")
    visit.tell(Removed, old, ONE)
    visit.tell(Purchased, new, "store")
    if column == "needs_campaign_id":
        told = visit.refused(Fitted, new, ONE)
        assert "after campaign doors; done on vehicle 101: none" in told
        visit.tell(Modified, "101", "doors")
    else:
        visit.tell(Issued, new, ONE)
        visit.tell(Modified, "101", "doors")
        told = visit.refused(Fitted, new, ONE)
        assert "before campaign doors; done on vehicle 101: doors" in told
        return
    visit.tell(Fitted, new, ONE)


def test_nothing_past_its_life_is_fitted() -> None:
    """By distance over all vehicles it was on; unknown is refused until plate or papers tell."""
    visit = with_cells("unit_kinds", 0, life_distance="100000")
    old, unknown, new = (Unit("motor", f"M-{n}") for n in range(3))
    visit.tell(Removed, old, ONE)
    visit.tell(UnitEntered, unknown, Condition.SERVICEABLE, "store")
    assert "how far it has run is not known" in visit.refused(Fitted, unknown, ONE)
    visit.tell(AgeTold, unknown, "A. Able", None, 100_000.0)
    assert "it has run 100000 of 100000" in visit.refused(Issued, unknown, ONE)
    visit.tell(Purchased, new, "store")
    visit.tell(Fitted, new, ONE)
    visit.minute += 60 * 24 * 400
    visit.tell(OdometerRead, "101", 480_000.0)
    visit.tell(Removed, new, ONE)
    visit.tell(Reconditioned, new, "elec")
    visit.tell(Fitted, new, ONE)
    visit.minute += 60 * 24 * 400
    visit.tell(OdometerRead, "101", 520_000.0)
    visit.tell(Removed, new, ONE)
    visit.tell(Reconditioned, new, "elec")
    assert "it has run 120000 of 100000" in visit.refused(Fitted, new, ONE)


def test_nothing_past_its_years_is_robbed_or_fitted() -> None:
    """By months from new; the last day of its life is still good."""
    visit = with_cells("unit_kinds", 0, life_months="24")
    visit.tell(Arrived, "102", "solo", "north")
    visit.tell(Admitted, "102")
    visit.tell(Removed, Unit("motor", "M-1"), ONE)
    visit.tell(Removed, Unit("motor", "M-2"), whole("102"))
    unit = Unit("motor", "M-3")
    visit.tell(UnitEntered, unit, Condition.SERVICEABLE, "store")
    assert "when it was new is not known" in visit.refused(Fitted, unit, ONE)
    visit.tell(AgeTold, unit, "A. Able", date(2024, 3, 2))
    visit.tell(Fitted, unit, ONE)
    visit.minute += 60 * 24
    told = visit.refused(Robbed, unit, ONE, whole("102"), "A. Able", "B. Best")
    assert "its life of 24 months ended on 2026-03-02" in told


# -- inspection, tests, lifting ------------------------------------------------------------------


def test_must_change_is_not_passed_by_a_verdict(visit: Visit) -> None:
    """Neither an operation nor a unit kind nor a unit's own operation."""
    assert "must-change" in visit.refused(Found, ONE, "st-1", Verdict.USE)
    assert "must-change" in visit.refused(Found, ONE, "valve", Verdict.USE)
    visit.tell(Found, ONE, "valve", Verdict.REPLACE)
    visit.tell(Found, ONE, "bd-2", Verdict.USE)
    unit = Unit("valve", "V-1")
    visit.tell(Removed, unit, ONE)
    assert "must-change" in visit.refused(UnitFound, unit, "vl-1", Verdict.USE)


def test_verdict_use_stands_on_a_measurement_within_limits() -> None:
    """None, one below, one above, one in another unit: refused; to repair it needs no reason."""
    visit = with_cells(
        "operations", 1, inspect_least="2", inspect_most="4", inspect_unit="mm", stage_id="strip"
    )
    assert "no measurement" in visit.refused(Found, ONE, "bd-1", Verdict.USE)
    assert "1.9 mm, least 2" in visit.refused(Found, ONE, "bd-1", Verdict.USE, 1.9)
    assert "4.1 mm, most 4" in visit.refused(Found, ONE, "bd-1", Verdict.USE, 4.1)
    told = visit.refused(Found, ONE, "bd-1", Verdict.USE, 3.0, None, "cm")
    assert "measured in cm, its limits are in mm" in told
    visit.tell(Found, ONE, "bd-1", Verdict.USE, 4.0, 4.0, "mm")
    visit.tell(Found, ONE, "bd-1", Verdict.REPAIR)


def test_a_pass_is_read_within_its_limits(visit: Visit) -> None:
    """No reading, one outside, one in another unit: no pass; a failure may read anything."""
    assert "passed without a reading" in visit.refused(Tested, ONE, "brake", True)
    assert "passed at 4.4 m/s2, least 4.5" in visit.refused(Tested, ONE, "brake", True, 4.4)
    assert "read in kOhm" in visit.refused(Tested, ONE, "insul", True, 9.0, "kOhm")
    visit.tell(Tested, ONE, "brake", False, 2.0, "m/s2")
    visit.tell(Tested, ONE, "brake", True, 4.5)
    visit.tell(Tested, ONE, "doors", True)


def test_a_reading_above_the_most_is_no_pass() -> None:
    """The upper limit holds as the lower does, and only for the item's type."""
    visit = with_cells("test_items", 0, least="", most="3", type_id="solo")
    assert "passed at 4 m/s2, most 3" in visit.refused(Tested, ONE, "brake", True, 4.0)
    visit.tell(Arrived, "201", "long", "north")
    visit.tell(Admitted, "201")
    assert "brake is for type solo" in visit.refused(Tested, whole("201"), "brake", True, 2.0)


def test_nobody_else_works_on_what_is_lifted() -> None:
    """Lifting waits until the others are off, and they stay off while it goes on."""

    def change(tables: Tables) -> None:
        tables["operations"][0] |= {"moves_vehicle": "yes"}

    visit = Visit(small_works(change))
    visit.tell(Arrived, "101", "solo", "north")
    visit.tell(Admitted, "101")
    visit.tell(Moved, ONE, "strip", 1)
    told = visit.refused(WorkStarted, ONE, "strip", "fitter")
    assert "does not say with what" in told
    visit.tell(WorkStarted, ONE, "strip", "elec")
    told = visit.refused(WorkStarted, ONE, "strip", "fitter", "st-1")
    assert "st-1 moves it, and at work on vehicle 101: elec" in told
    visit.tell(WorkEnded, ONE, "strip", "elec")
    visit.tell(WorkStarted, ONE, "strip", "fitter", "st-1")
    told = visit.refused(WorkStarted, ONE, "strip", "paint")
    assert "fitter is moving vehicle 101 (st-1)" in told
    visit.tell(WorkEnded, ONE, "strip", "fitter")
    visit.tell(WorkStarted, ONE, "strip", "paint")


def test_nobody_works_beside_what_is_lifted_on_the_same_position() -> None:
    """Pieces just parted stand on one position until one is moved away."""

    def change(tables: Tables) -> None:
        tables["operations"][0] |= {"moves_vehicle": "yes"}

    visit = Visit(small_works(change))
    visit.tell(Arrived, "101", "solo", "north")
    visit.tell(Admitted, "101")
    visit.tell(Moved, ONE, "strip", 1)
    body, chassis = Piece("body", "B-1"), Piece("chassis", "C-1")
    visit.tell(Parted, "101", (body, chassis))
    visit.tell(WorkStarted, body, "strip", "fitter", "st-1")
    assert "is moving body B-1" in visit.refused(WorkStarted, chassis, "strip", "elec")


# -- release -------------------------------------------------------------------------------------


def ready(leave_out_test: str = "", valves: int = 4, last: bool = True) -> Visit:
    """Vehicle 101 at the end of its route, with something left out."""
    visit = Visit()
    visit.arrive()
    visit.marry()
    visit.passes(ONE, "marry", "fitout")
    visit.valves(count=valves)
    if last:
        visit.passes(ONE, "test")
    visit.tests(leave_out=leave_out_test)
    return visit


@pytest.mark.parametrize("item", ["brake", "insul", "doors"])
def test_no_release_without_a_pass_of_every_item(item: str) -> None:
    """A test not done is a test not passed."""
    assert f"no pass in this visit: {item}" in ready(item).refused(Released, "101", "I. I.")


def test_no_release_before_the_last_stage() -> None:
    """All tests read and everything fitted is not the end of the route."""
    told = ready(last=False).refused(Released, "101", "I. I.")
    assert "not finished in this visit: test" in told


def test_must_change_holds_under_shortage() -> None:
    """Three of four valves changed: no release, and an override of what is owed does not help."""
    visit = ready(valves=3)
    visit.tell(Overridden, ONE, Overridable.OWED, "none in the store", "W. Manager")
    visit.tell(Overridden, ONE, Overridable.ROUTE, "none in the store", "W. Manager")
    told = visit.refused(Released, "101", "I. I.")
    assert "changed in this visit: 3 of 4 valve" in told
    assert "no one can override" in told


def test_units_changed_in_an_earlier_visit_do_not_count() -> None:
    """Valves that were never taken off in this visit are not changed."""
    visit = Visit()
    visit.overhaul()
    visit.minute += 60 * 24 * 700
    visit.arrive()
    pieces = (Piece("body", "B-101"), Piece("chassis", "C-101"))
    visit.tell(Parted, "101", pieces)
    visit.passes(pieces[1], *CHASSIS_STAGES)
    visit.passes(pieces[0], "body", "bpaint")
    visit.tell(Married, "101", pieces)
    visit.passes(ONE, "marry", "fitout", "test")
    visit.tests()
    assert "changed in this visit: 0 of 4 valve" in visit.refused(Released, "101", "I. I.")


# -- the door itself -----------------------------------------------------------------------------


def test_every_rule_says_itself_and_every_kind_exists() -> None:
    """Each rule has a sentence for the docs; each field named is one the kind has."""
    assert set(RULES) <= set(KINDS.values())
    for rules in RULES.values():
        assert rules
        for rule in rules:
            assert (rule.__doc__ or "").strip().endswith(".")
    for model, named in NAMES.items():
        fields = {name for name, _, _ in event_fields(model)}
        assert {field for field, _ in named} <= fields


@pytest.mark.parametrize("kind", sorted(KIND_OF[model] for model in RULES))
def test_what_the_record_does_not_know_is_left_to_other_rules(kind: str) -> None:
    """The door says nothing, and does not fail, of things that are on no books."""
    bodies: dict[str, dict[str, Any]] = {
        "piece": {"piece": ["vehicle", "101"]},
        "unit": {"unit": ["motor", "M-1"]},
        "vehicle_id": {"vehicle_id": "101"},
    }
    values: dict[str, Any] = {
        "type_id": "solo", "depot_id": "north", "due_in": "2026-04-01", "release_day": "2026-04-01",
        "odometer": 5.0, "signed_by": "I. I.", "reason": "so", "stage_id": "strip", "position": 1,
        "place_id": "strip", "trade_id": "fitter", "item_id": "brake", "verdict": "repair",
        "passed": False, "cause": "part", "condition": "serviceable", "off": ["vehicle", "101"],
        "on": ["vehicle", "101"], "onto": ["vehicle", "101"], "to": ["vehicle", "102"],
        "seen_by": "A.", "cleared_by": "A.", "approved_by": "A.", "second_approval": "B.",
        "told_by": "A.", "shop_id": "strip", "day": "2026-03-02", "people": 1.0, "hours": 8.0,
        "rule": "route", "authorised_by": "A.", "pieces": [["body", "B-1"], ["chassis", "C-1"]],
        "lead": ["body", "B-1"], "campaign_id": "doors", "mends": "x", "instead": [],
        "unit_kind_id": "motor", "units": 2, "until": "2026-03-03T07:00:00",
    }  # fmt: skip
    body: dict[str, Any] = {"kind": kind, "version": KINDS[kind].VERSION}
    body["at"] = "2026-03-02T07:00:00"
    for name, _, needed in event_fields(KINDS[kind]):
        if needed and name != "at":
            body |= bodies.get(name, {name: values.get(name)})
    if kind in ("piece_entered", "piece_scrapped"):
        body["piece"] = ["body", "B-1"]
    visit = Visit()
    event = read_event(body)
    reasons = [*visit.door(visit.now, event)]
    assert reasons == [] or refusals(visit.now, event) == ()


def test_a_visit_with_any_one_thing_left_untold_is_not_released() -> None:
    """Of all events of an overhaul only the odometer and the starts of work can be missing.

    What follows from the missing one is refused in its turn; nothing is released by halves.
    """
    whole_story = Visit()
    whole_story.overhaul()
    for missing in range(len(whole_story.told) - 1):
        now, refused = Standing(), []
        for place, event in enumerate(whole_story.told):
            if place == missing:
                continue
            if refusals(now, event) or whole_story.door(now, event):
                refused.append(event)
            else:
                take(now, event)
        can_be_missing = isinstance(whole_story.told[missing], OdometerRead | WorkStarted)
        released = not isinstance(refused[-1], Released) if refused else True
        assert released == can_be_missing, whole_story.told[missing]
