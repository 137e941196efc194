"""Vehicles called in keep their day, whatever the limits; the others are planned around them."""

from dataclasses import replace
from datetime import date, timedelta
from functools import cache

import pytest

from pacewright.callin.booked import OVERDUE_CALL, comes_on
from pacewright.callin.checks import check_programme
from pacewright.callin.solve import programme
from pacewright.fleet.tables import Depot, Vehicle
from pacewright.fleet.windows import DueWindow, Standing
from pacewright.plans.programme import BookedCall, Call, Programme, Zone
from pacewright.works import Works
from unit.callin.cases import START, Ask, windows_of, works_of

DAY = timedelta(days=1)
DEPOTS = (Depot("north", "North depot", 2, 0.5), Depot("south", "South depot"))


def told(works: Works, days: dict[str, int], today: int = 0) -> Works:
    """The works with vehicles called in for these days, counted from START."""
    rows = [
        Vehicle(name, "solo", "north", "running", date(2018, 5, 1), called_for=START + day * DAY)
        for name, day in days.items()
    ]
    plan = replace(works.settings.plan, today=START + today * DAY)
    settings = replace(works.settings, plan=plan)
    return replace(works, settings=settings, vehicles=(*works.vehicles, *rows))


def of(made: Programme, vehicle_id: str) -> Call:
    """Its only call."""
    [call] = [one for one in made.calls if one.vehicle_id == vehicle_id]
    return call


def test_a_call_keeps_its_day_and_is_firm() -> None:
    """Booked for a Wednesday a month before it is due, in the outline zone."""
    works = told(works_of(12, 2, firm_weeks=1, planned_weeks=2), {"v0": 30})
    windows = windows_of([Ask(0, 60, 66), Ask(0, 60, 66)])
    made = programme(works, windows)
    call = of(made, "v0")
    assert (call.day, call.called_for, call.zone) == (START + 30 * DAY, START + 30 * DAY, Zone.FIRM)
    assert call.note == "called in for this day"
    other = of(made, "v1")
    assert other.called_for is None
    assert other.week == 8
    assert other.zone is Zone.OUTLINE
    assert check_programme(works, windows, made) == ()


def test_promises_come_before_pace_and_depot_limit() -> None:
    """Three booked for a day of a week of two: they stay, none else comes, and a note says so."""
    works = told(works_of(6, 2, DEPOTS), {"v0": 8, "v1": 8, "v2": 8})
    windows = windows_of([Ask(0, 40, 41)] * 3 + [Ask(7, 9, 11, "south")])
    made = programme(works, windows)
    assert [call.vehicle_id for call in made.calls if call.week == 1] == ["v0", "v1", "v2"]
    assert {of(made, name).day for name in ("v0", "v1", "v2")} == {START + 8 * DAY}
    assert of(made, "v3").week > 1
    assert any("More are called in than the pace allows in 2026-W12 (3, allowed 2)" in n
               for n in made.notes)  # fmt: skip
    assert check_programme(works, windows, made) == ()


def test_every_limit_that_calls_break_is_named_with_its_weeks() -> None:
    """Three of one depot and type in one week, 15 working days inside and half a day each way.

    By hand: inside for three weeks of five days, away for a day more; allowed are two of the type
    in a week, two away of the depot and one inside.
    """
    types = (replace(works_of(6, 3).vehicle_types[0], week_limit=2),)
    works = told(works_of(6, 3, DEPOTS, types, inside_limit=1), {"v0": 7, "v1": 7, "v2": 7})
    windows = windows_of([Ask(0, 40, 41)] * 3)
    made = programme(works, windows)
    assert check_programme(works, windows, made) == ()
    weeks = ["2026-W12", "2026-W13", "2026-W14"]
    three = "2026-W12 (3, allowed {0}), 2026-W13 (3, allowed {0}), 2026-W14 (3, allowed {0})"
    assert [one.label for one in made.weeks if one.inside_end > 1] == weeks
    for words in (
        "type solo are called in than its week_limit allows in 2026-W12 (3, allowed 2).",
        f"depot north are more than its away_limit allows in {three.format(2)}, 2026-W15 (3, all",
        f"more are inside than inside_limit allows in {three.format(1)}.",
    ):
        assert any(words in note for note in made.notes), (words, made.notes)
    [by_day] = [note for note in made.notes if "depot-days" in note]
    assert "but for what is inside or called in already" in by_day


def test_a_part_of_a_vehicle_ahead_of_the_pace_is_no_break() -> None:
    """3.8 a week: the running total lets three in first, yet four are at the pace; five are not."""
    said = []
    for calls in (4, 5):
        names = {f"v{number}": 1 for number in range(calls)}
        works = told(works_of(8, 3.8), names)
        made = programme(works, windows_of([Ask(0, 40, 41)] * calls))
        assert made.weeks[0].able == 3
        said.append([note for note in made.notes if "than the pace allows" in note])
    assert said[0] == []
    assert "2026-W11 (5, allowed 4)" in said[1][0]


def test_without_a_pace_one_call_breaks_none() -> None:
    """One vehicle called in and no pace set: nothing is said of a pace that nobody gave."""
    made = programme(told(works_of(8, None), {"v0": 9}), windows_of([Ask(0, 40, 41)]))
    assert not [note for note in made.notes if "allows" in note]


def test_called_in_after_it_has_left_is_said() -> None:
    """Called for the tenth day, to be withdrawn on the ninth: named, with both days."""
    works = told(works_of(8, 2), {"v0": 9, "v1": 9})
    rows = tuple(
        replace(one, withdraw_on=START + (8 if one.vehicle_id == "v0" else 9) * DAY)
        for one in works.vehicles
    )
    made = programme(replace(works, vehicles=rows), windows_of([Ask(0, 40, 41)] * 2))
    [found] = [note for note in made.notes if "withdraw_on" in note]
    assert "v0 (called for 2026-03-18, leaves on 2026-03-17)." in found
    assert "v1" not in found


def test_a_limit_that_is_kept_is_not_said_to_be_broken() -> None:
    """Two called in beside limits of two: no note of a limit, none of depot-days."""
    works = told(works_of(6, 2, DEPOTS), {"v0": 8, "v1": 8})
    made = programme(works, windows_of([Ask(0, 40, 41)] * 2))
    assert not [note for note in made.notes if "allow" in note or "depot-days" in note]


def test_a_call_outside_its_window_is_kept_and_noted() -> None:
    """Before it opens, in the guard, past the limit: each keeps its day and says what it means."""
    works = told(works_of(12, 3), {"v0": 2, "v1": 9, "v2": 16})
    windows = windows_of([Ask(30, 40, 60), Ask(-20, 0, 5, limit=20), Ask(-20, 0, 5, limit=10)])
    made = programme(works, windows)
    assert "before its window opens" in of(made, "v0").note
    assert "uses the guard" in of(made, "v1").note
    assert "must stand" in of(made, "v2").note
    # By whole weeks: v0 five weeks before the week of due, v1 one and v2 two past their last week.
    assert (made.card.objective, made.late_weeks) == (35, 3)
    assert (made.card.bound, made.late_weeks_bound) == (35, 3)
    assert check_programme(works, windows, made) == ()


def test_an_overdue_call_is_planned_next() -> None:
    """Its day was before today: it comes on the first working day, and its depot is asked."""
    works = told(works_of(6, 2), {"v0": -6}, today=-3)
    windows = windows_of([Ask(0, 30, 40), Ask(0, 30, 40)])
    made = programme(works, windows)
    call = of(made, "v0")
    assert (call.day, call.called_for, call.note) == (START, START - 6 * DAY, OVERDUE_CALL)
    assert any("Called in, their day has passed" in n and "v0 (2026-03-03)" in n
               for n in made.notes)  # fmt: skip
    assert check_programme(works, windows, made) == ()


def test_who_comes_before_the_plan_holds_room_in_it() -> None:
    """Called for the Friday before: inside for 15 working days from then on, and away for one more.

    By hand: from Friday 2026-03-06 to 2026-03-26, the 14th working day of the plan being its last
    inside; half a day of travel counts as one, so the depot has it away until 2026-03-27: weeks 0
    to 2. With a second vehicle booked the depot of two can spare nobody else in these weeks.
    """
    works = told(works_of(8, 3, DEPOTS), {"v0": -3, "v1": 0}, today=-4)
    windows = windows_of([Ask(0, 30, 40), Ask(0, 30, 40), Ask(0, 6, 9)])
    made = programme(works, windows)
    assert made.booked == (BookedCall("v0", "solo", "north", START - 3 * DAY, START - 3 * DAY, -1),)
    assert [one.vehicle_id for one in made.calls] == ["v1", "v2"]
    away = [one.away for one in made.depot_weeks if one.depot_id == "north"]
    assert away[:4] == [2, 2, 2, 2]
    assert of(made, "v2").week == 3
    assert made.weeks[0].inside_end == 2
    assert any("come before the plan starts" in note for note in made.notes)
    assert check_programme(works, windows, made) == ()


def test_who_cannot_be_dated_holds_room_all_the_same() -> None:
    """Nobody knows when it is due; it is named with its day, and its depot counts it away."""
    works = told(works_of(8, 3, DEPOTS), {"lost": 9})
    blank = DueWindow("lost", "solo", "north", 1, Standing.UNKNOWN, None, None, None, None, None)
    windows = (*windows_of([Ask(0, 40, 44)]), blank)
    made = programme(works, windows)
    assert [(one.vehicle_id, one.week) for one in made.booked] == [("lost", 1)]
    [named] = made.unplaced
    assert named.reason.startswith("called in for 2026-03-18: it holds its room")
    away = [one.away for one in made.depot_weeks if one.depot_id == "north"]
    assert away[:5] == [0, 1, 1, 1, 1]
    assert [week.inside_end for week in made.weeks[:5]] == [0, 1, 1, 1, 0]
    assert check_programme(works, windows, made) == ()


def test_a_call_after_the_plan_is_named() -> None:
    """It is called for a day the plan does not reach: no other week is given to it."""
    works = told(works_of(4, 3), {"v0": 40})
    windows = windows_of([Ask(0, 10, 20)])
    made = programme(works, windows)
    assert made.calls == ()
    assert made.unplaced[0].reason.startswith("called in for 2026-04-18, after the last day")
    assert check_programme(works, windows, made) == ()


def test_a_day_not_worked_moves_to_the_next() -> None:
    """Called for a Saturday: it comes on Monday, and the note tells the day its depot was told."""
    works = told(works_of(6, 3), {"v0": 12})
    windows = windows_of([Ask(0, 30, 40)])
    made = programme(works, windows)
    assert of(made, "v0").day == START + 14 * DAY
    assert of(made, "v0").note == "called in for 2026-03-21, not a working day of the works"
    assert comes_on(works, date(2200, 1, 1)) is None
    assert check_programme(works, windows, made) == ()


def test_the_next_visit_waits_for_the_booked_one() -> None:
    """Booked late, its next visit is put off until it is back."""
    works = told(works_of(14, 3), {"twice": 30})
    asks = [Ask(0, 10, 40, vehicle="twice"), Ask(20, 35, 90, vehicle="twice", visit=2)]
    windows = windows_of(asks)
    made = programme(works, windows)
    first, second = sorted(made.calls, key=lambda one: one.visit)
    assert first.day == START + 30 * DAY
    assert works.calendar.count(first.day, second.day) > 15
    assert check_programme(works, windows, made) == ()


def test_without_a_pace_the_others_fit_beside_the_booked() -> None:
    """The pace run at leaves room for those not called in, week by week."""
    works = told(works_of(6, None), {"v0": 1, "v1": 1})
    windows = windows_of([Ask(0, 30, 40), Ask(0, 30, 40), Ask(0, 4, 4), Ask(0, 4, 4)])
    made = programme(works, windows)
    assert made.late_weeks == 0
    assert made.weeks[0].able >= made.weeks[0].called == 4
    assert check_programme(works, windows, made) == ()


@cache
def good() -> tuple[Works, tuple[DueWindow, ...], Programme]:
    """A programme with one call kept, one overdue, one before it."""
    works = told(works_of(8, 3, DEPOTS), {"v0": 9, "v1": -6, "v2": -3}, today=-3)
    windows = windows_of([Ask(0, 30, 40) for _ in range(6)])
    return works, windows, programme(works, windows)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"day": START + 10 * DAY}, "was called in for 2026-03-18: it comes on 2026-03-18"),
        ({"called_for": None}, "called in for 2026-03-18, not for None"),
        ({"called_for": START}, "called in for 2026-03-18, not for 2026-03-09"),
        ({"note": ""}, "it is called in, and no note says so"),
        ({"zone": Zone.OUTLINE}, "not in the outline zone"),
    ],
)
def test_the_judge_refuses_another_day(change: dict[str, object], words: str) -> None:
    """Whatever is altered of a call that was booked is refused."""
    works, windows, made = good()
    assert check_programme(works, windows, made) == ()
    calls = [
        replace(one, **change) if one.vehicle_id == "v0" else one  # type: ignore[arg-type]
        for one in made.calls
    ]
    faults = check_programme(works, windows, replace(made, calls=tuple(calls)))
    assert any(words in fault for fault in faults), faults


def test_the_judge_refuses_a_call_that_is_not_booked() -> None:
    """Written as called in though nobody told its depot; or one before the plan left out."""
    works, windows, made = good()
    calls = [
        replace(one, called_for=one.day) if one.vehicle_id == "v4" else one for one in made.calls
    ]
    faults = check_programme(works, windows, replace(made, calls=tuple(calls)))
    assert any("called in for None" in fault for fault in faults), faults
    faults = check_programme(works, windows, replace(made, booked=()))
    assert any("are not those that are written" in fault for fault in faults), faults
