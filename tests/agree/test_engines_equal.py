"""The compiled engine against the plain one: equal rows, causes and sums, on any works.

The two share the table and the draws and nothing else; so this test holds the order of things,
the queues, the calendars and all sums of either against the other.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pacewright.events.codes import Code
from pacewright.invent.works import invented_works
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.heap_engine import run_heap
from pacewright.simulate.problem import AbsenceWave, Calls, FlowOptions, Loss
from pacewright.simulate.table import FlowTable
from same_run import assert_same
from small_works import SETTINGS, Tables, small_works

pytest.importorskip("numba", reason="the compiled engine is an extra")

EVEN = FlowOptions(calls=Calls.EVEN, pace_a_day=0.5, weeks=40)
START = date(2026, 3, 9)


def agree(table: FlowTable, seed: int = 1, replication: int = 0) -> Any:
    """Both engines on a table; gives the run."""
    from pacewright.simulate.kernel.engine import run_kernel

    compiled = run_kernel(table, seed, replication, events=True)
    assert compiled is not None
    assert_same(compiled, run_heap(table, seed, replication, events=True))
    return compiled


@pytest.mark.parametrize("seed", [1, 2, 3, 2**63 - 1])
def test_small_works(seed: int) -> None:
    """40 weeks of the small works under every chance."""
    run = agree(compile_flow(small_works(), None, EVEN), seed, seed % 7)
    assert (run.released >= 0).sum() > 20


@pytest.mark.parametrize(("kind", "vehicles"), [("trolleybus", 1900), ("tramway", 260)])
@pytest.mark.parametrize("robbing", [False, True])
def test_example_works(kind: str, vehicles: int, robbing: bool) -> None:
    """26 weeks of both example works, from today's standing."""
    works = invented_works(kind, vehicles, 1)
    pace = works.settings.plan.pace[0].vehicles_a_week / works.week_days
    options = FlowOptions(calls=Calls.EVEN, pace_a_day=pace, weeks=26, robbing=robbing)
    run = agree(compile_flow(works, None, replace(options, measure_from_week=6)))
    assert (run.released >= 0).any()


def test_every_kind_of_event_is_among_them() -> None:
    """What the works of these tests do not do is not compared: between them they do it all."""
    seen: set[int] = set()
    for change in (_three_pieces, _everything, _robbed):
        table = compile_flow(small_works(change), None, replace(EVEN, robbing=True))
        seen |= set(agree(table).events.code.tolist())
    assert seen == set(map(int, Code))


def test_a_later_start_of_measuring_moves_sums_only() -> None:
    """Rows and causes stay as they are when the time integrals begin later."""
    runs = [
        agree(compile_flow(small_works(), None, replace(EVEN, measure_from_week=week)))
        for week in (0, 10)
    ]
    assert runs[0].events.time.tolist() == runs[1].events.time.tolist()
    assert (runs[0].waits == runs[1].waits).all()
    assert runs[0].integrals.inside > runs[1].integrals.inside


def _three_pieces(tables: Tables) -> None:
    """Two chassis a vehicle: bogies that strip, ask and are married one by one."""
    for row in tables["assemblies"]:
        row["count"] = "2" if row["assembly_id"] == "chassis" else "1"
    for row in tables["stages"]:
        row["positions"] = "3"


def _everything(tables: Tables) -> None:
    """Short of everything: charges, windows, failing tests, scrap, lots, a hungry second site."""
    for row in tables["stages"]:
        row |= {"first_pass_share": "0.7", "rectify_hours": "3"}
        if row["stage_id"] in ("bpaint", "fitout"):
            row |= {"positions": "2", "batch_size": "2", "longest_wait_hours": "1"}
    for row in tables["unit_kinds"]:
        row |= {
            "fit_stage_id": "marry",
            "scrap_share": "0.3",
            "purchase_lot": "2",
            "turn_days": "30",
        }
        if row["unit_kind_id"] == "axle":
            row["strip_stage_id"] = "strip"
    tables["upsets"].append(
        {"upset_id": "bench", "mean_days_between": "9", "mean_hours": "50", "unit_kind_id": "motor"}
    )


def _robbed(tables: Tables) -> None:
    """Units come off half the vehicles: one that waits holds what another lacks."""
    for row in tables["stages"]:
        row["positions"] = "6"
    for row in tables["unit_kinds"]:
        row |= {"strip_stage_id": "strip", "fit_stage_id": "marry", "turn_days": "30"}
        row |= {"removal_share": "0.5", "must_change": "no"}


# -- works at random -------------------------------------------------------------------------

_STAGE = {
    "positions": st.sampled_from(["1", "1", "2", "3", "5"]),
    "batch_size": st.sampled_from(["1", "1", "2", "3"]),
    "crew": st.sampled_from(["0", "1", "3"]),
    "night_goes_on": st.sampled_from(["yes", "no", "no"]),
    "longest_wait_hours": st.sampled_from(["", "", "0", "1", "30"]),
    "first_pass_share": st.sampled_from(["1", "1", "0.9", "0.3"]),
    "rectify_hours": st.sampled_from(["0", "5"]),
}
_KIND = {
    "turn_days": st.sampled_from(["0.1", "3", "12", "40"]),
    "turn_sd_days": st.sampled_from(["0", "2"]),
    "removal_share": st.sampled_from(["0", "0.4", "1"]),
    "must_change": st.just("no"),
    "scrap_share": st.sampled_from(["0", "0.2", "1"]),
    "purchase_days": st.sampled_from(["0", "20"]),
    "purchase_lot": st.sampled_from(["1", "3"]),
    "lot_size": st.sampled_from(["1", "1", "3"]),
    "despatch_days": st.sampled_from(["0", "0", "2", "5"]),
    "site_a_week": st.sampled_from(["0", "0.5", "4"]),
    "site_transit_days": st.sampled_from(["0", "1", "7"]),
    "benches": st.sampled_from(["", "1", "2"]),
    "bench_hours": st.sampled_from(["3", "14"]),
}
_CREW = {
    "people": st.sampled_from(["0.05", "0.5", "1", "2.5", "9"]),
    "attendance_share": st.sampled_from(["0.6", "0.9", "1"]),
}
_DEPOT = {"late_share": st.sampled_from(["0", "0.5"]), "late_days": st.sampled_from(["0", "3"])}


@st.composite
def changes(draw: st.DrawFn) -> Callable[[Tables], None]:
    """A change of the tables of the small works."""
    columns = {"stages": _STAGE, "unit_kinds": _KIND, "people": _CREW, "depots": _DEPOT}
    drawn = [
        (table, place, {name: draw(values) for name, values in of.items()})
        for table, of in columns.items()
        for place in range({"stages": 9, "unit_kinds": 3, "people": 6, "depots": 2}[table])
    ]
    chassis, early = draw(st.sampled_from(["1", "2", "3"])), draw(st.booleans())
    floats = draw(st.sampled_from(["0", "1", "6"]))

    def change(tables: Tables) -> None:
        for table, place, cells in drawn:
            tables[table][place] |= cells
        for row in tables["assemblies"]:
            row["count"] = chassis if row["assembly_id"] == "chassis" else "1"
        for row in tables["floats"]:
            row |= {"serviceable": floats, "unserviceable": floats}
        for row in tables["unit_kinds"] if early else ():
            row |= {"strip_stage_id": "strip", "fit_stage_id": "marry"}
        tables["upsets"] += [
            {"upset_id": "body", "mean_days_between": "6", "mean_hours": "90", "stage_id": "body"},
            {"upset_id": "bench", "mean_days_between": "9", "mean_hours": "50"}
            | {"unit_kind_id": "motor"},
        ]

    return change


@st.composite
def options(draw: st.DrawFn) -> FlowOptions:
    """What is run."""
    first = START + timedelta(days=draw(st.integers(0, 120)))
    last = first + timedelta(days=draw(st.integers(0, 20)))
    return FlowOptions(
        calls=Calls.EVEN,
        inside_now=draw(st.booleans()),
        weeks=draw(st.integers(1, 30)),
        measure_from_week=draw(st.sampled_from([0, 0, 5])),
        pace_a_day=draw(st.sampled_from([0.2, 0.7, 3.0])),
        scatter=draw(st.sampled_from([True, True, False])),
        absence=draw(st.booleans()),
        robbing=draw(st.booleans()),
        waves=(AbsenceWave(first, last, 0.7, "body"),),
        losses=(Loss("fitout", "", first, last, draw(st.integers(1, 3))),),
    )


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(change=changes(), option=options(), seed=st.integers(0, 2**64), limit=st.integers(0, 12))
def test_works_at_random(
    change: Callable[[Tables], None], option: FlowOptions, seed: int, limit: int
) -> None:
    """Small works with everything drawn: both engines say the same."""
    text = SETTINGS.replace("firm_weeks", f"inside_limit = {limit}\nfirm_weeks") if limit else ""
    works = small_works(change, text or SETTINGS)
    agree(compile_flow(works, None, option), seed)
