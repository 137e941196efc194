"""What a vehicle that lacks a unit has to do again: fitting it, and tests; nothing else."""

from dataclasses import replace

import pytest

from control_case import Case, days
from pacewright.events.stages import WorkStarted
from pacewright.simulate.calendars import Clock
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.heap_engine import run_heap
from pacewright.simulate.live_start import LiveStart
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.start_table import Stand
from pacewright.simulate.table import FlowTable
from pacewright.works import Works
from small_works import small_works

SURE = FlowOptions(
    calls=Calls.EVEN,
    pace_a_day=0.02,
    weeks=20,
    upsets=False,
    late_calls=False,
    scatter=False,
)
ROB_MINUTES = 120


def works_with(rob_hours: float | None = None) -> Works:
    """The small works; what robbing a motor takes may be told for itself."""
    one = small_works()
    kinds = tuple(
        replace(kind, rob_hours=rob_hours) if kind.unit_kind_id == "motor" else kind
        for kind in one.unit_kinds
    )
    return replace(one, unit_kinds=kinds)


def at_work(stage_id: str, works: Works) -> Case:
    """Vehicle 101 alone, two hours into the work of a stage; a motor in store for any need."""
    case = Case(works)
    whole = case.married("101")
    case.passes(whole, "marry")
    if stage_id == "test":
        case.passes(whole, "fitout")
    case.put(whole, stage_id)
    case.in_store("motor", "M-9")
    case.day((case.at() + days(1)).replace(hour=8, minute=0))
    case.tell(WorkStarted, whole, stage_id, "elec" if stage_id == "fitout" else "fitter")
    case.day(case.at().replace(hour=10, minute=0))
    return case


def run_on(case: Case, lacks: bool) -> tuple[FlowTable, int]:
    """The table of a run from the record, and the worked minutes until 101 is released."""
    if lacks:
        case.off(case.now.whole("101").piece, "motor", "M-1")
    live = LiveStart(case.now.copy(), case.at().replace(hour=10, minute=30))
    table = compile_flow(case.works, None, SURE, live)
    clock = Clock.of(table.days)
    released = int(run_heap(table, 1, 0).released[0])
    assert released > 0
    return table, clock.worked(released) - clock.worked(table.days.start)


@pytest.mark.parametrize(("rob_hours", "minutes"), [(None, ROB_MINUTES), (5.0, 300), (0.0, 0)])
def test_only_the_unit_is_fitted_again(rob_hours: float | None, minutes: int) -> None:
    """Robbed at work, another one in store: later by the work of fitting, not by the stage."""
    works = works_with(rob_hours)
    _, before = run_on(at_work("fitout", works), lacks=False)
    table, after = run_on(at_work("fitout", works), lacks=True)
    assert Stand(int(table.live.starts.stand[0])) is Stand.LACKS
    assert after - before == minutes


def test_what_was_tested_without_the_unit_is_tested_again() -> None:
    """Robbed in the test: what was tested from 08:01 to 10:30 counts for nothing; it is fitted."""
    works = works_with()
    _, before = run_on(at_work("test", works), lacks=False)
    table, after = run_on(at_work("test", works), lacks=True)
    assert Stand(int(table.live.starts.stand[0])) is Stand.POSITIONED
    assert table.live.starts.more.sum() == ROB_MINUTES
    assert after - before == 149 + ROB_MINUTES


def test_a_stage_all_done_is_not_done_again() -> None:
    """The last stage done, without a test in it: fitting is all that is left."""
    works = works_with()
    stages = tuple(
        replace(one, first_pass_share=1.0) if one.stage_id == "test" else one
        for one in works.stages
    )
    case = Case(replace(works, stages=stages, test_items=()))
    whole = case.married("101")
    for stage_id in ("marry", "fitout", "test"):
        case.passes(whole, stage_id)
    case.in_store("motor", "M-9")
    case.day((case.at() + days(1)).replace(hour=10, minute=0))
    table, after = run_on(case, lacks=True)
    assert Stand(int(table.live.starts.stand[0])) is Stand.LACKS
    assert after == 1 + ROB_MINUTES, "no work takes less than a minute"


def test_a_unit_of_an_assembly_is_owed_to_the_vehicle_that_is_whole_again() -> None:
    """An axle goes on in the chassis shop, long behind: the vehicle waits for it all the same."""
    works = works_with()
    case = at_work("fitout", works)
    _, before = run_on(case, lacks=False)
    case.off(case.now.whole("101").piece, "axle", "A-1")
    table, after = run_on(case, lacks=False)
    assert table.live.starts.late.sum() == 1
    assert after - before > ROB_MINUTES, "none is in store"
    case.in_store("axle", "A-2")
    _, after = run_on(case, lacks=False)
    assert after - before == ROB_MINUTES
