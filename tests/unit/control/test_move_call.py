"""Calling a vehicle in on another day: refused past its limit, and counted as the judge counts."""

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from pacewright.callin.booked import BOOKED
from pacewright.callin.check_counts import count_faults
from pacewright.callin.check_facts import Facts
from pacewright.control.agreed import Agreed, Counts, agreed, call_on
from pacewright.control.as_recorded import as_recorded
from pacewright.control.move_call import CallMove, move_call
from pacewright.events.fold import take
from pacewright.events.gate import Arrived, Called, CalledOff
from pacewright.events.standing import Standing
from pacewright.invent.works import invented_works
from pacewright.office.planning import make_plan
from pacewright.plans.plan import Plan
from pacewright.plans.programme import Call, Programme, Zone
from pacewright.reports.call_decisions import call_decisions
from pacewright.works import Works


@pytest.fixture(scope="module")
def planned() -> tuple[Works, Plan]:
    """A tramway of 60 vehicles and its plan."""
    works = invented_works("tramway", 60, 1)
    return works, make_plan(works)


def stands(*events: Called | CalledOff | Arrived) -> Standing:
    """A standing after these events."""
    now = Standing()
    for event in events:
        take(now, event)
    return now


def called(call: Call, day: date) -> Called:
    """The vehicle of a call-in is called for a day."""
    at = datetime(2026, 11, 9, 8, 0)
    return Called(at, call.vehicle_id, call.type_id, call.depot_id, day)


def first_call(now: Agreed) -> Call:
    """A call-in inside its limit, with room to move."""
    return next(one for one in now.calls if one.visit == 1 and one.spare_days > 20)


def written(plan: Plan, calls: list[Call], counts: Counts) -> Programme:
    """A programme of these calls with these counts."""
    old = plan.programme
    types = list(old.weeks[0].called_by_type)
    return replace(
        old,
        calls=tuple(calls),
        weeks=tuple(
            replace(
                one,
                called=counts.called[one.index],
                called_by_type={t: counts.by_type[t, one.index] for t in types},
                inside_end=counts.inside[one.index],
            )
            for one in old.weeks
        ),
        depot_weeks=tuple(
            replace(one, away=counts.away[one.depot_id, one.week]) for one in old.depot_weeks
        ),
    )


def miscounted(works: Works, plan: Plan, programme: Programme) -> list[str]:
    """What the judge, who counts by code of its own, finds wrong in the counts written down.

    The least pace is no count: a move leaves it as the plan worked it out.
    """
    faults = count_faults(Facts(works, plan.windows, programme))
    return [
        one
        for one in faults
        if "least pace" not in one
        and ("is not what is written" in one or "inside at its end, not" in one or ", not " in one)
    ]


@pytest.mark.parametrize("place", [0, 5, 11, 23])
@pytest.mark.parametrize("by_days", [-40, -9, 8, 35])
def test_counts_after_a_move_are_those_of_the_judge(
    planned: tuple[Works, Plan], place: int, by_days: int
) -> None:
    """Called, by type, away and inside of every week agree with the judge of programmes."""
    works, plan = planned
    calls = list(plan.programme.calls)
    old = calls[place % len(calls)]
    day = old.day + timedelta(days=by_days)
    last = plan.programme.weeks[-1].monday
    while not works.calendar.is_working(day) or not plan.start <= day <= last:
        day += timedelta(days=1) if day < last else timedelta(days=-1)
    week = (day - plan.programme.weeks[0].monday).days // 7
    new = replace(old, day=day, week=week)
    counts = Counts(works, plan)
    counts.put(old, -1)
    counts.put(new)
    calls[calls.index(old)] = new
    assert miscounted(works, plan, plan.programme) == []
    assert miscounted(works, plan, written(plan, calls, counts)) == []
    if week != old.week:
        assert miscounted(works, plan, written(plan, calls, Counts(works, plan)))


def test_without_bookings_the_programme_is_the_plan(planned: tuple[Works, Plan]) -> None:
    """Nothing booked: the same calls, the same counts, nobody awaited."""
    works, plan = planned
    now = agreed(works, plan, Standing())
    assert sorted(now.calls, key=str) == sorted(plan.programme.calls, key=str)
    assert now.awaited == ()


def test_a_booked_day_is_set_over_the_plan(planned: tuple[Works, Plan]) -> None:
    """A vehicle called for a day stands on that day, in that week's count, and nowhere else."""
    works, plan = planned
    call = first_call(agreed(works, plan, Standing()))
    day = works.calendar.add(call.day, 5)
    now = agreed(works, plan, stands(called(call, day)))
    mine = [one for one in now.calls if one.vehicle_id == call.vehicle_id and one.visit == 1]
    assert [(one.day, one.note) for one in mine] == [(day, BOOKED)]
    assert now.counts.called[mine[0].week] == Counts(works, plan).called[mine[0].week] + 1
    assert [(one.booked_day, one.planned_day) for one in now.awaited] == [(day, call.day)]


def refused(planned: tuple[Works, Plan], call: Call, day: date, *events: Called) -> CallMove:
    """What becomes of a call-in on a day."""
    works, plan = planned
    standing = stands(*events)
    found = move_call(agreed(works, plan, standing), standing, call.vehicle_id, day)
    assert found is not None
    return found


def test_no_vehicle_is_moved_past_its_limit(planned: tuple[Works, Plan]) -> None:
    """The last day before the limit is taken, the first after it is refused, and says why."""
    works, plan = planned
    call = first_call(agreed(works, plan, Standing()))
    days = [one for one in works.calendar.days if call.limit - timedelta(days=40) <= one]
    last = max(one for one in days if one <= call.limit)
    after = min(one for one in days if one > call.limit)
    assert refused(planned, call, last).refused == ()
    assert "No vehicle is called in past its limit" in refused(planned, call, after).refused[0]


def test_one_past_its_limit_is_not_put_off(planned: tuple[Works, Plan]) -> None:
    """A vehicle that stands for its limit may come sooner, with a caution, and never later."""
    works, plan = planned
    now = agreed(works, plan, Standing())
    call = next(one for one in now.calls if one.limit < plan.today)
    sooner = refused(planned, call, call.day)
    assert sooner.refused == ()
    assert any("must not run" in one for one in sooner.cautions)
    later = refused(planned, call, works.calendar.add(call.day, 1))
    assert "not put off" in later.refused[0]


def test_a_day_off_and_the_past_are_refused(planned: tuple[Works, Plan]) -> None:
    """A vehicle is called for a working day inside the plan."""
    works, plan = planned
    call = first_call(agreed(works, plan, Standing()))
    sunday = call.day + timedelta(days=6 - call.day.weekday())
    assert "not a working day" in refused(planned, call, sunday).refused[0]
    assert "outside the plan" in refused(planned, call, plan.today - timedelta(days=1)).refused[0]


def test_a_vehicle_at_the_gate_is_not_called(planned: tuple[Works, Plan]) -> None:
    """What has come is not called in any more."""
    works, plan = planned
    call = first_call(agreed(works, plan, Standing()))
    at = datetime(2026, 11, 9, 8, 0)
    standing = stands(Arrived(at, call.vehicle_id, call.type_id, call.depot_id))
    found = move_call(agreed(works, plan, standing), standing, call.vehicle_id, call.day)
    assert found is not None
    assert "it is at gate" in found.refused[0]
    assert found.cautions == ()


def test_a_full_week_is_a_caution_that_names_it(planned: tuple[Works, Plan]) -> None:
    """Moving into a week that is full says how many are called and how many may be."""
    works, plan = planned
    now = agreed(works, plan, Standing())
    call = first_call(now)
    weeks = plan.programme.weeks
    full = next(one for one in weeks if one.working_days and one.called == one.able
                and call.opens < one.monday < call.limit - timedelta(days=7)
                and one.index != call.week)  # fmt: skip
    found = refused(planned, call, works.calendar.add(full.monday, 0))
    assert f"Week {full.label}: {full.able + 1} called in, {full.able} may be" in " ".join(
        found.cautions
    )


def test_an_unknown_vehicle_is_none(planned: tuple[Works, Plan]) -> None:
    """A number the fleet does not have leads nowhere."""
    works, plan = planned
    now = agreed(works, plan, Standing())
    assert move_call(now, Standing(), "nobody", plan.start) is None
    assert call_on(works, plan, now.first_windows[now.calls[0].vehicle_id], plan.start) is not None


def test_the_visit_after_is_not_the_one_that_is_moved(planned: tuple[Works, Plan]) -> None:
    """A vehicle that is inside has a later visit in the plan; it has no call-in to move now."""
    works, plan = planned
    inside = next(one for one in plan.windows if one.standing == "inside")
    later = replace(plan.programme.calls[-1], vehicle_id=inside.vehicle_id, visit=2)
    more = replace(plan.programme, calls=(*plan.programme.calls, later))
    now = agreed(works, replace(plan, programme=more), Standing())
    assert now.call_of(inside.vehicle_id) is None
    found = move_call(now, Standing(), inside.vehicle_id, works.calendar.add(plan.start, 0))
    assert found is not None
    assert found.before is None
    assert "inside by the tables" in found.refused[0]


def as_planned(works: Works, *events: Called) -> tuple[Works, Plan, Standing]:
    """The works and plan made after these events, and the standing."""
    standing = stands(*events)
    now = as_recorded(works, standing, datetime(2026, 11, 9, 9, 0)).works
    return now, make_plan(now), standing


def test_the_next_plan_keeps_what_a_planner_moved(planned: tuple[Works, Plan]) -> None:
    """Moved on the page, the day stands in the plan made after it, and nothing is set over it."""
    works, plan = planned
    call = first_call(agreed(works, plan, Standing()))
    day = works.calendar.add(call.day, 5)
    now, after, standing = as_planned(works, called(call, day))
    [kept] = [one for one in after.programme.calls
              if one.vehicle_id == call.vehicle_id and one.visit == 1]  # fmt: skip
    assert (kept.day, kept.called_for, kept.zone) == (day, day, Zone.FIRM)
    found = agreed(now, after, standing)
    assert sorted(found.calls, key=str) == sorted(after.programme.calls, key=str)
    assert [(one.booked_day, one.planned_day, one.late_days) for one in found.awaited] == [
        (day, day, 0)
    ]
    assert miscounted(now, after, written(after, list(found.calls), found.counts)) == []


def test_called_off_after_the_plan_is_said(planned: tuple[Works, Plan]) -> None:
    """The plan still has the day; the page says that it is called off, and counts it no more."""
    works, plan = planned
    call = first_call(agreed(works, plan, Standing()))
    now, after, _ = as_planned(works, called(call, call.day))
    off = stands(called(call, call.day), CalledOff(datetime(2026, 11, 9, 10), call.vehicle_id, ""))
    [mine] = [one for one in agreed(now, after, off).calls
              if one.vehicle_id == call.vehicle_id and one.visit == 1]  # fmt: skip
    assert mine.called_for is None
    assert "called off" in mine.note


@pytest.mark.parametrize("days", [1, 5, 12, 40])
def test_a_call_before_the_plan_holds_room_until_it_is_moved(
    planned: tuple[Works, Plan], days: int
) -> None:
    """Called for this week it holds room in the plan; moved, the counts are those of the judge."""
    works, plan = planned
    call = first_call(agreed(works, plan, Standing()))
    this_week = date(2026, 11, 11)
    now, after, standing = as_planned(works, called(call, this_week))
    assert this_week < after.start
    assert [one.vehicle_id for one in after.programme.booked] == [call.vehicle_id]
    found = agreed(now, after, standing)
    same = Counts(now, after)
    assert (found.counts.away, found.counts.inside) == (same.away, same.inside)
    to = now.calendar.add(this_week, days)
    moved = stands(called(call, this_week), called(call, to))
    told = as_recorded(works, moved, datetime(2026, 11, 9, 9, 0)).works
    set_over = agreed(told, after, moved)
    assert miscounted(told, after, written(after, list(set_over.calls), set_over.counts)) == []
    if to >= after.start:
        assert miscounted(told, after, written(after, list(set_over.calls), same))


def test_an_overdue_call_is_said_and_comes_next(planned: tuple[Works, Plan]) -> None:
    """Told the second of November and not here on the ninth: seven days, planned for the first."""
    works, plan = planned
    call = first_call(agreed(works, plan, Standing()))
    now, after, standing = as_planned(works, called(call, date(2026, 11, 2)))
    [waits] = agreed(now, after, standing).awaited
    first = now.calendar.add(after.start, 0)
    assert (waits.booked_day, waits.planned_day, waits.late_days) == (date(2026, 11, 2), first, 7)
    titles = [one.what for one in call_decisions(after, now)]
    assert "1 vehicle called in and not come, the day has passed" in titles
