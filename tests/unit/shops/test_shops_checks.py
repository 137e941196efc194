"""Each rule of the tables of shops, people, stages and plant, broken once or more."""

import pytest

from broken_rules import Broken, assert_only_it_is_told
from pacewright.shops import checks, route_checks

STAGES, PARTS_INTO, LOADS, UPSETS = "stages", "assemblies", "plant_loads", "upsets"
STRIP, BODY, BPAINT, CHSTRIP, CHAXLE, CHBUILD, MARRY, FITOUT, TEST = range(9)


def stage(stage_id: str, assembly: str, follows: str, types: str = "") -> dict[str, str]:
    """A new stage."""
    return {
        "stage_id": stage_id,
        "name": stage_id,
        "shop_id": "run",
        "assembly_id": assembly,
        "positions": "1",
        "hours_least": "1",
        "hours_usual": "2",
        "hours_most": "3",
        "follows": follows,
        "type_ids": types,
    }


def upset(**cells: str) -> dict[str, str]:
    """A breakdown."""
    usual = {"upset_id": "booth", "mean_days_between": "50", "mean_hours": "20"}
    return usual | cells


BROKEN = [
    Broken(
        checks.shop_day_possible,
        (("shops", 2, {"hours_a_day": "24.5"}), ("people", 0, {"hours_a_day": "0.5"})),
        (("shops", 2, "hours_a_day"), ("people", 0, "hours_a_day")),
        "0.5 hours",
    ),
    Broken(
        checks.whole_is_no_assembly,
        ((PARTS_INTO, -1, {"type_id": "solo", "assembly_id": "vehicle", "name": "Bus"}),),
        ((PARTS_INTO, 4, "assembly_id"),),
        "an assembly is called 'vehicle'",
    ),
    Broken(
        checks.stage_hours_in_order,
        ((STAGES, BODY, {"hours_usual": "50"}),),
        ((STAGES, BODY, "hours_usual"),),
        "least 20, usual 50, most 48",
    ),
    Broken(
        checks.stage_assembly_known,
        ((STAGES, CHAXLE, {"assembly_id": "chasis"}),),
        ((STAGES, CHAXLE, "assembly_id"),),
        "'chasis', an assembly of no type",
        also=frozenset({"stage_is_passed"}),
    ),
    Broken(
        checks.stage_assembly_known,
        (
            (PARTS_INTO, -1, {"type_id": "long", "assembly_id": "joint", "name": "Joint"}),
            (STAGES, -1, stage("joint", "joint", "strip", "long solo")),
            (STAGES, MARRY, {"follows": "bpaint chbuild joint"}),
        ),
        ((STAGES, 9, "type_ids"),),
        "stage joint names type solo, which has no 'joint'",
    ),
    Broken(
        route_checks.route_has_no_loop,
        ((STAGES, BODY, {"follows": "strip bpaint"}),),
        ((STAGES, BODY, "follows"),),
        "in a circle: body -> bpaint -> body",
    ),
    Broken(
        route_checks.route_has_no_loop,
        ((STAGES, CHSTRIP, {"follows": "strip chbuild"}), (STAGES, TEST, {"follows": "test"})),
        ((STAGES, CHSTRIP, "follows"), (STAGES, TEST, "follows")),
        "in a circle: chstrip -> chaxle -> chbuild -> chstrip",
    ),
    Broken(
        route_checks.route_has_no_loop,
        ((STAGES, TEST, {"follows": "fitout test"}),),
        ((STAGES, TEST, "follows"),),
        "test -> test",
    ),
    Broken(
        route_checks.follows_shares_type,
        (
            (STAGES, -1, stage("chfix", "chassis", "chstrip chaxle", "solo")),
            (STAGES, CHBUILD, {"follows": "chstrip chaxle chfix"}),
        ),
        ((STAGES, 9, "follows"),),
        "stage chfix (solo) follows chaxle (long)",
    ),
    Broken(
        route_checks.type_has_route,
        tuple((STAGES, place, {"type_ids": "long"}) for place in range(9)),
        (("vehicle_types", 0, "type_id"),),
        "type solo passes no stage",
        also=frozenset(
            ["assembly_has_stages", "kind_on_route", "type_passes_stage", "inside_on_its_route"]
        ),
    ),
    Broken(
        route_checks.stage_is_passed,
        (
            (PARTS_INTO, 3, {"assembly_id": "frame"}),
            (STAGES, CHSTRIP, {"type_ids": "solo"}),
            (STAGES, CHBUILD, {"type_ids": "solo"}),
        ),
        ((STAGES, CHAXLE, "type_ids"),),
        "no type passes stage chaxle",
        also=frozenset(
            ["stage_assembly_known", "follows_shares_type", "assembly_has_stages", "kind_on_route"]
        ),
    ),
    Broken(
        route_checks.route_begins_and_ends_whole,
        ((STAGES, MARRY, {"follows": "bpaint"}),),
        ((STAGES, CHBUILD, "follows"),) * 2,
        "the route of type solo ends at chbuild (chassis), test (vehicle)",
        also=frozenset({"one_place_at_a_time", "stripped_before_fitted"}),
    ),
    Broken(
        route_checks.route_begins_and_ends_whole,
        ((STAGES, BODY, {"follows": ""}),),
        ((STAGES, BODY, "follows"),) * 2,
        "begins at strip (vehicle), body (body)",
        also=frozenset({"one_place_at_a_time"}),
    ),
    Broken(
        route_checks.route_begins_and_ends_whole,
        ((STAGES, -1, stage("wash", "vehicle", "marry")),),
        ((STAGES, TEST, "follows"),) * 2,
        "the route of type long ends at wash (vehicle), test (vehicle)",
        also=frozenset({"one_place_at_a_time"}),
    ),
    Broken(
        route_checks.one_place_at_a_time,
        (
            (STAGES, -1, stage("wash", "vehicle", "marry")),
            (STAGES, TEST, {"follows": "fitout wash"}),
        ),
        ((STAGES, 9, "follows"),) * 2,
        "type solo passes wash (vehicle) and fitout (vehicle) in no order",
    ),
    Broken(
        route_checks.one_place_at_a_time,
        (
            (STAGES, -1, stage("seats", "body", "body")),
            (STAGES, MARRY, {"follows": "bpaint chbuild seats"}),
        ),
        ((STAGES, 9, "follows"),) * 2,
        "seats (body)",
    ),
    Broken(
        route_checks.assembly_keeps_its_name,
        ((STAGES, CHBUILD, {"follows": "chstrip chaxle body"}),),
        ((STAGES, CHBUILD, "follows"),) * 2,
        "chbuild (chassis) follows body (body)",
    ),
    Broken(
        route_checks.assembly_has_stages,
        ((PARTS_INTO, -1, {"type_id": "long", "assembly_id": "joint", "name": "Joint"}),),
        ((PARTS_INTO, 4, "assembly_id"),),
        "assembly joint of type long passes no stage",
    ),
    Broken(
        route_checks.vehicle_parts_once,
        (
            (STAGES, -1, stage("lift", "vehicle", "body chbuild")),
            (STAGES, BPAINT, {"follows": "lift"}),
        ),
        ((STAGES, 9, "assembly_id"),) * 2,
        "passes lift whole, between body and bpaint in assemblies",
    ),
    Broken(
        route_checks.one_assembly_leads,
        ((PARTS_INTO, 0, {"count": "2"}), (PARTS_INTO, 1, {"count": "2"})),
        ((PARTS_INTO, 0, "count"),),
        "type solo has 2 of body, and of no assembly one",
    ),
    Broken(
        checks.some_pass_the_test,
        (
            (STAGES, TEST, {"first_pass_share": "0"}),
            (STAGES, FITOUT, {"rectify_hours": "3"}),
        ),
        ((STAGES, FITOUT, "rectify_hours"), (STAGES, TEST, "first_pass_share")),
        "nothing passes the test of test",
    ),
    Broken(
        checks.upset_hits_one_thing,
        (
            (UPSETS, -1, upset(stage_id="marry", unit_kind_id="motor")),
            (UPSETS, -1, upset(upset_id="oven")),
        ),
        ((UPSETS, 1, "stage_id"), (UPSETS, 2, "stage_id")),
        "both filled",
    ),
    Broken(
        checks.charge_takes_time,
        (("plant", 1, {"cycle_hours": "0.001"}),),
        (("plant", 1, "cycle_hours"),),
        "one charge of oven takes 0.001 hours",
    ),
    Broken(
        checks.load_is_one_thing,
        ((LOADS, 0, {"stage_id": ""}), (LOADS, 1, {"stage_id": "fitout"})),
        ((LOADS, 0, "stage_id"), (LOADS, 1, "stage_id")),
        "both filled",
    ),
    Broken(
        checks.load_fits_plant,
        ((LOADS, 1, {"pieces": "4.5"}),),
        ((LOADS, 1, "pieces"),),
        "one takes 4.5 places of oven, which holds 4",
    ),
]


@pytest.mark.parametrize("case", BROKEN, ids=str)
def test_broken_rule_is_told(case: Broken, monkeypatch: pytest.MonkeyPatch) -> None:
    """The check tells the broken rule at its place, and no other check tells anything."""
    assert_only_it_is_told(case, monkeypatch)


def test_every_check_is_broken_once() -> None:
    """No check of the shops is left without a case."""
    assert {case.check for case in BROKEN} == {*checks.CHECKS, *route_checks.CHECKS}
