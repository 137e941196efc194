"""The papers of one vehicle, read back from their PDF."""

import pytest

from events_story import vehicle
from pacewright.base.faults import CallError
from pacewright.events.stages import Found
from pacewright.events.things import Unit, Verdict
from pacewright.events.units import Issued
from pacewright.reports.papers.ground import Ground
from pacewright.reports.papers.inspection_form import inspection_form, limits
from pacewright.reports.papers.kit_list import kit_list
from pacewright.reports.papers.vehicle_card import vehicle_card, vehicle_cards
from paper_ground import ground, pages, text_of, told
from small_works import small_works


@pytest.fixture(scope="module")
def made() -> Ground:
    """The small works with its story."""
    return ground()


def test_vehicle_card_tells_who_it_is_and_its_promise(made: Ground) -> None:
    """Number, type, depot, promise, odometer and place are those of the story."""
    said = text_of(vehicle_card(made, "102"))
    for words in (
        "Vehicle 102", "vehicle:102", "Two-axle bus", "North depot", "412,345 km",
        "Current promise 8 Apr 2026", "strip 1 Strip and part", "record up to event 35",
    ):  # fmt: skip
        assert words in said, words


def test_vehicle_card_tells_the_route_in_order(made: Ground) -> None:
    """Stages stand in the order of the route, the present one as now, those behind as done."""
    said = text_of(vehicle_card(made, "101"))
    route = said[said.index("finished, initials") :]
    # Leg by leg: the whole, the body, the chassis, the whole again.
    names = ("Strip and part", "Body repair", "Body paint", "Chassis strip and clean",
             "Chassis build", "Marry", "Fit out", "Test and release")  # fmt: skip
    places = [route.index(name) for name in names]
    assert places == sorted(places)
    assert "fitout Fit out Electrical shop vehicle now" in said
    assert "strip Strip and part Strip shop vehicle done" in said


def test_vehicle_card_does_not_call_done_what_goes_to_any(made: Ground) -> None:
    """Of a vehicle in pieces only its lead is followed; the chassis may go to another."""
    said = text_of(vehicle_card(made, "103"))
    assert "It is in pieces: any chassis that fits is married to it." in said
    assert "chaxle" not in said, "the stages of a loose chassis are not followed"
    assert "chassis done" not in said


def test_vehicle_card_tells_what_is_owed(made: Ground) -> None:
    """The motor that came off 101 is owed to it."""
    assert "Traction motor 1 as found 1" in text_of(vehicle_card(made, "101"))


def test_cards_of_all_inside_are_one_paper(made: Ground) -> None:
    """Every vehicle inside has a card, in order; 105 waits outside and has none."""
    found = pages(vehicle_cards(made))
    heads = [number for number in ("101", "102", "103", "105")
             if any(f"Vehicle {number} vehicle:{number}" in one for one in found)]  # fmt: skip
    assert heads == ["101", "102", "103"]


@pytest.mark.parametrize(("number", "why"), [("105", "at gate"), ("999", "does not know")])
def test_vehicle_outside_has_no_card(made: Ground, number: str, why: str) -> None:
    """What is not inside is refused, with what it is and what to do."""
    with pytest.raises(CallError, match=why):
        vehicle_card(made, number)


def test_form_asks_what_is_in_question_and_fixes_what_must_change(made: Ground) -> None:
    """Operations of share 0 < p < 1 and kinds that may stay on are asked; the rest is fixed."""
    said = text_of(inspection_form(made, "102"))
    asked, fixed = said.split("Must-change Changed")
    for item in ("Pillar and panel repair", "Floor renewal", "Driven axle"):
        assert f"{item} " in asked, item
    assert "use repair replace scrap" in asked
    for item in ("Strip out", "Prepare and paint", "Brake valve"):
        assert f"{item} " in fixed, item
        assert f"{item} " not in asked, item
    assert "Joint bellows" not in said, "an operation of another type is not asked"


def test_form_leaves_out_what_was_judged_and_lists_it() -> None:
    """An item already found on this visit stands below, with reading and verdict."""
    case = told()
    case.tell(Found, vehicle("102"), "bd-1", Verdict.REPAIR, 3.5, 2.0, "mm")
    said = text_of(inspection_form(Ground(case.works, case.now, case.at()), "102"))
    asked, judged = said.split("Judged already on this visit")
    assert "Pillar and panel repair" not in asked
    assert "bd-1 repair 3.5 mm" in judged


def test_form_writes_limits_and_room_to_measure() -> None:
    """With a limit the form says it with its unit; without one it is judged by eye."""
    assert limits(2, 4, "mm") == "2 to 4 mm"
    assert limits(None, 4.5, "mm") == "at most 4.5 mm"
    assert limits(0.8, None, "MOhm") == "at least 0.8 MOhm"
    assert limits(None, None, "mm") == "-"
    works = small_works(lambda tables: tables["operations"][1].update(
        inspect_most="3.5", inspect_unit="mm"))  # fmt: skip
    case = told(works)
    said = text_of(inspection_form(Ground(case.works, case.now, case.at()), "102"))
    assert "Pillar and panel repair bd-1, at Body repair at most 3.5 mm use repair" in said
    assert "Floor renewal bd-2, at Body repair - by eye use repair" in said


def test_kit_list_tells_what_is_owed_and_short(made: Ground) -> None:
    """101 owes a motor that is in repair: short, with who must turn it out."""
    said = text_of(kit_list(made, "101"))
    assert "For Fit out fitout, Electrical shop" in said
    motor = said[said.index("Traction motor") :]
    assert motor.startswith("Traction motor 1 0 - 0 10 Mar 2026 SHORT 1 in repair, expected")
    assert "Nothing unserviceable or in quarantine is laid out" in said


def test_kit_list_names_what_was_given_out() -> None:
    """A unit issued to the vehicle stands with its serial and is not short."""
    case = told()
    case.in_store("motor", "M-5")
    case.tell(Issued, Unit("motor", "M-5"), vehicle("101"))
    said = text_of(kit_list(Ground(case.works, case.now, case.at()), "101"))
    row = said[said.index("Traction motor") :]
    assert row.startswith("Traction motor 1 0 M-5 0")
    assert "SHORT" not in row.split("Laid out by")[0].split("Brake valve")[0]
