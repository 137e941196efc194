"""Each rule of the fleet's tables, broken once or more."""

import pytest

from broken_rules import Broken, assert_only_it_is_told
from pacewright.fleet import checks

TYPES, DEPOTS, CARS, READS = "vehicle_types", "depots", "vehicles", "readings"

BROKEN = [
    Broken(
        checks.type_has_interval,
        ((TYPES, 1, {"interval_months": ""}),),
        ((TYPES, 1, "interval_months"),),
        "type long has no interval",
    ),
    Broken(
        checks.interval_believable,
        ((TYPES, 1, {"interval_months": "1200"}),),
        ((TYPES, 1, "interval_months"),),
        "1200 months",
    ),
    Broken(
        checks.interval_believable,
        ((TYPES, 0, {"interval_months": "0.9", "early_days": "3", "turn_days": "9"}),),
        ((TYPES, 0, "interval_months"),),
        "0.9 months",
    ),
    Broken(
        checks.interval_believable,
        ((TYPES, 0, {"interval_distance": "250"}),),
        ((TYPES, 0, "interval_distance"),),
        "250",
    ),
    Broken(
        checks.window_within_interval,
        ((TYPES, 1, {"early_days": "1100"}),),
        ((TYPES, 1, "early_days"),),
        "1100 days against an interval of 1096 days",
    ),
    Broken(
        checks.window_within_interval,
        ((TYPES, 1, {"late_days": "2000"}),),
        ((TYPES, 1, "late_days"),),
        "2000 days",
    ),
    Broken(
        checks.window_within_interval,
        ((TYPES, 0, {"turn_days": "251"}),),
        ((TYPES, 0, "turn_days"),),
        "251 days",
    ),
    Broken(
        checks.travel_believable,
        ((DEPOTS, 0, {"travel_days": "61"}),),
        ((DEPOTS, 0, "travel_days"),),
        "61 working days",
    ),
    Broken(
        checks.late_vehicles_are_late,
        ((DEPOTS, 1, {"late_share": "0.2", "late_days": "0.5"}),),
        ((DEPOTS, 1, "late_days"),),
        "0.2 of the vehicles of south are late by 0.5 days",
    ),
    Broken(
        checks.inside_is_told,
        ((CARS, 3, {"gate_in": "", "stage_id": ""}),),
        ((CARS, 3, "gate_in"), (CARS, 3, "stage_id")),
        "vehicle 104 is inside and gate_in is blank",
    ),
    Broken(
        checks.inside_is_told,
        ((CARS, 0, {"gate_in": "2026-02-20"}),),
        ((CARS, 0, "gate_in"),),
        "vehicle 101 is running and gate_in is filled",
    ),
    Broken(
        checks.promised_is_inside,
        ((CARS, 0, {"promised": "2026-03-20"}),),
        ((CARS, 0, "promised"),),
        "vehicle 101 is running and promised for 2026-03-20",
    ),
    Broken(
        checks.called_is_to_come,
        ((CARS, 3, {"called_for": "2026-03-20"}),),
        ((CARS, 3, "called_for"),),
        "vehicle 104 is inside and called in for 2026-03-20",
    ),
    Broken(
        checks.past_is_past,
        ((CARS, 3, {"gate_in": "2026-03-03"}),),
        ((CARS, 3, "gate_in"),),
        "2026-03-03 lies after today, 2026-03-02",
    ),
    Broken(
        checks.past_is_past,
        ((CARS, 8, {"last_overhaul": "2026-03-03"}),),
        ((CARS, 8, "last_overhaul"),),
        "vehicle 203",
    ),
    Broken(
        checks.past_is_past,
        ((CARS, 8, {"in_service": "2027-01-01", "last_overhaul": ""}),),
        ((CARS, 8, "in_service"),),
        "2027-01-01",
    ),
    Broken(
        checks.life_in_order,
        ((CARS, 8, {"last_overhaul": "2020-01-31"}),),
        ((CARS, 8, "last_overhaul"),),
        "last_overhaul 2020-01-31 lies before in_service 2020-02-01",
    ),
    Broken(
        checks.life_in_order,
        ((CARS, 3, {"gate_in": "2022-02-13"}),),
        ((CARS, 3, "gate_in"),),
        "gate_in 2022-02-13 lies before last_overhaul 2022-02-14",
    ),
    Broken(
        checks.life_in_order,
        ((CARS, 8, {"licence_expiry": "2019-01-01", "withdraw_on": "2019-01-01"}),),
        ((CARS, 8, "licence_expiry"), (CARS, 8, "withdraw_on")),
        "licence_expiry 2019-01-01 lies before in_service",
        also=frozenset({"withdrawal_kept"}),
    ),
    Broken(
        checks.withdrawal_kept,
        ((CARS, 7, {"withdraw_on": "2026-03-01"}),),
        ((CARS, 7, "withdraw_on"),),
        "was to leave on 2026-03-01 and is running",
    ),
    Broken(
        checks.overhaul_odometer_dated,
        ((CARS, 4, {"overhaul_odometer": "1000"}),),
        ((CARS, 4, "overhaul_odometer"),),
        "vehicle 105 has overhaul_odometer 1000 and no last_overhaul",
    ),
    Broken(
        checks.readings_in_time,
        ((READS, 11, {"read_on": "2026-03-03"}),),
        ((READS, 11, "read_on"),),
        "vehicle 105 read on 2026-03-03",
    ),
    Broken(
        checks.readings_in_time,
        ((READS, 9, {"read_on": "2023-02-28"}),),
        ((READS, 9, "read_on"),),
        "in service since 2023-03-01",
    ),
    Broken(
        checks.odometer_never_falls,
        ((READS, 2, {"odometer": "349000"}),),
        ((READS, 2, "odometer"),),
        "vehicle 101 read 350000 on 2024-06-10 and 349000 on 2025-06-10",
    ),
    Broken(
        checks.odometer_never_jumps,
        ((READS, 11, {"odometer": "1540000"}),),
        ((READS, 11, "odometer"),),
        "ran 1.436e+06 in 346 days",
    ),
    Broken(
        checks.overhaul_odometer_between_readings,
        ((READS, 0, {"odometer": "239999"}),),
        ((READS, 0, "odometer"),),
        "below 240000 at its overhaul on 2022-06-10",
    ),
    Broken(
        checks.overhaul_odometer_between_readings,
        ((READS, 0, {"odometer": "245000", "read_on": "2022-01-10"}),),
        ((READS, 0, "odometer"),),
        "above 240000 at its overhaul",
    ),
]


@pytest.mark.parametrize("case", BROKEN, ids=str)
def test_broken_rule_is_told(case: Broken, monkeypatch: pytest.MonkeyPatch) -> None:
    """The check tells the broken rule at its place, and no other check tells anything."""
    assert_only_it_is_told(case, monkeypatch)


def test_every_check_is_broken_once() -> None:
    """No check of the fleet is left without a case."""
    assert {case.check for case in BROKEN} == set(checks.CHECKS)
