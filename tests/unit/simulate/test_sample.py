"""What is kept of a run: by hand on two vehicles, and against the clock of the engine."""

import numpy as np

from made_run import busy_plan, busy_works
from pacewright.simulate.calendars import Clock
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.engine import run_flow
from pacewright.simulate.problem import FlowOptions
from pacewright.simulate.run import Causes
from pacewright.simulate.sample import Measure, settling, worked_minutes
from tiny_flow import BODY_AND_FRAME, at, fits, held, kind, seen, stage, tiny_table, tiny_works


def two_vehicles(promised_days: float, measure_from_week: int = 0) -> Measure:
    """One stage of 12 hours; both come on Monday at 8: out on Tuesday at 12 and Wednesday at 16."""
    works = tiny_works([stage("all", 12)])
    table = tiny_table(works, [at(0, 0), at(0, 0)], measure_from_week=measure_from_week)
    return Measure.of(table, {"bus": promised_days})


def test_two_vehicles_by_hand() -> None:
    """The second waits 12 hours for the position: turn times of 1.5 and 3 days of 8 hours."""
    measure = two_vehicles(2.0)
    run = seen(measure.table).run
    sample = measure.sample(run)
    causes = Causes.of(measure.table)
    assert sample.turn_minutes.tolist() == [720, 1440]
    assert sample.released_weeks.tolist() == [2, 0, 0, 0]
    assert sample.arrived_weeks.tolist() == [2, 0, 0, 0]
    assert sample.inside_weeks.tolist() == [0, 0, 0, 0]
    assert (sample.due_types.tolist(), sample.kept_types.tolist()) == ([2], [1])
    assert sample.wait_minutes[causes.position] == 720
    assert sample.touched[causes.position] == 1
    assert sample.wait_minutes[causes.work] == 1440
    assert sample.units_ready == 2
    assert (sample.arrived, sample.released_types.tolist()) == (2, [2])
    assert measure.minutes == 20 * 480
    assert measure.years == 4 / 52


def test_a_vehicle_lacks_what_any_of_its_pieces_lacks() -> None:
    """The frame lacks its axle for a day; the body, whose way is told, waits for no unit itself.

    With one axle in the float the first of two vehicles lacks nothing.
    """
    axle = kind("axle", "strip", "frame", 2.0)
    stages = [
        stage("strip", 1),
        stage("body", 4, "strip", assembly_id="body", positions=2),
        stage("frame", 4, "strip", assembly_id="frame", positions=2),
        stage("marry", 1, "body frame"),
    ]
    for units, there in ((0, 0), (1, 1), (2, 2)):
        works = tiny_works(
            stages,
            assemblies=BODY_AND_FRAME,
            unit_kinds=(axle,),
            fits=fits(axle),
            floats=(held("axle", units),),
        )
        table = tiny_table(works, [at(0, 0), at(0, 2)])
        run = seen(table).run
        sample = Measure.of(table, {}).sample(run)
        assert len(sample.turn_minutes) == sample.units_ready == 2
        assert sample.all_there == there
        assert run.lacked.tolist() == [int(there < 1), int(there < 2)]
        assert run.integrals.late.tolist() == [2 - there]


def test_what_falls_before_the_time_measured_does_not_count() -> None:
    """Measured from the second week on, nothing is left of the two but the weeks themselves."""
    measure = two_vehicles(2.0, measure_from_week=1)
    sample = measure.sample(seen(measure.table).run)
    assert len(sample.turn_minutes) == 0
    assert sample.due_types.tolist() == [0]
    assert sample.wait_minutes.sum() == 0
    assert sample.released_weeks.tolist() == [2, 0, 0, 0]
    assert measure.minutes == 15 * 480


def test_a_promise_that_falls_due_after_the_end_is_not_yet_broken() -> None:
    """Called on the last Thursday with two days promised, due on Saturday's Monday: not counted."""
    works = tiny_works([stage("all", 30)])
    table = tiny_table(works, [at(23, 0), at(24, 4)])
    measure = Measure.of(table, {"bus": 2.0})
    sample = measure.sample(seen(table).run)
    # The first came on Wednesday, was due on Friday at 8, and is not out: broken.
    assert (sample.due_types.tolist(), sample.kept_types.tolist()) == ([1], [0])
    assert sample.inside_weeks.tolist() == [0, 0, 0, 2]


def test_a_type_without_a_promise_breaks_none() -> None:
    """No promise, nothing due."""
    table = two_vehicles(2.0).table
    sample = Measure.of(table, {}).sample(seen(table).run)
    assert sample.due_types.tolist() == [0]


def test_worked_minutes_are_those_of_the_clock() -> None:
    """Every 97th minute of a run with holidays in it, against the engine's own clock."""
    table = compile_flow(busy_works(), busy_plan().programme, FlowOptions(weeks=6))
    clock = Clock.of(table.days)
    times = np.arange(0, table.days.end, 97)
    assert worked_minutes(table.days, times).tolist() == [clock.worked(int(t)) for t in times]


def test_sums_are_those_of_a_walk_over_the_vehicles() -> None:
    """Ten weeks of a busy works: weeks, waits and promises reckoned again one by one."""
    options = FlowOptions(weeks=10, inside_now=False, measure_from_week=3)
    table = compile_flow(busy_works(), busy_plan().programme, options)
    run = run_flow(table, 5, 0)
    measure = Measure.of(table, {"bus": 6.0})
    sample = measure.sample(run)
    clock = Clock.of(table.days)
    week = 7 * 1440
    released = [int(t) for t in run.released if t >= 0]
    inside = [
        sum(0 <= a < (w + 1) * week for a in run.admitted.tolist())
        - sum(t < (w + 1) * week for t in released)
        for w in range(10)
    ]
    assert sample.inside_weeks.tolist() == inside
    assert sample.released_weeks.sum() == len(released)
    turns, waits = [], np.zeros(run.waits.shape[1])
    for v, out in enumerate(run.released.tolist()):
        if out >= 3 * week:
            turns.append(clock.worked(out) - clock.worked(int(run.arrived[v])))
            waits += run.waits[v]
    assert sample.turn_minutes.tolist() == turns
    assert sample.wait_minutes.tolist() == waits.tolist() == sample.whole_minutes.tolist()
    assert len(turns) > 20
    part = Causes.of(table).part
    ready = [
        run.waits[v, part] + run.waits[v, part + 1] == 0
        for v in np.flatnonzero(run.released >= 3 * week)
    ]
    assert sample.units_ready == sum(ready)


def test_vehicles_inside_at_the_start_have_no_turn_time_but_are_released() -> None:
    """Their arrival was not seen: they count in the output and its waits alone."""
    from tiny_flow import inside

    works = tiny_works([stage("all", 12)], vehicles=(inside("7", "all"),))
    table = tiny_table(works, [at(1, 0)])
    measure = Measure.of(table, {"bus": 9.0})
    sample = measure.sample(seen(table).run)
    assert sample.released_types.tolist() == [2]
    assert sample.turn_minutes.tolist() == [960]
    assert sample.arrived_weeks.sum() == 1
    assert sample.due_types.tolist() == [1]


def test_how_a_run_settles_is_told_by_the_day() -> None:
    """Two vehicles on Monday: both there on Tuesday, one on Wednesday, their turns by Monday."""
    table = two_vehicles(2.0).table
    found = settling(table, seen(table).run)
    assert len(found.there) == 20
    # Who comes at the very minute of the opening is not there yet when the day begins.
    assert found.there.tolist()[:4] == [0, 2, 1, 0]
    assert found.arrived.tolist()[:2] == [2, 0]
    assert found.out.tolist()[:2] == [2, 0]
    assert found.turn_minutes.tolist()[:2] == [2160, 0]
