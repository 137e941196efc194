"""The flow at a moment of the record: every piece once, red for want, blue for heaps."""

from dataclasses import replace

import pytest

from control_case import Case, days
from events_story import vehicle
from pacewright.control.flow_now import Seen, flow_at, leading, marriage_room, seen_at
from pacewright.events.stages import Held, PutOutOfUse, Stored
from pacewright.events.things import Cause
from pacewright.plans.flow_day import Doing, FlowDay, Source
from paper_ground import MONDAY, told
from small_works import small_works

NOW = MONDAY + days(1.2)


@pytest.fixture(scope="module")
def case() -> Case:
    """The story: 101 in the fit-out, 102 stripped, 103 parted, 105 at the gate."""
    return told()


def seen(case: Case) -> Seen:
    """What control sees of it."""
    return seen_at(case.works, case.now, NOW)


def flow(case: Case, **more: object) -> FlowDay:
    """The flow of it."""
    return flow_at(replace(seen(case), **more), Source.NOW, 1)


def test_every_piece_on_a_position_stands_in_the_picture_once(case: Case) -> None:
    """The picture holds exactly what the record has on positions, and no more held than there."""
    day = flow(case)
    there = sorted((one.stage_id, pos.position) for one in day.stages for pos in one.here)
    want = sorted(key for key, pieces in case.now.occupied.items() for _ in pieces)
    assert there == want
    for one in day.stages:
        assert one.held == len({pos.position for pos in one.here})
        assert one.held + one.lost <= one.positions
        assert one.stands + one.done <= len(one.here)


def test_what_lacks_a_unit_stands_and_says_which(case: Case) -> None:
    """101 waits for the motor that came off it: its stage is red and names the part."""
    day = flow(case)
    red = [one for one in day.stages if one.has_standing]
    assert red
    standing = [pos for one in red for pos in one.here if pos.doing is Doing.STANDS]
    assert [(pos.name, pos.why) for pos in standing] == [("101", "part: motor")]
    kinds = {one.unit_kind_id: one for one in day.kinds}
    assert kinds["motor"].is_short
    assert kinds["motor"].vehicles == ("101",)
    assert not kinds["axle"].vehicles


def test_conditions_are_told_apart(case: Case) -> None:
    """Serviceable, given out, to be made good and set aside are those of the standing."""
    for one in flow(case).kinds:
        off = case.now.off_vehicle(one.unit_kind_id)
        assert (one.serviceable + (one.issued or 0), one.unserviceable, one.quarantine) == off


def test_more_than_is_wanted_piles_up(case: Case) -> None:
    """Above the count that fills the store a kind piles up; at it, it does not."""
    have = {one.unit_kind_id: int(one.serviceable) for one in flow(case).kinds}
    kind_id = max(have, key=lambda name: have[name])
    assert have[kind_id] > 0, "the story has nothing in store: the case tests nothing"
    for full, piles in ((have[kind_id], False), (have[kind_id] - 1, True)):
        one = next(
            row for row in flow(case, full_at={kind_id: full}).kinds if row.unit_kind_id == kind_id
        )
        assert one.piles_up is piles


def test_the_gate_names_who_waits(case: Case) -> None:
    """Vehicles at the gate are named; inside is what the record has inside."""
    day = flow(case)
    assert day.gate == ("105",)
    assert (day.at_gate, day.inside) == (1, len(case.now.inside()))


def test_a_lead_keeps_the_number_and_marriage_takes_so_many(case: Case) -> None:
    """The assembly of which a vehicle has one leads; the room is positions times pieces."""
    marry = next(one for one in case.works.stages if one.stage_id == "marry")
    counts = {one.assembly_id: one.count for one in case.works.assemblies}
    assert leading(case.works) == {"body"}
    assert marriage_room(case.works) == {
        name: marry.positions * count for name, count in counts.items()
    }


def test_a_queue_piles_up_when_it_would_fill_every_position_again() -> None:
    """Three done before a stage of two positions pile up; one does not; a lost place counts."""
    works = small_works()
    stage = next(one for one in works.stages if one.stage_id == "fitout")
    assert stage.positions >= 2, "the case needs a stage of several positions"
    for count, lost, piles in ((stage.positions, 0, True), (stage.positions - 1, 0, False),
                               (stage.positions - 1, 1, True)):  # fmt: skip
        case = Case(works)
        for n in range(count):
            case.passes(case.married(f"{300 + n}"), "marry")
            case.tell(Stored, vehicle(f"{300 + n}"), "floor")
        if lost:
            case.tell(PutOutOfUse, "fitout", stage.positions)
        day = flow_at(seen_at(works, case.now, case.at()), Source.RECORD, 1)
        one = next(row for row in day.stages if row.stage_id == "fitout")
        assert one.queue == tuple(f"{300 + n}" for n in range(count))
        assert one.lost == lost
        assert one.piles_up is piles


def test_assemblies_pile_up_beyond_what_marriage_takes() -> None:
    """Chassis done and stored are counted; more than the room of marriage pile up."""
    works = small_works()
    case = Case(works)
    for n in range(3):
        _, chassis = case.parted(f"{400 + n}")
        case.passes(chassis, "chstrip")
        case.passes(chassis, "chbuild")
        case.tell(Stored, chassis, "floor")
    day = flow_at(seen_at(works, case.now, case.at()), Source.RECORD, 1)
    store = next(one for one in day.stores if one.assembly_id == "chassis")
    assert store.pieces == 3
    assert store.piles_up is (store.room < 3)
    assert store.names == ("C-400", "C-401", "C-402")


def test_a_hold_stands_and_names_its_cause() -> None:
    """A piece held for inspection is red, with the cause as the word."""
    case = Case()
    whole = case.let_in_type("500")
    case.put(whole, "strip")
    case.tell(Held, whole, Cause.INSPECTION, "crack in the frame")
    day = flow_at(seen_at(case.works, case.now, case.at()), Source.NOW, 1)
    one = next(row for row in day.stages if row.stage_id == "strip")
    assert one.has_standing
    assert one.here[0].doing is Doing.STANDS
    assert one.why[0].startswith("inspection")
