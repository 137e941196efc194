"""What the programme does in cases told one by one."""

from dataclasses import replace
from datetime import date, timedelta
from math import erf, sqrt

import numpy as np
import pytest

from pacewright.callin import least_late, linear
from pacewright.callin.checks import check_programme
from pacewright.callin.dispatch import dispatched
from pacewright.callin.problem import NoProgrammeError, demands_of, plan_weeks, problem_of
from pacewright.callin.queues import queues_of, weeks_of
from pacewright.callin.solve import programme
from pacewright.fleet.tables import Depot, VehicleType
from pacewright.fleet.windows import DueWindow, Standing
from pacewright.plans.programme import Programme
from unit.callin.cases import START, Ask, random_case, windows_of, works_of

DAY = timedelta(days=1)
SOLO = VehicleType("solo", "Two-axle bus", 10, 48)
LONG = VehicleType("long", "Three-axle bus", 10, 36)


def weeks_called(made: Programme) -> list[int]:
    """Calls in each week."""
    return [week.called for week in made.weeks]


def test_calls_come_as_late_as_the_due_week() -> None:
    """With room to spare everybody comes in the week of due, and no life is given away."""
    made = programme(works_of(8, 4), windows_of([Ask(-30, 7 * n, 7 * n + 3) for n in range(8)]))
    assert weeks_called(made) == [1] * 8
    assert made.card.objective == 0


def test_a_peak_is_called_earlier_by_just_as_much_as_needed() -> None:
    """Six due in one week at two a week: two each in that week and the two before it."""
    made = programme(works_of(8, 2), windows_of([Ask(0, 39, 41) for _ in range(6)]))
    assert weeks_called(made) == [0, 0, 0, 2, 2, 2, 0, 0]
    assert made.card.objective == 7 * (2 * 2 + 2 * 1)


def test_the_pace_ramps_rounds_and_rests() -> None:
    """Steps hold from their day, short weeks have their share, whole numbers never run ahead."""
    works = works_of(6, [(0, 1.5), (21, 2.5)], closed=[(14, 20)], holidays=[8])
    made = programme(works, windows_of([Ask(0, 90, 40)]))
    assert [week.able for week in made.weeks] == [1, 1, 0, 3, 2, 3]
    assert [week.working_days for week in made.weeks] == [5, 4, 0, 5, 5, 5]


def test_a_depot_waits_for_its_vehicle_to_be_back() -> None:
    """Ten days in the works and half a day's way each: eleven days, so two weeks and a day."""
    depots = (Depot("north", "North depot", 1, 0.5), Depot("south", "South depot"))
    asks = [Ask(0, 69, 69) for _ in range(3)]
    made = programme(works_of(10, 5, depots, (SOLO,)), windows_of(asks))
    assert [call.week for call in made.calls] == [3, 6, 9]
    assert [one.away for one in made.depot_weeks if one.depot_id == "north"][3:] == [1] * 7


def test_vehicles_past_their_limit_come_first_and_stay_out_of_the_least_pace() -> None:
    """They are called as there is room, marked, and only noted beside the least pace."""
    asks = [Ask(-90, -30, -20) for _ in range(4)] + [Ask(-30, 7 * n, 7 * n + 4) for n in range(8)]
    works = works_of(8, 2, firm_weeks=4)
    windows = windows_of(asks)
    made = programme(works, windows)
    assert check_programme(works, windows, made) == ()
    assert made.least_pace.vehicles_a_week == 1
    assert made.late_weeks == 0 + 1 + 2 + 3
    passed = [call for call in made.calls if call.limit < START]
    assert max(call.week for call in passed) <= 3
    assert all("must stand" in call.note for call in passed)
    assert any(note.startswith("4 vehicles were past") for note in made.notes)
    assert made.reliefs == ()


def test_without_a_pace_the_least_that_fits_is_run() -> None:
    """Ten due in one week with a window of two: five a week, and nobody late."""
    works = works_of(8, None)
    windows = windows_of([Ask(21, 34, 34) for _ in range(10)])
    made = programme(works, windows)
    assert check_programme(works, windows, made) == ()
    assert made.pace_a_day * 5 == pytest.approx(5)
    assert made.least_pace.vehicles_a_week == pytest.approx(5)
    assert made.late_weeks == 0


def test_a_window_without_a_working_day_is_named() -> None:
    """It is called on the first working day after, and the note says why."""
    works = works_of(4, 5, closed=[(7, 13)])
    windows = windows_of([Ask(8, 9, 10)])
    made = programme(works, windows)
    assert check_programme(works, windows, made) == ()
    assert made.calls[0].day == START + 14 * DAY
    assert "no working day" in made.calls[0].note
    assert "must stand" in made.calls[0].note


def test_unknown_vehicles_are_named_and_never_taken_as_not_due() -> None:
    """Without a window they are unplaced, with the reason the fleet gave and a remedy."""
    blank = DueWindow(
        "lost", "solo", "south", 1, Standing.UNKNOWN, None, None, None, None, None, note="no record"
    )
    made = programme(works_of(4, 5), (blank,))
    assert [(one.vehicle_id, one.reason) for one in made.unplaced] == [("lost", "no record")]


def test_vehicles_of_other_standing_are_left_alone() -> None:
    """Later, inside and withdrawn vehicles are neither called nor unplaced."""
    some = windows_of([Ask(0, 10, 20)])[0]
    standings = (Standing.LATER, Standing.INSIDE, Standing.WITHDRAWN)
    windows = tuple(
        replace(some, vehicle_id=str(one), standing=one, opens=None, due=None, latest=None)
        for one in standings
    )
    made = programme(works_of(4, 5), windows)
    assert (made.calls, made.unplaced) == ((), ())
    assert check_programme(works_of(4, 5), windows, made) == ()


def test_what_closes_after_the_horizon_is_called_when_it_is_due_inside() -> None:
    """Due inside the horizon belongs to this programme, due and closing after it to the next."""
    asks = [Ask(0, 25, 60), Ask(0, 29, 60)]
    made = programme(works_of(4, 5), windows_of(asks))
    assert [call.vehicle_id for call in made.calls] == ["v0"]
    assert made.unplaced == ()


def test_a_second_visit_waits_until_the_first_is_over() -> None:
    """A second window that opens too early is kept until the vehicle is back."""
    asks = [Ask(0, 20, 25, vehicle="bus"), Ask(0, 22, 60, vehicle="bus", visit=2)]
    works = works_of(10, 5)
    windows = windows_of(asks)
    made = programme(works, windows)
    assert check_programme(works, windows, made) == ()
    first, second = made.calls
    assert (first.visit, second.visit) == (1, 2)
    assert works.calendar.count(first.day, second.day) > 15


def test_no_working_day_is_no_programme() -> None:
    """A horizon wholly shut is refused with where, found, rule and remedy."""
    works = works_of(2, 5, closed=[(0, 13)])
    with pytest.raises(NoProgrammeError, match=r"no working day.*Shorten the shutdowns"):
        programme(works, windows_of([Ask(0, 5, 9)]))


def test_a_pace_below_one_vehicle_is_no_programme() -> None:
    """A pace that reaches no whole vehicle inside the horizon is refused."""
    with pytest.raises(NoProgrammeError, match=r"no whole vehicle.*Raise vehicles_a_week"):
        programme(works_of(2, 0.1), windows_of([Ask(0, 5, 9)]))


def test_days_hold_equal_numbers_and_types_interleave() -> None:
    """Eight solo and four long in a week of five days: 2 or 3 a day, every third a long one."""
    asks = [Ask(0, 6, 6, "south", "solo") for _ in range(8)]
    asks += [Ask(0, 6, 6, "south", "long") for _ in range(4)]
    works = works_of(1, 12, types=(SOLO, LONG))
    made = programme(works, windows_of(asks))
    days = [sum(call.day == START + n * DAY for call in made.calls) for n in range(5)]
    assert sorted(days) == [2, 2, 2, 3, 3]
    types = [call.type_id for call in made.calls]
    assert all(types[n : n + 3].count("long") == 1 for n in range(0, 12, 3))


def test_vehicles_keep_their_own_days_within_the_week() -> None:
    """One that closes on Monday comes on Monday, one that opens on Friday on Friday."""
    asks = [Ask(4, 6, 6), Ask(-5, 0, 0), Ask(0, 6, 6), Ask(0, 6, 6), Ask(0, 2, 2)]
    made = programme(works_of(1, 5), windows_of(asks))
    day = {call.vehicle_id: (call.day - START).days for call in made.calls}
    assert day["v0"] == 4
    assert day["v1"] == 0
    assert day["v4"] <= 2
    assert sorted(day.values()) == [0, 1, 2, 3, 4]


def test_the_chance_past_the_limit_is_normal_in_the_forecast_error() -> None:
    """Chance = Phi((day - limit) / sd); without error it is nought before the limit."""
    asks = [Ask(0, 4, 4, limit=14, sd_days=8), Ask(0, 4, 4, limit=14)]
    made = programme(works_of(1, 5), windows_of(asks))
    for call in made.calls:
        past = (call.day - date(2026, 3, 23)).days
        chance = (1 + erf(past / 8 / sqrt(2))) / 2 if call.vehicle_id == "v0" else 0.0
        assert call.chance_past_limit == pytest.approx(chance)


@pytest.mark.parametrize("seed", range(40))
def test_the_way_for_large_input_keeps_every_rule_too(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When solving is forbidden, dispatch gives a programme the judge accepts, bounds and all."""
    works, windows = random_case(seed, most=30, weeks=12)
    best = programme(works, windows)
    monkeypatch.setattr(least_late, "MOST_COLUMNS", 0)
    made = programme(works, windows)
    assert check_programme(works, windows, made) == ()
    assert best.late_weeks <= made.late_weeks
    assert made.late_weeks_bound <= best.late_weeks


@pytest.mark.parametrize("seed", range(12))
def test_too_little_work_allowed_never_breaks_a_rule(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With no pivot allowed at all the programme still keeps every rule."""
    works, windows = random_case(seed, most=30, weeks=12)
    monkeypatch.setattr(linear, "PIVOT_COLUMNS", 0)
    made = programme(works, windows)
    assert check_programme(works, windows, made) == ()


@pytest.mark.parametrize("seed", range(10))
def test_dispatch_is_never_later_than_its_bound_allows(seed: int) -> None:
    """Without depot, type and inside limits dispatch reaches the least lateness (CP-free check)."""
    works, windows = random_case(seed, most=30, weeks=12)
    depots = tuple(replace(one, away_limit=None) for one in works.depots)
    types = tuple(replace(one, week_limit=None) for one in works.vehicle_types)
    plan = replace(works.settings.plan, inside_limit=None)
    settings = replace(works.settings, plan=plan)
    works = replace(works, depots=depots, vehicle_types=types, settings=settings)
    weeks = plan_weeks(works)
    demands = demands_of(works, weeks, windows)
    week = dispatched(problem_of(works, weeks, demands, None))
    late = int(np.maximum(week - demands.latest, 0).sum())
    assert late == programme(works, windows).late_weeks_bound


@pytest.mark.parametrize("seed", range(20))
def test_queues_keep_their_order(seed: int) -> None:
    """In a queue opening, due and last week rise together, and called numbers give the weeks."""
    works, windows = random_case(seed, most=60, weeks=20)
    weeks = plan_weeks(works)
    demands = demands_of(works, weeks, windows)
    queues = queues_of(problem_of(works, weeks, demands, None))
    for number in range(len(queues)):
        members = queues.order[queues.queue[queues.order] == number]
        for column in (demands.opens, demands.due, demands.latest):
            assert (np.diff(column[members]) >= 0).all()
    assert (weeks_of(queues, queues.closed, 20) == demands.latest).all()


def test_nothing_is_printed(capfd: pytest.CaptureFixture[str]) -> None:
    """The solver's banner stays away from standard output and error."""
    programme(*random_case(5))
    assert capfd.readouterr() == ("", "")


def test_a_run_can_be_repeated() -> None:
    """The same input gives the same programme, but for the seconds it took."""
    works, windows = random_case(11, most=40, weeks=16)
    one, two = programme(works, windows), programme(works, windows)
    assert replace(one, card=replace(one.card, seconds=0)) == replace(
        two, card=replace(two.card, seconds=0)
    )


def test_progress_is_told() -> None:
    """Whoever waits hears of each step, and the share never falls."""
    told: list[float] = []
    programme(*random_case(2), progress=lambda step, share: told.append(share))
    assert told == sorted(told)
    assert len(told) >= 4
