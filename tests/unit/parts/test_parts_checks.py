"""Each rule of the tables of unit kinds, operations, campaigns and tests, broken once or more."""

import pytest

from broken_rules import Broken, assert_only_it_is_told
from pacewright.parts import checks, pair_checks

KINDS, OPS, TESTS = "unit_kinds", "operations", "test_items"
MOTOR, AXLE, VALVE = range(3)
SEAT = {
    "unit_kind_id": "seat",
    "name": "Driver's seat",
    "shop_id": "body",
    "strip_stage_id": "strip",
    "fit_stage_id": "fitout",
    "turn_days": "3",
}

FIT_MOTOR_SOLO, FIT_MOTOR_LONG = range(2)

BROKEN = [
    Broken(
        pair_checks.kept_with_another,
        ((KINDS, MOTOR, {"keep_with_kind_id": "motor"}),),
        ((KINDS, MOTOR, "keep_with_kind_id"),),
        "motor: kept with motor",
    ),
    Broken(
        pair_checks.kept_with_another,
        ((KINDS, MOTOR, {"keep_with_kind_id": "valve"}),),
        ((KINDS, MOTOR, "keep_with_kind_id"),),
        "kept with valve, of which",
    ),
    Broken(
        checks.fit_meets_its_campaign,
        (("fits", FIT_MOTOR_LONG, {"needs_campaign_id": "doors"}),),
        (("fits", FIT_MOTOR_LONG, "needs_campaign_id"),),
        "campaign doors is for type solo, not long",
    ),
    Broken(
        checks.fit_meets_its_campaign,
        (
            (
                "fits",
                FIT_MOTOR_SOLO,
                {"needs_campaign_id": "doors", "until_campaign_id": "doors"},
            ),
        ),
        (("fits", FIT_MOTOR_SOLO, "until_campaign_id"),),
        "motor needs campaign doors and is barred by it",
    ),
    Broken(
        checks.inspection_limits_sound,
        ((OPS, 1, {"inspect_least": "4", "inspect_most": "3", "inspect_unit": "mm"}),),
        ((OPS, 1, "inspect_most"),),
        "bd-1: inspect_least 4, inspect_most 3",
    ),
    Broken(
        checks.inspection_limits_sound,
        ((OPS, 1, {"inspect_least": "4"}),),
        ((OPS, 1, "inspect_unit"),),
        "it has a limit and no unit",
    ),
    Broken(
        checks.inspection_limits_sound,
        ((OPS, 0, {"inspect_most": "4", "inspect_unit": "mm"}),),
        ((OPS, 0, "must_change"),),
        "done whatever is found",
    ),
    Broken(
        checks.moving_work_at_a_stage,
        ((OPS, 11, {"moves_vehicle": "yes"}),),
        ((OPS, 11, "moves_vehicle"),),
        "operation mt-1 is done on a unit and moves the vehicle",
    ),
    Broken(
        checks.kind_fits_some_type,
        ((KINDS, -1, SEAT),),
        ((KINDS, 3, "unit_kind_id"),),
        "unit kind seat fits no vehicle type",
    ),
    Broken(
        checks.kind_on_route,
        ((KINDS, AXLE, {"strip_stage_id": "chaxle"}),),
        ((KINDS, AXLE, "strip_stage_id"),),
        "unit kind axle fits type solo, which does not pass stage chaxle",
    ),
    Broken(
        checks.stripped_before_fitted,
        ((KINDS, AXLE, {"strip_stage_id": "chbuild", "fit_stage_id": "chstrip"}),),
        ((KINDS, AXLE, "fit_stage_id"),) * 2,
        "axle goes on at chstrip",
    ),
    Broken(
        checks.stripped_before_fitted,
        ((KINDS, AXLE, {"strip_stage_id": "body"}),),
        ((KINDS, AXLE, "fit_stage_id"),) * 2,
        "does not come after body",
    ),
    Broken(
        checks.stripped_before_fitted,
        ((KINDS, MOTOR, {"fit_stage_id": "strip"}),),
        ((KINDS, MOTOR, "fit_stage_id"),) * 2,
        "motor goes on at strip",
    ),
    Broken(
        checks.must_change_comes_off,
        ((KINDS, VALVE, {"removal_share": "0.99"}),),
        ((KINDS, VALVE, "removal_share"),),
        "comes off 0.99 of the vehicles",
    ),
    Broken(
        checks.bench_and_hours,
        ((KINDS, MOTOR, {"benches": ""}), (KINDS, VALVE, {"bench_hours": "0"})),
        ((KINDS, MOTOR, "benches"), (KINDS, VALVE, "bench_hours")),
        "unit kind motor has benches blank and bench_hours 14",
    ),
    Broken(
        checks.turn_covers_bench,
        ((KINDS, MOTOR, {"turn_days": "1.5"}),),
        ((KINDS, MOTOR, "turn_days"),),
        "turns in 1.5 days and is 14 hours, 1.8 days, on the bench",
    ),
    Broken(
        checks.spread_believable,
        ((KINDS, AXLE, {"turn_sd_days": "12.5"}),),
        ((KINDS, AXLE, "turn_sd_days"),),
        "turns in 6 days with a standard deviation of 12.5",
    ),
    Broken(
        checks.scrap_is_bought,
        ((KINDS, AXLE, {"purchase_days": "0"}),),
        ((KINDS, AXLE, "purchase_days"),),
        "0.01 are scrapped",
    ),
    Broken(
        checks.operation_in_one_place,
        ((OPS, 0, {"stage_id": ""}), (OPS, 11, {"stage_id": "fitout"})),
        ((OPS, 0, "stage_id"), (OPS, 11, "stage_id")),
        "operation st-1: stage_id and unit_kind_id are both blank",
    ),
    Broken(
        checks.must_change_always_done,
        ((OPS, 0, {"occurrence_share": "0.5"}),),
        ((OPS, 0, "occurrence_share"),),
        "operation st-1 must be done and occurs on 0.5",
    ),
    Broken(
        checks.operation_meets_its_type,
        ((OPS, 6, {"type_id": "solo"}),),
        ((OPS, 6, "type_id"),),
        "ch-2 is for type solo, which does not pass stage chaxle",
    ),
    Broken(
        checks.operation_meets_its_type,
        ((OPS, 12, {"type_id": "long"}),),
        ((OPS, 12, "type_id"),),
        "mt-2 is for type long, which does not carry motor",
        drop=(("fits", 1),),
    ),
    Broken(
        checks.work_has_people,
        ((OPS, 9, {"trade_id": "body"}), ("campaigns", 0, {"trade_id": "paint"})),
        ((OPS, 9, "trade_id"), ("campaigns", 0, "trade_id")),
        "'Wire and fit out' needs trade body in shop elec",
    ),
    Broken(
        checks.work_has_people,
        (("people", 4, {"attendance_share": "0"}),),
        ((OPS, 4, "trade_id"),),
        "needs trade paint in shop paint",
    ),
    Broken(
        checks.campaign_dates_in_order,
        (("campaigns", 0, {"last": "2026-05-31"}),),
        (("campaigns", 0, "last"),),
        "from 2026-06-01 to 2026-05-31",
    ),
    Broken(
        checks.type_passes_stage,
        (
            ("campaigns", 0, {"stage_id": "chaxle", "trade_id": "fitter"}),
            (TESTS, 0, {"stage_id": "chaxle", "type_id": "solo"}),
        ),
        (("campaigns", 0, "stage_id"), (TESTS, 0, "stage_id")),
        "type solo does not pass stage chaxle",
    ),
    Broken(
        checks.limits_in_order,
        ((TESTS, 0, {"most": "4.4"}),),
        ((TESTS, 0, "most"),),
        "least 4.5, most 4.4",
    ),
    Broken(
        checks.limit_has_unit,
        ((TESTS, 1, {"reading_unit": ""}),),
        ((TESTS, 1, "reading_unit"),),
        "test item insul has a limit and no unit",
    ),
]


@pytest.mark.parametrize("case", BROKEN, ids=str)
def test_broken_rule_is_told(case: Broken, monkeypatch: pytest.MonkeyPatch) -> None:
    """The check tells the broken rule at its place, and no other check tells anything."""
    assert_only_it_is_told(case, monkeypatch)


def test_every_check_is_broken_once() -> None:
    """No check of the parts is left without a case."""
    assert {case.check for case in BROKEN} == set((*checks.CHECKS, *pair_checks.CHECKS))
