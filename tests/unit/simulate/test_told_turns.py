"""Units of a told run: each has the turn time that the run drew for it."""

from collections import defaultdict
from dataclasses import replace
from datetime import timedelta
from math import exp, log, sqrt

import pytest
from scipy import stats

from pacewright.control.clock import clock_of
from pacewright.events.things import Unit
from pacewright.events.units import Reconditioned, Scrapped, Sent
from pacewright.invent.works import invented_works
from pacewright.office.planning import make_plan
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.heap_engine import run_heap
from pacewright.simulate.problem import FlowOptions
from pacewright.simulate.told import told
from pacewright.works import Works
from told_runs import SIZES, folded, told_run


def without_benches(works: Works) -> Works:
    """Shops with room for all, so that a turn is what its law says and no wait more."""
    kinds = tuple(replace(one, benches=None) for one in works.unit_kinds)
    return replace(works, unit_kinds=kinds, upsets=())


def turns_days(works: Works) -> dict[str, list[float]]:
    """Working days from leaving to serviceable of every unit that left early enough, by kind."""
    table = compile_flow(works, make_plan(works).programme, FlowOptions(inside_now=False, weeks=52))
    events = list(told(table, run_heap(table, 4, 0, events=True), works))
    clock = clock_of(works, events[0].at + timedelta(days=180))
    last = clock.day_of(events[-1].at)
    longest = {k.unit_kind_id: k.turn_days + 6 * k.turn_sd_days for k in works.unit_kinds}
    left: dict[Unit, float] = {}
    found = defaultdict(list)
    for event in events:
        if isinstance(event, Sent) and event.place_id != "second-site":
            left[event.unit] = clock.day_of(event.at)
        elif isinstance(event, Reconditioned) and event.unit in left:
            began, kind = left.pop(event.unit), event.unit.unit_kind_id
            # Of those that left late only the quick ones are back: they would show it too short.
            if began + longest[kind] < last:
                found[kind].append(clock.day_of(event.at) - began)
    return found


def test_turn_times_in_the_record_follow_the_law_of_the_table() -> None:
    """Kolmogorov-Smirnov against scipy's lognormal law of the table's mean and deviation.

    At 1 % each, more than three rejections of some forty kinds have a chance below 1 %.
    """
    works = without_benches(invented_works("tramway", 260, 1))
    kinds = {one.unit_kind_id: one for one in works.unit_kinds}
    chances = {}
    for name, turns in turns_days(works).items():
        if len(turns) >= 20:
            s = sqrt(log(1 + (kinds[name].turn_sd_days / kinds[name].turn_days) ** 2))
            law = stats.lognorm(s, scale=kinds[name].turn_days * exp(-s * s / 2))
            chances[name] = stats.kstest(turns, law.cdf).pvalue
    assert len(chances) > 25
    assert sum(chance < 0.01 for chance in chances.values()) <= 3, chances


@pytest.mark.parametrize("kind", tuple(SIZES))
def test_what_cannot_be_made_good_is_the_unit_the_run_drew(kind: str) -> None:
    """A unit scrapped left in the same minute, and is never made good."""
    left: dict[Unit, object] = {}
    gone = set[Unit]()
    for event in told_run(kind).events:
        if isinstance(event, Sent):
            left[event.unit] = event.at
        elif isinstance(event, Scrapped):
            assert left[event.unit] == event.at
            gone.add(event.unit)
        elif isinstance(event, Reconditioned):
            assert event.unit not in gone
    assert len(gone) > 50


@pytest.mark.parametrize("kind", tuple(SIZES))
def test_every_row_made_good_finds_its_unit(kind: str) -> None:
    """Lots, despatches, benches lost and back, a second site: to the minute, or telling fails."""
    assert folded(told_run(kind, seed=2)).events > 5_000


def test_rows_of_another_run_are_refused() -> None:
    """Told with the draws of another seed the rows mean no unit."""
    one = told_run("tramway")
    with pytest.raises(ValueError, match="Rows and draws are of one run"):
        list(told(one.table, replace(one.run, seed=99), one.works))
