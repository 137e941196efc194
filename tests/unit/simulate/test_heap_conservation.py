"""What no run may break: nothing is lost or made, no place holds more than it can, causes add up.

All is counted again from the rows of events alone, apart from the engine's own sums.
"""

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from flow_rows import occupied, vehicles_inside
from pacewright.events.codes import Code
from pacewright.simulate.calendars import Clock
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.heap_engine import run_heap
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.table import FlowTable
from pacewright.works import Works
from small_works import small_works
from tiny_flow import Seen, seen


def busy_works(robbing: bool) -> Works:
    """The small works with failing tests, breakdowns, late depots, a charge and a tight gate."""
    works = small_works()
    stages = tuple(
        replace(one, first_pass_share=0.8, rectify_hours=3)
        if one.stage_id in ("test", "body")
        else replace(one, batch_size=2, positions=2)
        if one.stage_id == "bpaint"
        else one
        for one in works.stages
    )
    plan = replace(works.settings.plan, inside_limit=6, robbing=robbing)
    return replace(
        works,
        stages=stages,
        depots=tuple(replace(one, late_share=0.3, late_days=2) for one in works.depots),
        settings=replace(works.settings, plan=plan),
    )


def busy_table(robbing: bool = True, **options: object) -> FlowTable:
    """Two years of it, more vehicles than it can pass."""
    usual = {"calls": Calls.EVEN, "pace_a_day": 0.3, "weeks": 60}
    return compile_flow(busy_works(robbing), None, FlowOptions(**usual | options))  # type: ignore[arg-type]


@pytest.fixture(scope="module", params=["empty", "inside now"])
def busy(request: pytest.FixtureRequest) -> Seen:
    """One run from empty, one from today's standing."""
    return seen(busy_table(inside_now=request.param == "inside now"), seed=3)


def test_no_stage_holds_more_than_its_positions(busy: Seen) -> None:
    """Positions held, followed from row to row, never exceed the positions there are."""
    most, area = occupied(busy)
    assert (most <= busy.table.stages.positions).all()
    assert most.max() > 1
    assert area.tolist() == busy.run.integrals.busy.tolist()


def test_the_gate_limit_is_kept(busy: Seen) -> None:
    """Never more than six inside, and at times six."""
    most, area = vehicles_inside(busy)
    assert most == 6
    assert area == busy.run.integrals.inside


def test_every_unit_is_somewhere(busy: Seen) -> None:
    """Lots leave full and at once (or with the despatch); what leaves is made good or scrapped.

    What is made good is never more than what left and was in the float at the start, and the
    shelf, counted up and down from row to row, never falls below nothing.
    """
    events = busy.run.events
    assert events is not None
    kinds, owed = busy.table.kinds, busy.table.owed
    for k in range(len(kinds.key)):
        mine = events.place == k

        def total(code: Code, until: int, mine: np.ndarray = mine) -> int:
            chosen = mine & (events.code == code) & (events.time <= until)
            return int(events.amount[chosen].sum())

        end = busy.table.days.end
        # Off vehicles inside at the start, now on their way or ready.
        before = int(owed.units[owed.kind == k].sum())
        last_sent = int(events.time[mine & (events.code == Code.SENT)].max())
        gathered = total(Code.REMOVED, last_sent - 1) - total(Code.SENT, last_sent)
        assert gathered < kinds.lot[k]
        if kinds.site_gap[k] == 0:
            assert gathered >= -sum(events.time[mine & (events.code == Code.REMOVED)] == last_sent)
        left = total(Code.SENT, end) - total(Code.SCRAPPED, end)
        assert left >= 0
        assert total(Code.SERVICEABLE, end) <= left + int(kinds.unserviceable[k]) + before
        assert total(Code.BOUGHT, end) <= total(Code.SCRAPPED, end) + before
        assert shelf_lowest(busy, k) >= -before


def shelf_lowest(one: Seen, k: int) -> int:
    """The lowest number on the shelf of a kind, counted from row to row."""
    ups = {Code.SERVICEABLE: 1, Code.BOUGHT: 1, Code.ROBBED: 1}
    downs = {Code.FITTED: -1, Code.SITE_DRAWN: -1}
    events = one.run.events
    assert events is not None
    by = np.zeros(len(events.code), np.int64)
    for code, sign in (ups | downs).items():
        by[events.code == code] = sign
    mine = events.place == k
    shelf = int(one.table.kinds.serviceable[k]) + np.cumsum((by * events.amount)[mine])
    return int(shelf.min())


def test_the_fitted_are_the_removed(busy: Seen) -> None:
    """A vehicle released has had put on what came off it, kind by kind; robbed units twice."""
    events = busy.run.events
    assert events is not None
    came = Counter[tuple[int, int]]()
    went = Counter[tuple[int, int]]()
    for code, v, k, n in zip(events.code, events.vehicle, events.place, events.amount, strict=True):
        if code == Code.REMOVED:
            came[int(v), int(k)] += int(n)
        elif code == Code.FITTED:
            went[int(v), int(k)] += int(n)
        elif code == Code.ROBBED:
            went[int(v), int(k)] -= int(n)
    released = np.flatnonzero((busy.run.released >= 0) & (busy.table.vehicles.inside == 0))
    assert len(released) > 40
    for v in released.tolist():
        for k in range(len(busy.table.kinds.key)):
            assert came[v, k] == went[v, k]


def test_every_frame_is_married_once(busy: Seen) -> None:
    """Stored less married pieces is never negative, and marriages are first in, first out."""
    stored = [row[1] for row in busy.rows(Code.STORED)]
    married = [row[3] for row in busy.rows(Code.MARRIED)]
    by_type = busy.table.vehicles.type
    for t in range(len(busy.table.names.types)):
        first = [v for v in stored if by_type[v] == t]
        then = [v for v in married if by_type[v] == t]
        assert then == first[: len(then)]
    assert len(married) > 40


def test_rows_are_in_order_of_time(busy: Seen) -> None:
    """Time never runs back, and nothing happens outside the run."""
    events = busy.run.events
    assert events is not None
    assert (np.diff(events.time) >= 0).all()
    assert events.time.min() >= busy.table.days.start
    assert events.time.max() < busy.table.days.end


def test_every_cause_is_met_in_the_busy_works() -> None:
    """The busy works makes vehicles wait for a reason of each kind, so the sums prove something."""
    found = set()
    for seed in range(4):
        one = seen(busy_table(inside_now=False), seed)
        sums = one.run.waits.sum(0)
        found |= {name.split()[0] for name, n in zip(one.names(), sums, strict=True) if n}
    assert found == {
        "gate", "position", "part", "assembly", "batch", "people", "inspection", "work",
    }  # fmt: skip


def test_the_same_seed_gives_the_same_run() -> None:
    """All of a run is a function of table, seed and replication; and they matter."""
    table = busy_table()
    one, same, other = run_heap(table, 5, 2), run_heap(table, 5, 2), run_heap(table, 5, 3)
    assert one.events is not None
    assert same.events is not None
    for name in ("time", "code", "vehicle", "place", "amount"):
        assert (getattr(one.events, name) == getattr(same.events, name)).all()
    assert (one.waits == same.waits).all()
    assert (one.released != other.released).any()


def test_without_events_the_rest_is_the_same() -> None:
    """Leaving the rows out changes nothing else."""
    table = busy_table()
    one, bare = run_heap(table, 5, 2), run_heap(table, 5, 2, events=False)
    assert bare.events is None
    assert (one.waits == bare.waits).all()
    assert (one.released == bare.released).all()
    assert (one.integrals.busy == bare.integrals.busy).all()


def test_sums_count_from_the_moment_asked() -> None:
    """Integrals from week 20 on are those of the whole run less those of its first 20 weeks."""
    whole = run_heap(busy_table(), 1, 0).integrals
    early = run_heap(busy_table(weeks=20), 1, 0).integrals
    late = run_heap(busy_table(measure_from_week=20), 1, 0).integrals
    for name in ("queue", "busy", "stored", "pool", "owed", "crew_there", "asked", "late"):
        assert (getattr(whole, name) == getattr(early, name) + getattr(late, name)).all(), name
    assert whole.inside == early.inside + late.inside
    assert whole.gate == early.gate + late.gate


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.integers(0, 2**32), st.booleans(), st.floats(0.05, 0.6), st.integers(1, 9))
def test_nothing_breaks_whatever_the_chance(
    seed: int, robbing: bool, pace_a_day: float, limit: int
) -> None:
    """Places, gate and causes hold for any seed, pace and limit."""
    table = busy_table(robbing, pace_a_day=pace_a_day, weeks=20, inside_now=False)
    one = seen(replace(table, inside_limit=limit), seed)
    most, area = occupied(one)
    assert (most <= table.stages.positions).all()
    assert area.tolist() == one.run.integrals.busy.tolist()
    assert vehicles_inside(one)[0] <= limit
    clock = Clock.of(table.days)
    assert one.run.integrals.inside <= limit * clock.worked(table.days.end)
