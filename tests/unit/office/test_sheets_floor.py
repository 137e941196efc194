"""The vehicles', parts' and learning sheets say what the record says, and add up."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any

import pytest

from pacewright.base.faults import CallError
from pacewright.events.record import Corrected
from pacewright.events.things import Event, Piece, Unit
from pacewright.events.units import Removed
from pacewright.events.written import write_event
from pacewright.ledger.entry import Entry, Kept
from pacewright.life.learn import learn
from pacewright.office.access import Person
from pacewright.office.background import Job
from pacewright.office.desk import Desk
from pacewright.office.desk_learning import decide_at_desk, seen_of
from pacewright.office.errors import NotFoundError
from pacewright.office.folder import open_works
from pacewright.office.rights import RIGHTS, Role
from pacewright.office.sheets.catalogue import SHEETS
from pacewright.office.sheets.learning import decisions, still_asked
from pacewright.office.sheets.learning_paper import LearnedPaper, learned_keeper, learning_of
from pacewright.office.sheets.today_paper import day_paper
from pacewright.office.sheets.vehicle_story import truths_of
from pacewright.office.sheets.vehicles_forecast import forecast_of
from pacewright.plans.learned import Proposal
from pacewright.reports.sheet import Sheet, sheet_data
from planner_desk import story_desk
from true_record import Truth, told


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


def test_a_float_is_counted_by_condition(desk: Desk) -> None:
    """One valve is free, one in quarantine, the motor unserviceable; never summed."""
    made = {row["unit_kind_id"]: row for row in rows(sheet(desk, "parts"), "kinds")}
    states = ("serviceable", "issued", "unserviceable", "quarantine")
    assert [made["valve"][one] for one in states] == [1, 0, 0, 1]
    assert [made["motor"][one] for one in states] == [0, 0, 1, 0]
    assert made["motor"]["vehicles_short"] >= 1


@pytest.mark.parametrize("state", ["short", "runs out", "tight", "overdue"])
def test_kinds_are_chosen_by_how_they_stand(desk: Desk, state: str) -> None:
    """A filter leaves kinds that stand so; all filters together miss no kind that is short."""
    chosen = {row["unit_kind_id"] for row in rows(sheet(desk, "parts", state=state), "kinds")}
    every = {row["unit_kind_id"]: row for row in rows(sheet(desk, "parts"), "kinds")}
    told = {
        "short": {key for key, row in every.items() if row["vehicles_short"]},
        "runs out": {k for k, row in every.items() if row["state"] in ("none left", "runs out")},
        "tight": {key for key, row in every.items() if row["state"] == "tight"},
        "overdue": {key for key, row in every.items() if row["overdue"]},
    }
    assert chosen == told[state]


def test_one_kind_tells_its_units_and_who_needs_them(desk: Desk) -> None:
    """The motor that came off 101 is in repair, is owed to 101, and its stock is drawn ahead."""
    made = sheet(desk, "part", unit_kind_id="motor")
    units = rows(made, "units")
    assert [row["serial"] for row in units] == ["motor:M-1"]
    assert units[0]["state"] == "unserviceable"
    assert units[0]["away_days"] >= 0
    assert "101" in {row["vehicle_id"] for row in rows(made, "needs")}
    places = rows(made, "pipeline")
    assert sum(row["units"] for row in places) == 1
    with pytest.raises(NotFoundError, match="has none of that name"):
        sheet(desk, "part", unit_kind_id="none")


def test_the_life_of_a_unit_is_told_both_ways(desk: Desk) -> None:
    """The motor was on 101 since before the record; the page of 101 says the same."""
    made = sheet(desk, "serial", code="motor:M-1")
    life = rows(made, "life")
    assert [row["state"] for row in life] == ["unserviceable", "on a vehicle"]
    assert life[1]["since"] is None
    assert life[0]["since"] == life[1]["until"]
    assert life[1]["vehicle_id"] == "101"
    assert {row["vehicle_id"] for row in rows(made, "carriers")} == {"101"}
    off = rows(sheet(desk, "vehicle", vehicle_id="101"), "came_off")
    assert off[0]["off_at"] == life[1]["until"]
    assert made.figures[1].value == "-"


def test_the_life_of_an_assembly_names_its_vehicles(desk: Desk) -> None:
    """The chassis that came with 103 was part of it until it was parted."""
    made = sheet(desk, "serial", code="chassis:C-103")
    carriers = rows(made, "carriers")
    assert carriers[0]["vehicle_id"] == "103"
    assert carriers[0]["until"] is not None
    for code in ("motor:none", "vehicle:101", "", "x"):
        with pytest.raises(NotFoundError, match="Scan the label again"):
            sheet(desk, "serial", code=code)


class AtOnce:
    """A background that makes what it is asked for before it answers."""

    def ask(
        self, key: object, mark: tuple[object, ...], make: Any, wait_seconds: float = 0.0
    ) -> Job:
        """The job, done."""
        job = Job(mark, made=make())
        job.done.set()
        return job


@pytest.fixture(scope="module")
def taught(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The story's works, taught by eighty told days in which motors take 12 days, not 9."""
    made = story_desk(tmp_path_factory.mktemp("taught"))
    teach(made)
    yield made
    made.close()


def teach(desk: Desk) -> None:
    """Let the desk have learned from a record of stated truths."""
    works, place = desk.works, desk.head_place()
    paper = LearnedPaper(learn(works, told(works, Truth(), 80)), works, place)
    learned_keeper(desk).look(AtOnce(), (place, works), lambda: paper)  # type: ignore[arg-type]


def test_what_the_record_contradicts_is_asked(taught: Desk) -> None:
    """The motor's turn time is asked: the table says 9 days, the truth told is about 12.6."""
    asked = {row["proposal_id"]: row for row in rows(sheet(taught, "learning"), "asked")}
    row = asked["unit_kinds:motor:turn_days"]
    assert row["old"] == 9
    # Lognormal of scale 12 and log sd 0.3: mean 12 exp(0.3^2 / 2) = 12.55 (definition).
    assert row["low"] < 12.55 < row["high"]
    made = sheet(taught, "part", unit_kind_id="motor")
    assert made.part("turns") is not None


def test_a_decision_is_written_and_told(taught: Desk) -> None:
    """Accepted, the table has the figure and the record the decision; rejected, only the record."""
    who = Person("engineer", "The engineer", Role.ENGINEER, RIGHTS[Role.ENGINEER])
    asked = {one.proposal_id: one for one in still_asked_now(taught)}
    name, other = (
        "unit_kinds:motor:turn_days",
        next(key for key in asked if key != "unit_kinds:motor:turn_days"),
    )
    seen = {key: seen_of(one) for key, one in asked.items()}
    with pytest.raises(CallError, match="No reason"):
        decide_at_desk(taught, who, {other: "reject"}, seen, " ")
    with pytest.raises(CallError, match="another figure"):
        decide_at_desk(taught, who, {name: "accept"}, {name: "1 2 3"}, "")
    with pytest.raises(CallError, match="nothing of that name"):
        decide_at_desk(taught, who, {"unit_kinds:none:turn_days": "accept"}, seen, "")
    with pytest.raises(CallError, match="Nothing was chosen"):
        decide_at_desk(taught, who, {}, seen, "")
    before = (taught.path / "unit_kinds.csv").read_text()
    answers = decide_at_desk(taught, who, {name: "accept", other: "reject"}, seen, "odd weeks")
    assert all(one.place for one in answers)
    after = (taught.path / "unit_kinds.csv").read_text()
    assert before != after
    works = open_works(taught.path)[0]
    motor = next(one for one in works.unit_kinds if one.unit_kind_id == "motor")
    assert motor.turn_days == pytest.approx(asked[name].proposed)
    # The changed tables may have been taken up by now; then the record is read against them anew.
    assert learning_of(taught, 60).paper is not None
    left = {row["proposal_id"] for row in rows(sheet(taught, "learning"), "asked")}
    assert not left & {name, other}
    decided = rows(sheet(taught, "learning"), "decided")
    assert {(row["row"], row["accepted"]) for row in decided} >= {("motor", True)}
    assert {row["reason"] for row in decided} == {"odd weeks"}


def still_asked_now(desk: Desk) -> list[Proposal]:
    """What is asked at the desk now."""
    paper = learning_of(desk).paper
    assert paper is not None
    return still_asked(paper, decisions(desk))


def test_a_corrected_story_is_told_as_it_was() -> None:
    """What a correction puts in the place of an event is told; a voided correction is not."""
    unit = Unit("motor", "M-7")
    first, second, third = (datetime(2026, 3, day, 8, 0) for day in (2, 3, 4))
    off = Removed(first, unit, Piece("vehicle", "101"))
    truly = Removed(second, unit, Piece("vehicle", "101"))
    mend = Corrected(third, "a", (write_event(truly),), "wrong day")
    void = Corrected(third, "b", (), "it was right")
    elsewhere = Corrected(third, "z", (write_event(truly),), "wrong unit")

    def kept(*events: tuple[str, Event]) -> list[Kept]:
        return [
            Kept(place, Entry(event_id, event, "clerk"), third, "", "")
            for place, (event_id, event) in enumerate(events, 1)
        ]

    assert list(truths_of(kept(("a", off)))) == [off]
    assert list(truths_of(kept(("a", off), ("b", mend)))) == [truly]
    assert list(truths_of(kept(("a", off), ("b", mend), ("c", void)))) == [off]
    # The event it mends is about another thing, so it is not among those told.
    assert list(truths_of(kept(("a", off), ("d", elsewhere)))) == [off, truly]
