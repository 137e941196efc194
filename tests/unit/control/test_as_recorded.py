"""The tables of a works brought up to its record."""

from dataclasses import replace
from datetime import date, datetime, timedelta

from events_story import START, Story, vehicle
from pacewright.control.as_recorded import AsRecorded, as_recorded, coming_monday, last_moment
from pacewright.events.gate import (
    Admitted,
    Arrived,
    Called,
    CalledOff,
    OdometerRead,
    Promised,
    Released,
    Withdrawn,
)
from pacewright.events.identity import Married, Parted
from pacewright.events.stages import Moved, Stored
from pacewright.events.things import Condition, Piece, Unit
from pacewright.events.units import (
    Fitted,
    Issued,
    Quarantined,
    Reconditioned,
    Removed,
    Scrapped,
    UnitEntered,
)
from pacewright.fleet.tables import Reading, Vehicle
from pacewright.parts.tables import FloatHeld
from pacewright.works_checks import findings
from small_works import small_works

NOW = START + timedelta(days=2)


def recorded(story: Story, now: datetime = NOW) -> AsRecorded:
    """The small works by the record of ``story``."""
    return as_recorded(small_works(), story.now, now)


def row_of(found: AsRecorded, vehicle_id: str) -> Vehicle:
    """A vehicle's row."""
    return next(one for one in found.works.vehicles if one.vehicle_id == vehicle_id)


def held(found: AsRecorded, kind: str) -> FloatHeld:
    """A kind's row of floats held."""
    return next(one for one in found.works.floats if one.unit_kind_id == kind)


def told(found: AsRecorded, words: str) -> bool:
    """True when a note holds the words."""
    return any(words in note for note in found.notes)


def visit(story: Story, number: str = "101", position: int = 1) -> None:
    """A vehicle comes, is read, is let in and stands at the strip stage."""
    story.tell(Arrived, number, "solo", "north")
    story.tell(OdometerRead, number, 441_000.0)
    story.tell(Admitted, number)
    story.tell(Moved, vehicle(number), "strip", position)


def test_an_empty_record_changes_nothing_but_the_day() -> None:
    """With no event every table stays, and today is that of the call."""
    found, works = recorded(Story()), small_works()
    assert found.works.vehicles == works.vehicles
    assert found.works.readings == works.readings
    assert found.works.floats == works.floats
    assert found.works.settings.plan.today == date(2026, 3, 4)
    assert found.works.settings.plan.start == works.settings.plan.start == date(2026, 3, 9)


def test_the_plan_starts_on_the_coming_monday() -> None:
    """A start behind today moves to the Monday after it; one set further ahead stays."""
    found = recorded(Story(), datetime(2026, 3, 9, 6, 0))
    assert found.works.settings.plan.start == date(2026, 3, 16)
    assert told(found, "today is 2026-03-09")
    assert coming_monday(date(2026, 3, 8)) == date(2026, 3, 9)


def test_a_vehicle_inside_stands_at_its_stage() -> None:
    """Gate-in day and stage are those of the record."""
    story = Story()
    visit(story)
    row = row_of(found := recorded(story), "101")
    assert (row.state, row.gate_in, row.stage_id) == ("inside", date(2026, 3, 2), "strip")
    assert told(found, "not by vehicles.csv: 101")
    assert told(found, "never seen it: 104")


def test_the_current_promise_is_the_plan_s() -> None:
    """The last promise of a vehicle inside; one that had passed when it came binds no more."""
    story = Story()
    for number, day in (("101", date(2026, 3, 20)), ("102", date(2026, 2, 20))):
        story.tell(Called, number, "solo", "north", date(2026, 2, 16))
        story.tell(Promised, number, day)
    visit(story)
    story.tell(Promised, "101", date(2026, 3, 27))
    visit(story, "102", 2)
    found = recorded(story)
    assert row_of(found, "101").promised == date(2026, 3, 27)
    assert row_of(found, "102").promised is None
    assert row_of(found, "104").promised is None
    assert not findings(found.works)


def test_a_vehicle_at_the_gate_is_inside_for_the_plan() -> None:
    """It waits for the first stage of its route and is not called again."""
    story = Story()
    story.tell(Arrived, "101", "solo", "north")
    row = row_of(recorded(story), "101")
    assert (row.state, row.stage_id) == ("inside", "strip")


def test_the_number_is_where_the_lead_is_and_waits_for_its_last_stage_in_store() -> None:
    """Parted, the lead's stage counts; stored, the last stage of the lead."""
    story = Story()
    visit(story)
    body, chassis = Piece("body", "B-1"), Piece("chassis", "C-1")
    story.tell(Parted, "101", (body, chassis))
    story.tell(Moved, body, "body", 2)
    assert row_of(recorded(story), "101").stage_id == "body"
    story.tell(Stored, body, "yard")
    assert row_of(recorded(story), "101").stage_id == "bpaint"
    story.tell(Married, "101", (body, chassis))
    assert row_of(recorded(story), "101").stage_id == "marry"


def test_a_released_vehicle_has_its_overhaul_from_the_record() -> None:
    """Day of release and odometer at the visit; it runs, and its licence is not an old one."""
    story = Story()
    story.tell(Arrived, "102", "solo", "north")
    story.tell(OdometerRead, "102", 437_500.0)
    story.tell(Admitted, "102")
    story.minute += 300 * 24 * 60
    story.tell(Released, "102", "inspector 1")
    found = recorded(story, story.at())
    row = row_of(found, "102")
    assert row.last_overhaul == date(2026, 12, 27)
    assert row.overhaul_odometer == 437_500
    assert row.state == "running"
    assert row.licence_expiry is None
    assert told(found, "licence_expiry: 102")
    assert told(found, "Past their withdraw_on and not withdrawn by the record: 202;")
    assert [one.column for one in findings(found.works)] == ["withdraw_on"]


def test_an_overhaul_without_a_reading_has_an_unknown_odometer() -> None:
    """Unknown is unknown: no reading between gate and release leaves the cell blank."""
    story = Story()
    story.tell(Arrived, "101", "solo", "north")
    story.tell(Admitted, "101")
    story.tell(Released, "101", "inspector 1")
    assert row_of(recorded(story), "101").overhaul_odometer is None


def test_a_vehicle_released_is_inside_no_more() -> None:
    """The table's inside gives way to the record's release, and is told."""
    story = Story()
    story.tell(Arrived, "104", "solo", "south")
    story.tell(Admitted, "104")
    story.tell(Released, "104", "inspector 1")
    found = recorded(story)
    row = row_of(found, "104")
    assert (row.state, row.gate_in, row.stage_id) == ("running", None, None)
    assert told(found, "by the record no more: 104")


def test_withdrawn_called_and_unknown_vehicles_are_told() -> None:
    """Withdrawn: as such in the table; called: planned anew; unknown to the table: named."""
    story = Story()
    story.tell(Withdrawn, "103", "burnt out")
    story.tell(Called, "105", "solo", "south", date(2026, 3, 9))
    story.tell(Arrived, "999", "solo", "north")
    story.tell(OdometerRead, "998", 1.0)
    found = recorded(story)
    assert row_of(found, "103").state == "withdrawn"
    assert row_of(found, "105").state == "running"
    assert told(found, "Withdrawn by the record: 103")
    assert told(found, "Called in and not come yet: 105")
    assert told(found, "not in vehicles.csv: 999. The plan does not know it")
    assert told(found, "not in vehicles.csv: 998; not planned")


def test_readings_stand_beside_each_other() -> None:
    """The record's reading of a day holds; one that makes the odometer fall is left out."""
    story = Story()
    story.tell(OdometerRead, "101", 441_000.0)
    story.tell(OdometerRead, "101", 441_020.0)
    story.tell(OdometerRead, "102", 400_000.0)
    found = recorded(story)
    readings = found.works.readings
    assert readings[:-1] == small_works().readings
    assert readings[-1] == Reading("101", date(2026, 3, 2), 441_020.0)
    assert told(found, "make an odometer fall") and told(found, "left out: 102")
    assert not findings(found.works)


def enter(story: Story, serial: str, condition: Condition) -> Unit:
    """A motor of the float."""
    unit = Unit("motor", serial)
    story.tell(UnitEntered, unit, condition, "elec")
    return unit


def test_the_float_is_what_is_off_the_vehicles_beyond_the_owed() -> None:
    """Two ready, three in repair of which one is owed, one set aside: 2, 2 and 1."""
    story = Story()
    enter(story, "M-1", Condition.SERVICEABLE)
    ready = enter(story, "M-2", Condition.SERVICEABLE)
    for serial in ("M-3", "M-4"):
        enter(story, serial, Condition.UNSERVICEABLE)
    aside = enter(story, "M-5", Condition.UNSERVICEABLE)
    story.tell(Quarantined, aside, "overspeed")
    visit(story)
    off = Unit("motor", "M-9")
    story.tell(Removed, off, vehicle("101"))
    assert held(recorded(story), "motor") == FloatHeld("motor", 2, 2, 1)
    # Given out it is the vehicle's, and what came off the vehicle is float instead.
    story.tell(Issued, ready, vehicle("101"))
    assert held(recorded(story), "motor") == FloatHeld("motor", 1, 3, 1)
    story.tell(Fitted, ready, vehicle("101"))
    assert held(recorded(story), "motor") == FloatHeld("motor", 1, 3, 1)
    story.tell(Reconditioned, off, "elec")
    assert held(recorded(story), "motor") == FloatHeld("motor", 2, 2, 1)


def test_units_made_good_before_they_are_needed_are_not_float() -> None:
    """The unit of a vehicle inside, reconditioned already, is still owed to it."""
    story = Story()
    visit(story)
    off = Unit("motor", "M-9")
    story.tell(Removed, off, vehicle("101"))
    story.tell(Reconditioned, off, "elec")
    found = recorded(story)
    assert held(found, "motor") == FloatHeld("motor", 0, 0, 0)
    assert held(found, "valve") == FloatHeld("valve", 6, 4, 1)
    assert told(found, "not as floats.csv: motor")
    assert told(found, "record knows no unit, so floats.csv is taken: axle, valve")


def test_units_of_the_second_site_are_not_float() -> None:
    """Of three valves off the vehicles one is kept at the second site, as the table says."""
    story = Story()
    for serial in ("V-1", "V-2", "V-3"):
        story.tell(UnitEntered, Unit("valve", serial), Condition.SERVICEABLE, "store")
    assert held(recorded(story), "valve") == FloatHeld("valve", 2, 0, 0)


def test_a_unit_scrapped_within_its_purchase_lead_is_on_order() -> None:
    """For 60 working days, 84 days, it stands for the one that is owed, and is told."""
    story = Story()
    visit(story)
    off = Unit("motor", "M-9")
    story.tell(Removed, off, vehicle("101"))
    story.tell(Scrapped, off, "burnt")
    found = recorded(story, START + timedelta(days=83))
    assert held(found, "motor") == FloatHeld("motor", 0, 0, 0)
    assert told(found, "taken to be on order: motor 1")
    assert not told(found, "short by")


def test_a_float_below_nought_is_told() -> None:
    """Scrapped longer ago and still missing: nought, and by how much it is short."""
    story = Story()
    visit(story)
    off = Unit("motor", "M-9")
    story.tell(Removed, off, vehicle("101"))
    story.tell(Scrapped, off, "burnt")
    found = recorded(story, START + timedelta(days=85))
    assert held(found, "motor") == FloatHeld("motor", 0, 0, 0)
    assert told(found, "short by: motor 1")
    assert not told(found, "on order")


def test_the_last_moment_is_that_of_the_last_thing_told() -> None:
    """Readings and moves count; an empty record has none."""
    story = Story()
    assert last_moment(story.now) is None
    story.tell(OdometerRead, "101", 441_000.0)
    assert last_moment(story.now) == story.at()
    story.tell(Arrived, "102", "solo", "north")
    assert last_moment(story.now) == story.at()


def test_the_works_as_recorded_can_be_planned() -> None:
    """It passes every cross-check of a works read from files."""
    story = Story()
    visit(story)
    assert not findings(recorded(story).works)


def test_a_called_vehicle_is_called_for_the_day_booked() -> None:
    """The day its depot was told, until it comes or is called off; an overdue one is named."""
    story = Story()
    story.tell(Called, "101", "solo", "north", date(2026, 3, 18))
    story.tell(Called, "102", "solo", "north", date(2026, 3, 3))
    found = recorded(story)
    assert row_of(found, "101").called_for == date(2026, 3, 18)
    assert row_of(found, "101").state == "running"
    assert told(found, "Called in and not come yet: 101. The plan keeps the days booked.")
    assert told(found, "the day has passed and they are not at the gate: 102 (2026-03-03)")
    assert not findings(found.works)
    story.tell(CalledOff, "101", "no tow")
    story.tell(Arrived, "102", "solo", "north")
    found = recorded(story)
    assert row_of(found, "101").called_for is None
    assert row_of(found, "102").called_for is None
    assert not told(found, "Called in")


def test_the_record_holds_over_a_call_of_the_table() -> None:
    """A call written in the table stays while the record knows nothing of the vehicle."""
    works = small_works()
    rows = tuple(
        replace(one, called_for=date(2026, 3, 20)) if one.vehicle_id in {"101", "102"} else one
        for one in works.vehicles
    )
    story = Story()
    story.tell(Called, "102", "solo", "north", date(2026, 3, 25))
    found = as_recorded(replace(works, vehicles=rows), story.now, NOW)
    assert row_of(found, "101").called_for == date(2026, 3, 20)
    assert row_of(found, "102").called_for == date(2026, 3, 25)
