"""The vehicles', parts' and learning sheets say what the record says, and add up."""

from collections.abc import Iterator
from typing import Any

import pytest

from pacewright.office.desk import Desk
from pacewright.office.errors import NotFoundError
from pacewright.office.sheets.catalogue import SHEETS
from pacewright.office.sheets.today_paper import day_paper
from pacewright.office.sheets.vehicles_forecast import forecast_of
from pacewright.reports.sheet import Sheet, sheet_data
from planner_desk import story_desk


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The story's works: 101 in the fit-out, 102 stripped, 103 parted, 105 at the gate."""
    made = story_desk(tmp_path_factory.mktemp("floor"))
    yield made
    made.close()


def sheet(desk: Desk, key: str, **asked: str) -> Sheet:
    """A sheet by its key."""
    return SHEETS[key].make(desk, asked)


def rows(one: Sheet, key: str) -> list[dict[str, Any]]:
    """The rows of a part, as REST gives them."""
    found: list[dict[str, Any]] = sheet_data(one)["tables"][key]["rows"]
    return found


def test_vehicles_are_where_the_record_says(desk: Desk) -> None:
    """Each stands where it was put last; 101 is held for its motor; 105 is at the gate."""
    made = {row["vehicle_id"]: row for row in rows(sheet(desk, "vehicles"), "vehicles")}
    assert set(made) == {"101", "102", "103", "105"}
    assert made["101"]["stage_id"] == "fitout"
    assert made["101"]["state"] == "held: part"
    assert made["101"]["waits_for"] == "motor"
    assert made["102"]["stage_id"] == "strip"
    assert "body B-103" in made["103"]["where"]
    assert made["105"]["phase"] == "at gate"
    assert made["102"]["promise"] == "2026-04-08"


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({"state": "held"}, {"101"}),
        ({"phase": "at gate"}, {"105"}),
        ({"find": "10"}, {"101", "102", "103", "105"}),
        ({"find": "03"}, {"103"}),
        ({"state": "no promise", "phase": "inside"}, {"101", "103"}),
    ],
)
def test_filters_choose(desk: Desk, asked: dict[str, str], found: set[str]) -> None:
    """Each filter leaves what fits it and nothing else."""
    made = sheet(desk, "vehicles", **asked)
    assert {row["vehicle_id"] for row in rows(made, "vehicles")} == found


@pytest.mark.parametrize("asked", [{"phase": "gone"}, {"state": "blue"}, {"type": "none"}])
def test_a_wrong_filter_says_what_is_wanted(desk: Desk, asked: dict[str, str]) -> None:
    """A choice that is none names the choices."""
    with pytest.raises(ValueError, match="is wanted"):
        sheet(desk, "vehicles", **asked)


def test_a_way_is_done_now_and_to_come(desk: Desk) -> None:
    """101 has passed strip to marry, is in the fit-out, and the rest of its way is to come."""
    made = rows(sheet(desk, "vehicle", vehicle_id="101"), "route")
    state = {row["stage_id"]: row["state"] for row in made}
    assert [state[one] for one in ("strip", "body", "bpaint", "chstrip", "chbuild")] == ["done"] * 5
    assert state["marry"] == "done"
    assert state["fitout"] == "now"
    coming = [row for row in made if row["state"] == "coming"]
    assert coming
    for row in made:
        if row["begins"] and row["ends"]:
            assert row["begins"] <= row["ends"], row
    for row in coming:
        assert row["begins"] >= "2026-03-10", row


def test_a_parted_vehicle_has_a_lane_an_assembly(desk: Desk) -> None:
    """103 is in pieces: body and chassis each have their lane, by the names they go by."""
    made = rows(sheet(desk, "vehicle", vehicle_id="103"), "route")
    assert {row["piece"] for row in made} >= {"vehicle 103", "body B-103", "chassis C-103"}
    had = rows(sheet(desk, "vehicle", vehicle_id="103"), "assemblies")
    assert {row["assembly"]: row["keeps_number"] for row in had} == {
        "body:B-103": True,
        "chassis:C-103": False,
    }


def test_units_owed_are_told(desk: Desk) -> None:
    """The motor that came off 101 is owed to it, and none is in sight in time."""
    made = sheet(desk, "vehicle", vehicle_id="101")
    owed = {row["unit_kind_id"]: row for row in rows(made, "owed")}
    assert owed["motor"]["owed"] == 1
    assert owed["motor"]["state"].startswith("late")
    off = rows(made, "came_off")
    assert [row["serial"] for row in off] == ["motor:M-1"]
    assert off[0]["condition"] == "unserviceable"


def test_the_forecast_is_made_aside_and_then_told(desk: Desk) -> None:
    """At first the page says it is being computed; then it has a range round the mean."""
    found = forecast_of(desk, day_paper(desk))
    assert found.made is None
    assert found.being_made
    desk.plan()
    for _ in range(300):
        found = forecast_of(desk, day_paper(desk), wait_seconds=0.2)
        if not found.being_made:
            break
    assert found.made is not None, found.why_not
    row = {one["vehicle_id"]: one for one in rows(sheet(desk, "vehicles"), "vehicles")}["102"]
    assert row["earliest"] <= row["expected"]
    assert row["latest"] is None or row["expected"] <= row["latest"]
    assert 0 <= row["keeps_share"] <= 1


def test_what_nobody_knows_is_not_found(desk: Desk) -> None:
    """An unknown vehicle is said to be unknown, with what to do."""
    with pytest.raises(NotFoundError, match="Check the number"):
        sheet(desk, "vehicle", vehicle_id="999")
