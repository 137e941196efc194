"""What the record says of the start of a run: piece by piece, unit by unit."""

from datetime import datetime, timedelta

import numpy as np
import pytest

from control_case import Case, days
from pacewright.events.gate import Arrived, Called
from pacewright.events.identity import Married, Parted, PieceEntered
from pacewright.events.stages import (
    Failed,
    Moved,
    PutOutOfUse,
    StageFinished,
    Stored,
    WorkEnded,
    WorkStarted,
)
from pacewright.events.things import Piece, Unit, Verdict
from pacewright.events.units import (
    Fitted,
    Issued,
    Purchased,
    Quarantined,
    Received,
    Reconditioned,
    Scrapped,
    Sent,
    UnitFound,
)
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.heap_engine import run_heap
from pacewright.simulate.live_start import LiveStart
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.start_table import UNKNOWN, Stand, There, Way
from pacewright.simulate.table import FlowTable
from small_works import Tables, small_works

EVEN = FlowOptions(calls=Calls.EVEN, pace_a_day=0.2, weeks=20, upsets=False)
MONDAY = datetime(2026, 3, 9, 7, 0)


def table_of(case: Case, now: datetime | None = None) -> FlowTable:
    """The table of a run that goes on from the story."""
    return compile_flow(case.works, None, EVEN, LiveStart(case.now, now or case.at()))


def stands(table: FlowTable) -> dict[tuple[str, int], tuple[Stand, str]]:
    """(vehicle, piece number) -> how it stands, and the stage of its step."""
    rows, found = table.live.starts, {}
    for row, p in enumerate(rows.piece.tolist()):
        v = int(table.pieces.vehicle[p])
        number = p - int(table.vehicles.piece[v])
        name = table.names.vehicles[v].split("/")[0]
        stage = table.names.stages[int(table.steps.stage[rows.step[row]])]
        found[name, number] = Stand(int(rows.stand[row])), stage
    return found


def asks(table: FlowTable, vehicle_id: str, number: int = 0) -> dict[str, int]:
    """Kind -> units that a piece asks for, where that is known."""
    rows = table.live.starts
    for row, p in enumerate(rows.piece.tolist()):
        v = int(table.pieces.vehicle[p])
        name = table.names.vehicles[v].split("/")[0]
        if (name, p - int(table.vehicles.piece[v])) == (vehicle_id, number):
            known = zip(table.names.kinds, rows.asks[row].tolist(), strict=True)
            return {kind: units for kind, units in known if units != UNKNOWN}
    raise AssertionError(f"no row of {vehicle_id} {number}")


def test_each_way_a_piece_can_stand() -> None:
    """Let in, positioned, at work, finished, parted, married: each as the record has it."""
    case = Case()
    case.let_in_type("101")
    married = case.married("105")
    body, chassis = case.parted("104")
    case.passes(chassis, "chstrip")
    case.put(body, "body", 2)
    positioned = case.let_in_type("102")
    case.put(positioned, "strip", 1)
    working = case.let_in_type("103")
    case.put(working, "strip", 2)
    case.tell(WorkStarted, working, "strip", "fitter")
    found = stands(table_of(case))
    assert found["101", 0] == (Stand.ASKS, "strip")
    assert found["102", 0] == (Stand.POSITIONED, "strip")
    assert found["103", 0] == (Stand.AT_WORK, "strip")
    assert found["104", 0] == (Stand.POSITIONED, "body")
    assert found["104", 1] == (Stand.ASKS, "chbuild")
    assert found["105", 0] == (Stand.ASKS, "marry")
    case.passes(married, "marry")
    case.passes(married, "fitout")
    case.put(married, "test")
    case.tell(WorkStarted, married, "test", "fitter")
    case.tell(WorkEnded, married, "test", "fitter")
    case.tell(Failed, married, "test")
    table = table_of(case)
    assert stands(table)["105", 0] == (Stand.AT_WORK, "test")
    assert table.live.starts.attempt.tolist().count(1) == 1


def test_just_parted_pieces_share_their_position() -> None:
    """Until the last has left, the position where the vehicle was parted is taken once."""
    case = Case()
    whole = case.let_in_type("101")
    case.passes(whole, "strip")
    pieces = (Piece("body", "B-1"), Piece("chassis", "C-1"))
    case.tell(Parted, "101", pieces)
    table = table_of(case)
    assert {stand for stand, _ in stands(table).values()} == {Stand.PARTED}
    assert len(set(table.live.starts.held.tolist())) == 1
    run = run_heap(table, 1, 0)
    assert run.released[0] > table.days.start


def test_an_assembly_of_a_vehicle_that_left_goes_to_one_that_lacks_it() -> None:
    """101 took the chassis of 102 and left; its own goes to 102, and a spare stands by itself."""
    case = Case()
    body, own = case.parted("101")
    other_body, other = case.parted("102")
    for piece in (own, other):
        case.passes(piece, "chstrip")
        case.passes(piece, "chbuild")
        case.tell(Stored, piece, "floor")
    for piece in (body, other_body):
        case.passes(piece, "body")
        case.passes(piece, "bpaint")
        case.tell(Stored, piece, "floor")
    case.tell(Married, "101", (body, other))
    case.tell(PieceEntered, Piece("chassis", "C-spare"), "store", "solo")
    table = table_of(case)
    assert stands(table)["102", 1] == (Stand.WAITS, "chbuild")
    there = dict(zip(table.names.vehicles, table.vehicles.inside.tolist(), strict=True))
    assert there["solo/loose/0"] == There.GONE
    run = run_heap(table, 1, 0)
    known = [v for v, one in enumerate(table.vehicles.inside.tolist()) if one == There.INSIDE]
    assert (run.released[known] > 0).all()
    assert run.arrived[table.names.vehicles.index("solo/loose/0")] == -1


def test_gate_and_calls_come_in_their_order() -> None:
    """At the gate: there at once; called: on its day, tomorrow at the earliest."""
    case = Case()
    case.day(MONDAY)
    case.tell(Arrived, "101", "solo", "north")
    case.tell(Called, "102", "solo", "south", (MONDAY + days(9)).date())
    case.tell(Called, "103", "solo", "south", (MONDAY - days(9)).date())
    table = table_of(case)
    there = {n.split("/")[0]: v for v, n in enumerate(table.names.vehicles) if "/record/" in n}
    assert table.vehicles.inside[there["101"]] == There.AT_GATE
    workday = table.days.workday[table.vehicles.day]
    today = table.days.start // 1440
    assert workday[there["103"]] == today + 1
    assert workday[there["102"]] == today + 9
    run = run_heap(table, 1, 0)
    assert run.arrived[there["101"]] == table.days.start
    later = [v for v, name in enumerate(table.names.vehicles) if name.startswith("even/")]
    assert table.vehicles.day[later].min() > table.vehicles.day[there["102"]]


def test_what_is_owed_and_given_out_is_asked_for_once() -> None:
    """Owed less issued; of what was not stripped yet nothing is known."""
    case = Case()
    whole = case.married("101")
    case.put(whole, "fitout")
    case.off(whole, "motor", "M-1")
    assert asks(table_of(case), "101")["motor"] == 1
    case.in_store("motor", "M-2")
    case.tell(Issued, Unit("motor", "M-2"), whole)
    table = table_of(case)
    assert asks(table, "101")["motor"] == 0
    assert table.kinds.serviceable[table.names.kinds.index("motor")] == 0
    fresh = Case()
    fresh.put(fresh.let_in_type("102"), "strip")
    assert asks(table_of(fresh), "102") == {}


def test_a_unit_owed_at_a_stage_behind_holds_the_vehicle() -> None:
    """At its last stage and owed a unit, it is released no sooner than the unit comes."""
    case = Case()
    whole = case.married("101")
    case.passes(whole, "marry")
    case.passes(whole, "fitout")
    case.passes(whole, "test")
    released = run_heap(table_of(case), 1, 0).released[0]
    assert released == table_of(case).days.start
    case.off(whole, "motor", "M-1")
    table = table_of(case)
    assert table.live.starts.late.sum() == 1
    assert stands(table)["101", 0] == (Stand.POSITIONED, "test")
    assert run_heap(table, 1, 0).released[0] > table.days.start + 1440


@pytest.mark.parametrize(
    ("told", "way"),
    [
        ((), Way.MAY_GO),
        (((Sent, "run"),), Way.IN_REPAIR),
        (((Received, "run"),), Way.IN_REPAIR),
        (((UnitFound, "crack", Verdict.SCRAP),), Way.BOUGHT),
    ],
)
def test_ways_of_a_unit_back_to_the_pool(told: tuple[tuple[object, ...], ...], way: Way) -> None:
    """Off and no more told: may be scrapped yet; at its shop: not; found beyond repair: bought."""
    case = Case(small_works(_shop))
    whole = case.married("101")
    case.off(whole, "motor", "M-1")
    for model, *fields in told:
        case.tell(model, Unit("motor", "M-1"), *fields)  # type: ignore[arg-type]
    assert table_of(case).live.away.way.tolist() == [way]


def _shop(tables: Tables) -> None:
    for row in tables["unit_kinds"]:
        row |= {"lot_size": "1", "despatch_days": "0", "benches": "", "turn_sd_days": "2"}
        row |= {"purchase_days": "30", "shop_id": row["shop_id"]}
        if row["unit_kind_id"] == "motor":
            row["shop_id"] = "run"


def test_a_unit_away_too_long_is_overdue_and_still_comes() -> None:
    """Beyond its law a unit is not said to come in a minute."""
    case = Case(small_works(_shop))
    whole = case.married("101")
    case.off(whole, "motor", "M-1")
    table = table_of(case, case.at() + days(120))
    assert table.live.away.way.tolist() == [Way.OVERDUE]
    assert table.live.away.minutes[0] > 60


def test_elapsed_time_is_counted_in_working_time() -> None:
    """Off for a week of five days of 8 h: 40 h have passed, not 168."""
    case = Case(small_works(_shop))
    case.day(MONDAY)
    whole = case.married("101")
    case.off(whole, "motor", "M-1")
    at = case.at()
    table = table_of(case, at + timedelta(days=7))
    assert table.live.away.minutes.tolist() == [5 * 8 * 60]


def test_quarantine_is_not_counted_on_and_scrapped_is_on_order() -> None:
    """Set aside: neither in the pool nor on its way; scrapped with a lead time: bought."""
    case = Case(small_works(_shop))
    whole = case.married("101")
    case.off(whole, "motor", "M-1", "M-2")
    case.tell(Quarantined, Unit("motor", "M-1"), "looked for")
    case.tell(Scrapped, Unit("motor", "M-2"))
    table = table_of(case)
    assert table.live.away.way.tolist() == [Way.BOUGHT]
    assert table.kinds.serviceable[table.names.kinds.index("motor")] == 0


def test_kinds_the_record_never_saw_keep_what_the_table_holds() -> None:
    """The float of a kind is the record's once it knows a unit of it."""
    case = Case()
    case.in_store("motor", "M-1", "M-2")
    table = table_of(case)
    held = {one.unit_kind_id: one for one in case.works.floats}
    for k, kind in enumerate(table.names.kinds):
        if kind == "motor":
            assert (table.kinds.serviceable[k], table.kinds.unserviceable[k]) == (2, 0)
        elif kind in held:
            assert table.kinds.serviceable[k] == held[kind].serviceable


def test_a_position_out_of_use_is_lost_for_a_time() -> None:
    """Lost from the start on, for as long as such losses last in the mean, or a day."""
    case = Case()
    case.tell(PutOutOfUse, "strip", 1, "pit closed")
    table = table_of(case)
    assert table.names.upsets[-1] == "out/strip/1"
    assert table.upsets.at[-1] == table.days.start
    assert table.upsets.out[-1] > 0


def test_a_unit_made_good_and_fitted_is_gone_from_the_pool() -> None:
    """Back on the vehicle: neither pool nor way."""
    case = Case(small_works(_shop))
    whole = case.married("101")
    case.off(whole, "motor", "M-1")
    case.tell(Reconditioned, Unit("motor", "M-1"), "run")
    case.tell(Fitted, Unit("motor", "M-1"), whole)
    table = table_of(case)
    assert len(table.live.away.way) == 0
    assert asks(table, "101")["motor"] == 0


def test_the_day_under_way_has_its_people() -> None:
    """In the middle of a day the crews are there; by night none is."""
    case = Case()
    case.day(MONDAY)
    case.let_in_type("101")
    noon = table_of(case, MONDAY + timedelta(hours=5))
    night = table_of(case, MONDAY + timedelta(hours=22))
    assert noon.days.workday[noon.live.today] == noon.days.start // 1440
    assert night.live.today == -1
    assert np.all(noon.live.starts.stand == Stand.ASKS)
    assert Moved is not StageFinished
    assert Purchased is not Scrapped
