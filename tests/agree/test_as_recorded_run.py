"""A works as its record has it in the middle of a simulated year, beside counts of the events."""

from collections import Counter
from datetime import datetime
from functools import cache

import pytest

from pacewright.callin.checks import check_programme
from pacewright.control.as_recorded import AsRecorded, as_recorded, last_moment
from pacewright.events.fold import fold
from pacewright.events.gate import Admitted, Arrived, Released
from pacewright.events.standing import Standing
from pacewright.events.things import Condition, Event
from pacewright.events.units import Ordered, Purchased, Quarantined, Scrapped, UnitEntered
from pacewright.invent.works import invented_works
from pacewright.office.planning import make_plan
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.engine import run_flow
from pacewright.simulate.problem import FlowOptions
from pacewright.simulate.told import told
from pacewright.works import Works
from pacewright.works_checks import findings


@cache
def half_year() -> tuple[Works, tuple[Event, ...], Standing]:
    """An invented tramway, the first events of a year of it, and where they lead."""
    works = invented_works("tramway", 260, 1)
    programme = make_plan(works).programme
    table = compile_flow(works, programme, FlowOptions(inside_now=False, weeks=26))
    run = run_flow(table, seed=3, replication=0, events=True)
    events = tuple(told(table, run, works))
    return works, events, fold(events)


@cache
def recorded() -> AsRecorded:
    """The works as recorded at the last event."""
    works, _, standing = half_year()
    now = last_moment(standing)
    assert now is not None
    return as_recorded(works, standing, now)


def count(*kinds: type[Event]) -> Counter[str]:
    """Vehicles, or unit kinds, of all events of these kinds."""
    events = half_year()[1]
    return Counter(
        one.unit.unit_kind_id if hasattr(one, "unit") else one.vehicle_id  # type: ignore[attr-defined]
        for one in events
        if isinstance(one, kinds)
    )


def test_inside_are_those_who_came_and_did_not_leave() -> None:
    """By counting arrivals less releases, and no vehicle of the table's own inside beside them."""
    came, left = count(Arrived), count(Released)
    here = {one for one in came if came[one] > left[one]}
    assert len(here) > 3
    seen = {one.vehicle_id for one in recorded().works.vehicles if one.state == "inside"}
    table = {one.vehicle_id for one in half_year()[0].vehicles if one.state == "inside"}
    assert seen - table == here - table
    assert here <= seen
    assert sum(count(Admitted).values()) >= sum(left.values())


def test_the_float_is_what_entered_and_was_bought_less_what_was_scrapped() -> None:
    """Units that came off vehicles and those owed cancel out: the books of every kind close,
    with what is on order.

    Kinds with a second site are left to their own count: its units come and go.
    """
    works, events, _ = half_year()
    entered = Counter(
        one.unit.unit_kind_id
        for one in events
        if isinstance(one, UnitEntered) and one.condition is not Condition.QUARANTINE
    )
    bought, scrapped, on_order = count(Purchased), count(Scrapped), Counter[str]()
    for one in events:
        if isinstance(one, Ordered):
            on_order[one.unit_kind_id] += one.units
    on_order.subtract(bought)
    assert min(on_order.values()) >= 0
    assert on_order.total() > 50
    aside = count(Quarantined)
    held = {row.unit_kind_id: row for row in recorded().works.floats}
    tried = 0
    for kind in works.unit_kinds:
        name = kind.unit_kind_id
        books = entered[name] + bought[name] - scrapped[name] + on_order[name]
        if kind.site_a_week or aside[name] or books < 0:
            continue
        row = held[name]
        assert row.serviceable + row.unserviceable == books, name
        tried += 1
    assert tried > 15


def test_it_can_be_planned_and_judged() -> None:
    """No cross-check fails, and the judge of programmes accepts what is planned from there."""
    works = recorded().works
    assert not findings(works)
    plan = make_plan(works, recorded().notes)
    assert check_programme(works, plan.windows, plan.programme) == ()
    assert plan.today == works.settings.plan.today > half_year()[0].settings.plan.today


@pytest.mark.parametrize("hour", [0, 12])
def test_readings_and_overhauls_are_those_told(hour: int) -> None:
    """Every vehicle released has its last overhaul on the day of its last release."""
    works, events, standing = half_year()
    last = {one.vehicle_id: one.at.date() for one in events if isinstance(one, Released)}
    assert last
    now = datetime.combine(recorded().works.settings.plan.today, datetime.min.time())
    again = as_recorded(works, standing, now.replace(hour=hour)).works
    for one in again.vehicles:
        if one.vehicle_id in last:
            assert one.last_overhaul == last[one.vehicle_id]
