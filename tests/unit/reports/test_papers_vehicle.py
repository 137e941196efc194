"""The papers of one vehicle, read back from their PDF."""

import pytest

from pacewright.base.faults import CallError
from pacewright.reports.papers.ground import Ground
from pacewright.reports.papers.vehicle_card import vehicle_card, vehicle_cards
from paper_ground import ground, pages, text_of


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
    names = ("Strip and part", "Body repair", "Marry", "Fit out", "Test and release")
    places = [route.index(name) for name in names]
    assert places == sorted(places)
    assert "fitout Fit out Electrical shop vehicle now" in said
    assert "strip Strip and part Strip shop vehicle done" in said


def test_vehicle_card_does_not_call_done_what_goes_to_any(made: Ground) -> None:
    """Of a vehicle in pieces only its lead is followed; the chassis may go to another."""
    said = text_of(vehicle_card(made, "103"))
    assert "chassis any chassis" in said
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
