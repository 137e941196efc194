"""Due windows worked by hand: time, distance, licence, tolerance, standing, later visits."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from pacewright.base.settings import PlanSettings
from pacewright.fleet.due import due_windows
from pacewright.fleet.tables import Reading, Vehicle, VehicleType
from pacewright.fleet.windows import DueBy, DueWindow, Standing

TODAY = date(2026, 3, 2)
PLAN = PlanSettings(today=TODAY, start=date(2026, 3, 9), horizon_weeks=104, guard=0.0)
HORIZON_END = date(2028, 3, 5)
TIME_ONLY = VehicleType("t", "By time", 15.0, interval_months=36.0, early_days=60, late_days=14)
BOTH = VehicleType("b", "Both", 15.0, 48.0, 250_000.0, early_days=90)
FAR_ONLY = VehicleType("d", "By distance", 15.0, None, 100_000.0, early_days=30)
BUS = Vehicle("101", "t", "north", "running", in_service=date(2019, 1, 15))


def steady(
    vehicle_id: str, first: date, odometer: float, rate: float, count: int = 5
) -> list[Reading]:
    """Readings every 100 days at one rate, the first at ``odometer``."""
    return [
        Reading(vehicle_id, first + timedelta(days=100 * n), odometer + 100 * n * rate)
        for n in range(count)
    ]


def window(
    vehicle: Vehicle, kind: VehicleType, readings: list[Reading], **plan: object
) -> DueWindow:
    """The first window of one vehicle."""
    return windows(vehicle, kind, readings, **plan)[0]


def windows(
    vehicle: Vehicle, kind: VehicleType, readings: list[Reading], **plan: object
) -> tuple[DueWindow, ...]:
    """All windows of one vehicle of a type."""
    one = replace(vehicle, type_id=kind.type_id)
    return due_windows([one], [kind], readings, replace(PLAN, **plan), HORIZON_END)  # type: ignore[arg-type]


def test_time_interval_by_hand() -> None:
    """36 months after 2023-08-31 is 2026-08-31; 60 days early is 2026-07-02; 14 late 2026-09-14."""
    found = window(replace(BUS, last_overhaul=date(2023, 8, 31)), TIME_ONLY, [])
    assert (found.opens, found.due) == (date(2026, 7, 2), date(2026, 8, 31))
    assert (found.limit, found.latest) == (date(2026, 9, 14), date(2026, 9, 14))
    assert (found.standing, found.due_by, found.visit) == (Standing.DUE, DueBy.TIME, 1)
    assert (found.sd_days, found.note) == (0.0, "")


def test_first_overhaul_counts_from_the_day_in_service() -> None:
    """Without an overhaul yet the interval runs from the day in service."""
    found = window(replace(BUS, in_service=date(2024, 2, 29)), TIME_ONLY, [])
    assert found.due == date(2027, 2, 28)


def test_distance_binds_when_it_comes_first() -> None:
    """200 a day from 0 on 2025-01-01: 100,000 runs out 500 days on, 2026-05-16."""
    bus = replace(BUS, in_service=date(2025, 1, 1))
    found = window(bus, FAR_ONLY, steady("101", date(2025, 1, 1), 0, 200))
    assert found.due == date(2026, 5, 16)
    assert found.due_by is DueBy.DISTANCE
    assert found.distance_a_day == pytest.approx(200)
    assert found.readings == 5
    assert found.sd_days > 0


def test_whichever_comes_first() -> None:
    """At 250 a day 250,000 takes 1,000 days, less than 48 months; at 150 a day time comes first."""
    overhaul = date(2024, 1, 1)
    bus = replace(BUS, last_overhaul=overhaul, overhaul_odometer=50_000.0)
    fast = window(bus, BOTH, steady("101", overhaul, 50_000, 250, 8))
    slow = window(bus, BOTH, steady("101", overhaul, 50_000, 150, 8))
    assert (fast.due, fast.due_by) == (overhaul + timedelta(days=1000), DueBy.DISTANCE)
    assert (slow.due, slow.due_by, slow.sd_days) == (date(2028, 1, 1), DueBy.TIME, 0.0)


def test_each_tolerance_belongs_to_its_own_interval() -> None:
    """Due by time, but the distance interval, due later and with no tolerance, sets the limit."""
    kind = replace(BOTH, late_days=400)
    overhaul = date(2023, 1, 1)  # 48 months: 2027-01-01; 250,000 at 160 a day: 1,562 days
    bus = replace(BUS, last_overhaul=overhaul, overhaul_odometer=0.0)
    found = window(bus, kind, steady("101", overhaul, 0, 160, 11))
    assert (found.due, found.due_by) == (date(2027, 1, 1), DueBy.TIME)
    assert (found.limit, found.limit_by) == (overhaul + timedelta(days=1562), DueBy.DISTANCE)
    assert found.sd_days == 0.0
    assert found.limit_sd_days > 0


def test_late_distance_moves_the_limit_only() -> None:
    """5,000 more at 200 a day are 25 days more."""
    kind = replace(FAR_ONLY, late_distance=5_000.0)
    bus = replace(BUS, in_service=date(2025, 1, 1))
    found = window(bus, kind, steady("101", date(2025, 1, 1), 0, 200))
    assert (found.due, found.limit) == (date(2026, 5, 16), date(2026, 6, 10))


def test_guard_keeps_clear_of_a_distance_limit() -> None:
    """Latest is the limit less guard times the error left when the call-in becomes firm."""
    bus = replace(BUS, in_service=date(2025, 5, 1))
    rows = steady("101", date(2025, 5, 1), 0, 150, 4)
    found = window(bus, replace(FAR_ONLY, early_days=90), rows, guard=2.0)
    assert found.limit is not None
    assert found.firm_sd_days < found.sd_days
    assert found.latest == found.limit - timedelta(days=1 + int(2 * found.firm_sd_days))


def test_guard_never_takes_the_first_week_nor_more_than_half_the_window() -> None:
    """A huge guard leaves the first week planned, and half of a window that opens later."""
    near = replace(BUS, in_service=date(2024, 10, 29))  # 500 days: due 2026-03-13
    found = window(near, FAR_ONLY, steady("101", near.in_service, 0, 200), guard=1000.0)
    assert found.due == date(2026, 3, 13)
    assert found.latest == date(2026, 3, 13)
    far = replace(BUS, in_service=date(2025, 9, 1))
    found = window(far, FAR_ONLY, steady("101", far.in_service, 0, 200, 2), guard=1000.0)
    # Open 30 days before due with no tolerance: half of it is 15 days.
    assert (found.opens, found.limit) == (date(2026, 12, 15), date(2027, 1, 14))
    assert found.latest == date(2026, 12, 30)


def test_licence_binds_and_has_no_guard() -> None:
    """A licence that ends before the intervals do makes the vehicle due on its last day."""
    bus = replace(BUS, last_overhaul=date(2024, 5, 1), licence_expiry=date(2026, 11, 30))
    found = window(bus, TIME_ONLY, [], guard=3.0)
    assert (found.due, found.due_by) == (date(2026, 11, 30), DueBy.LICENCE)
    assert found.limit == found.latest == date(2026, 11, 30)
    assert found.opens == date(2026, 10, 1)


def test_expired_licence_is_overdue() -> None:
    """A licence already expired is past its limit, and said."""
    bus = replace(BUS, last_overhaul=date(2025, 5, 1), licence_expiry=date(2026, 2, 1))
    found = window(bus, TIME_ONLY, [])
    assert found.standing is Standing.OVERDUE
    assert "licence has expired" in found.note


@pytest.mark.parametrize(
    ("overhaul", "standing"),
    [
        (date(2023, 2, 22), Standing.OVERDUE),  # limit 2026-03-08, the day before the start
        (date(2023, 2, 23), Standing.DUE),  # limit 2026-03-09, the start
        (date(2025, 5, 4), Standing.DUE),  # opens 2028-03-05, the last day of the horizon
        (date(2025, 5, 5), Standing.LATER),
    ],
)
def test_standing_at_its_edges(overhaul: date, standing: Standing) -> None:
    """Overdue when the limit is before the start, later when it opens after the horizon."""
    assert window(replace(BUS, last_overhaul=overhaul), TIME_ONLY, []).standing is standing


def test_withdrawn_state_and_day() -> None:
    """A withdrawn vehicle and one that leaves before it is due are not called in."""
    bus = replace(BUS, last_overhaul=date(2023, 8, 31))
    gone = window(replace(bus, state="withdrawn"), TIME_ONLY, [])
    assert (gone.standing, gone.due) == (Standing.WITHDRAWN, None)
    leaving = window(replace(bus, withdraw_on=date(2026, 8, 30)), TIME_ONLY, [])
    assert leaving.standing is Standing.WITHDRAWN
    assert "leaves the fleet before it is due" in leaving.note
    within = window(replace(bus, withdraw_on=date(2026, 9, 1)), TIME_ONLY, [])
    assert within.standing is Standing.DUE
    assert "run out its time" in within.note
    passed = window(
        replace(bus, last_overhaul=date(2022, 1, 1), withdraw_on=date(2026, 1, 1)), TIME_ONLY, []
    )
    assert passed.standing is Standing.OVERDUE
    assert "has not" in passed.note


def test_unknown_odometer_is_planned_by_time_and_said() -> None:
    """No odometer at the overhaul: time only, with a note."""
    bus = replace(BUS, last_overhaul=date(2023, 1, 1))
    found = window(bus, BOTH, steady("101", date(2024, 1, 1), 90_000, 200))
    assert (found.standing, found.due_by, found.due) == (
        Standing.DUE,
        DueBy.TIME,
        date(2027, 1, 1),
    )
    assert "odometer at its last overhaul unknown: planned without distance" in found.note


def test_unknown_odometer_never_passes_for_not_due() -> None:
    """By time it would be later, or leave before it is due; its distance is unknown: unknown."""
    bus = replace(BUS, last_overhaul=date(2025, 3, 1))
    rows = steady("101", date(2025, 3, 2), 90_000, 200, 3)
    found = window(bus, BOTH, rows)
    assert (found.standing, found.due) == (Standing.UNKNOWN, None)
    assert "treat it as due" in found.note
    leaving = replace(bus, last_overhaul=date(2023, 3, 1), withdraw_on=date(2026, 12, 1))
    assert window(leaving, BOTH, rows).standing is Standing.UNKNOWN


def test_unknown_without_a_time_interval_has_no_dates() -> None:
    """A type that counts distance only and an unknown odometer: unknown, with what must be done."""
    bus = replace(BUS, last_overhaul=date(2025, 3, 1))
    found = window(bus, FAR_ONLY, [])
    assert (found.standing, found.due, found.limit) == (Standing.UNKNOWN, None, None)
    assert "find it" in found.note


def test_reading_on_the_overhaul_day_stands_in() -> None:
    """A reading on the very day of the overhaul is the odometer at the overhaul."""
    bus = replace(BUS, last_overhaul=date(2025, 1, 1))
    found = window(bus, FAR_ONLY, steady("101", date(2025, 1, 1), 300_000, 200))
    assert found.due == date(2026, 5, 16)


def test_no_readings_uses_depot_and_type_with_a_wider_error() -> None:
    """A vehicle never read is due at its type's rate, and its error is wider than its sister's."""
    read = replace(BUS, type_id="d", in_service=date(2025, 1, 1))
    unread = replace(read, vehicle_id="102", depot_id="south")
    rows = steady("101", date(2025, 1, 1), 0, 200)
    found = due_windows([read, unread], [FAR_ONLY], rows, PLAN, HORIZON_END)
    first, second = (one for one in found if one.visit == 1)
    assert second.due == first.due == date(2026, 5, 16)
    assert second.sd_days > 2 * first.sd_days
    assert second.readings == 0
    assert "no readings of its own" in second.note
    assert "odometer stale" in second.note


def test_no_readings_of_the_type_is_unknown() -> None:
    """When no vehicle of the type was ever read no distance can be forecast."""
    bus = replace(BUS, last_overhaul=date(2025, 1, 1), overhaul_odometer=5.0)
    found = window(bus, FAR_ONLY, [])
    assert found.standing is Standing.UNKNOWN
    assert "no odometer readings of its type" in found.note


def test_one_reading_gives_a_rate_from_the_overhaul_on() -> None:
    """One reading and the odometer at the overhaul make one stretch."""
    bus = replace(BUS, last_overhaul=date(2025, 1, 1), overhaul_odometer=300_000.0)
    found = window(bus, FAR_ONLY, [Reading("101", date(2025, 7, 20), 340_000.0)])
    assert found.distance_a_day == pytest.approx(200)
    assert (found.due, found.readings) == (date(2026, 5, 16), 1)


def test_odometer_that_does_not_move_is_not_believed() -> None:
    """A running vehicle whose odometer stands is due at the rate of its depot and type."""
    sister = replace(BUS, vehicle_id="102", type_id="d", in_service=date(2025, 1, 1))
    bus = replace(sister, vehicle_id="101")
    rows = steady("101", date(2025, 1, 1), 0, 0) + steady("102", date(2025, 1, 1), 0, 200)
    found = due_windows([bus, sister], [FAR_ONLY], rows, PLAN, HORIZON_END)[0]
    assert found.distance_a_day == pytest.approx(200)
    assert "has not moved" in found.note


def test_falling_odometer_is_never_used() -> None:
    """Should a fall slip through the checks, distance is unknown, not guessed."""
    bus = replace(BUS, in_service=date(2025, 1, 1))
    rows = [Reading("101", date(2025, 6, 1), 30_000.0), Reading("101", date(2026, 1, 1), 20_000.0)]
    found = window(bus, FAR_ONLY, rows)
    assert found.standing is Standing.UNKNOWN
    assert "odometer falls" in found.note


def test_vehicle_out_of_use_runs_out_of_time_not_of_distance() -> None:
    """Time runs while it stands; distance left does not run out, distance used up stays so."""
    bus = replace(BUS, state="standing", last_overhaul=date(2024, 1, 1), overhaul_odometer=0.0)
    rows = steady("101", date(2024, 1, 1), 0, 400)  # 160,000 by 2025-02-04
    found = window(bus, BOTH, rows)
    assert (found.due, found.due_by) == (date(2028, 1, 1), DueBy.TIME)
    assert "distance does not" in found.note
    only = window(bus, replace(FAR_ONLY, interval_distance=170_000.0), rows)
    assert only.standing is Standing.UNKNOWN
    past = window(bus, replace(BOTH, interval_distance=120_000.0), rows)
    assert (past.due, past.due_by) == (date(2024, 1, 1) + timedelta(days=300), DueBy.DISTANCE)
    assert (past.standing, past.limit, past.limit_by) == (
        Standing.OVERDUE,
        past.due,
        DueBy.DISTANCE,
    )
    assert "distance used up" in past.note


def test_distance_long_past_is_due_no_earlier_than_its_overhaul() -> None:
    """A usual rate that has fallen since cannot put the due day before the interval began."""
    bus = replace(BUS, in_service=date(2025, 1, 1))
    rows = [
        Reading("101", date(2025, 1, 31), 900_000.0),
        Reading("101", date(2026, 1, 31), 900_001.0),
    ]
    found = window(bus, FAR_ONLY, rows)
    assert found.due is not None
    assert found.due >= date(2025, 1, 1)
    assert found.standing is Standing.OVERDUE


def test_later_visits_count_from_the_due_date_before() -> None:
    """Due 2026-05-01; 15 working days are 21 days; 12 months on is 2027-05-22, then 2028-06-12."""
    kind = replace(TIME_ONLY, interval_months=12.0)
    first, second, *more = windows(replace(BUS, last_overhaul=date(2025, 5, 1)), kind, [])
    assert (first.visit, first.due) == (1, date(2026, 5, 1))
    assert (second.visit, second.due, second.opens) == (2, date(2027, 5, 22), date(2027, 3, 23))
    assert "counted from the due date of the visit before" in second.note
    assert not more  # 2028-06-12 opens on 2028-04-13, after the horizon


def test_overdue_vehicle_comes_back_from_the_start_of_the_plan() -> None:
    """An overdue vehicle cannot come before the start, so its next visit counts from there."""
    kind = replace(TIME_ONLY, interval_months=12.0)
    _, second, *_ = windows(replace(BUS, last_overhaul=date(2024, 1, 1)), kind, [])
    assert second.due == date(2027, 3, 30)  # 2026-03-09 + 21 days + 12 months


def test_vehicle_inside_gets_its_next_visit_only() -> None:
    """Inside since 2026-02-16: out 2026-03-09; next due 12 months on; no window for this visit."""
    kind = replace(TIME_ONLY, interval_months=12.0)
    bus = replace(BUS, state="inside", gate_in=date(2026, 2, 16), last_overhaul=date(2024, 1, 1))
    now, following, third = windows(bus, kind, [])
    assert "release expected" in following.note
    assert "due date of the visit before" in third.note
    assert (now.standing, now.opens, now.visit) == (Standing.INSIDE, None, 1)
    assert (following.visit, following.standing) == (2, Standing.DUE)
    assert following.due == date(2027, 3, 9)
    overstayed = replace(bus, gate_in=date(2025, 1, 1))
    assert windows(overstayed, kind, [])[1].due == date(2027, 3, 2)


def test_no_later_visit_after_it_leaves() -> None:
    """A vehicle that leaves the fleet before its next visit is not planned for it."""
    kind = replace(TIME_ONLY, interval_months=12.0)
    bus = replace(BUS, last_overhaul=date(2025, 5, 1), withdraw_on=date(2027, 5, 1))
    assert [w.visit for w in windows(bus, kind, [])] == [1]


def test_error_of_later_visits_grows() -> None:
    """The error of a visit counted from a visit by distance holds the error of that visit too."""
    kind = replace(FAR_ONLY, interval_distance=40_000.0)
    bus = replace(BUS, in_service=date(2025, 12, 1))
    found = windows(bus, kind, [Reading("101", date(2026, 3, 1), 18_000.0)])
    assert [w.visit for w in found][:3] == [1, 2, 3]
    assert found[0].sd_days < found[1].sd_days < found[2].sd_days
    assert found[1].firm_sd_days < found[1].sd_days


def test_enormous_intervals_and_tolerances_do_not_break_the_calendar() -> None:
    """The largest numbers the tables allow give dates beyond any plan, not a traceback."""
    kind = VehicleType("x", "Odd", 1e9, 1e9, 1e9, early_days=10**7, late_days=10**7,
                       late_distance=1e9)  # fmt: skip
    bus = replace(BUS, in_service=date(2025, 1, 1))
    found = window(bus, kind, steady("101", date(2025, 1, 1), 0, 0.001))
    assert found.opens is not None
    assert found.limit is not None
    assert found.opens <= found.limit
    tiny = VehicleType("y", "Odd", 1e-9, 1e-9, None, early_days=0)
    assert window(replace(BUS, in_service=TODAY), tiny, []).due == TODAY
