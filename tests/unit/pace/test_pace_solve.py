"""The line of small works whose figures can be worked out by hand."""

from dataclasses import replace

import pytest

from pacewright.pace.solve import line
from pacewright.plans.line import Gear
from pacewright.plans.programme import Zone
from pacewright.simulate.bottlenecks import overloaded
from small_works import Tables, small_works
from unit.pace.pace_cases import (
    call,
    one_type,
    programme,
    programme_week,
    stage_row,
    with_confidence,
    works_of_stages,
)


def test_takt_of_a_paced_works() -> None:
    """At 0.2 vehicles a day of 8 hours the takt is 5 days or 40 hours."""
    found = line(small_works(), programme(0.2))
    assert found.takt_days == pytest.approx(5)
    assert found.takt_hours == pytest.approx(40)
    assert found.pace_a_week == pytest.approx(1)
    assert found.card.status == "closed form"


def test_common_practice_44_a_week_and_15_days_keep_132_inside() -> None:
    """Common practice, no source: 44 a week of five days, 15 days inside: 132 vehicles stand."""
    works = works_of_stages([stage_row("whole", 15, positions=200)])
    found = line(works, programme(44 / 5))
    assert found.inside_mean == pytest.approx(132)
    assert found.turns[0].expected_days == pytest.approx(15, abs=1e-3)


def test_common_practice_five_day_standing_needs_44_positions() -> None:
    """Common practice, no source: a five-day standing at 44 a week has 44 positions busy."""
    works = works_of_stages([stage_row("standing", 5, positions=44)])
    stage = line(works, programme(44 / 5)).stages[0]
    assert stage.positions_mean == pytest.approx(44)
    assert stage.able_a_week == pytest.approx(44)
    # Exactly 44 leave nothing over for arrivals that fall at any hour of their day.
    assert stage.gear is Gear.TIGHT
    assert 44 < stage.positions_wanted <= 48 < stage.positions_random


def test_a_stage_slower_than_the_pace_holds_up_and_says_by_how_much() -> None:
    """Four positions of five days pass 4 a week; at a pace of 5 the stage is 20 % slower."""
    works = works_of_stages([stage_row("slow", 5, positions=4), stage_row("next", 0.5)])
    found = line(works, programme(1.0))
    slow = found.stages[0]
    assert slow.gear is Gear.HOLDS_UP
    assert slow.over_share == pytest.approx(-0.2)
    assert "able 4.0 a week, pace 5.0: 20 % slower" in slow.reason
    assert f"Add {slow.positions_wanted - 4}" in slow.reason
    assert slow.wait_grows_hours == pytest.approx(8)
    assert found.slowest == "stage slow, slow"
    assert found.able_a_week == pytest.approx(4)
    assert any("stage slow (short by 1.0 vehicles a week)" in note for note in found.notes)


def test_more_confidence_never_wants_fewer_positions() -> None:
    """Positions wanted grow with the wanted confidence."""
    row = stage_row("body", 6, positions=6, hours_least=32, hours_most=80)
    works = works_of_stages([row])
    wanted = [
        line(with_confidence(works, share), programme(0.8)).stages[0].positions_wanted
        for share in (0.5, 0.8, 0.95, 0.99, 0.9999)
    ]
    assert wanted == sorted(wanted)
    assert wanted[0] < wanted[-1]


def test_a_stage_no_called_type_passes_stands_idle() -> None:
    """Only two-axle buses are called: the third-axle stage has no pieces and is named."""
    found = line(small_works(), programme(0.2, (call("solo"),)))
    idle = next(one for one in found.stages if one.stage_id == "chaxle")
    assert idle.pieces_a_day == 0
    assert "No vehicle" in idle.reason
    assert [turn.type_id for turn in found.turns] == ["solo"]


def test_outline_calls_do_not_set_the_mix() -> None:
    """Two firm solos and one firm long give two thirds, whatever the outline holds."""
    calls = (
        call("solo", 1),
        call("solo", 2),
        call("long", 3),
        *(call("long", n, Zone.OUTLINE) for n in range(4, 30)),
    )
    found = line(small_works(), programme(0.2, calls))
    assert {turn.type_id: turn.share for turn in found.turns} == {
        "solo": pytest.approx(2 / 3),
        "long": pytest.approx(1 / 3),
    }


def test_a_programme_that_calls_at_another_rate_is_told_of() -> None:
    """Weeks of 2 and 4 against a pace of 2: mean 3 and peak 4 are both said."""
    weeks = (programme_week(0, 2, Zone.FIRM), programme_week(1, 4, Zone.PLANNED))
    notes = line(small_works(), programme(0.4, weeks=weeks)).notes
    assert any("calls 3.0 a week on average" in note for note in notes)
    assert any("2026-W12 calls at a rate of 4.0" in note for note in notes)


def test_no_pace_is_told_and_nothing_is_made_up() -> None:
    """A programme without pace gives an empty line, marked impossible, with the reason."""
    found = line(small_works(), programme(0.0))
    assert found.card.status == "impossible"
    assert not found.stages
    assert "no pace" in found.notes[0]


def test_offsets_of_units_by_hand() -> None:
    """Motor: off at the end of strip (25/12 days), on at fit-out after body, paint and marry.

    Body 30 h, paint half a day (at night), marry 6 h of 8: 3.75 + 0.5 + 0.75 = 5 days.
    """
    found = line(small_works(), programme(0.2))
    motor = next(one for one in found.units if one.unit_kind_id == "motor")
    assert motor.removed_day == pytest.approx(25 / 12)
    assert motor.offset_days == pytest.approx(5)
    assert motor.slack_days == pytest.approx(5 - 9)
    # The axle goes from chassis strip to chassis build: at once on solo, past the third axle
    # (9 h of a 16-hour day) on long.
    offsets = {one.type_id: one.offset_days for one in found.units if one.unit_kind_id == "axle"}
    assert offsets == {"solo": pytest.approx(0), "long": pytest.approx(9 / 16)}


def test_offset_of_pieces_counts_piece_by_piece() -> None:
    """Three bogies stripped and built one after another, a day each: the shortest is one stage."""

    def change(tables: Tables) -> None:
        tables["unit_kinds"] = [
            dict(unit_kind_id="set", name="Wheel set", shop_id="strip", strip_stage_id="wash",
                 fit_stage_id="build", turn_days="4")
        ]  # fmt: skip
        tables["fits"] = [dict(unit_kind_id="set", type_id="solo", per_vehicle="3")]
        tables["assemblies"] = [dict(type_id="solo", assembly_id="bogie", name="b", count="3")]
        tables["stages"] = [
            stage_row("strip", 1),
            stage_row("wash", 1, assembly_id="bogie", follows="strip"),
            stage_row("weld", 0.5, assembly_id="bogie", follows="wash"),
            stage_row("build", 1, assembly_id="bogie", follows="weld"),
        ]

    found = line(one_type(change), programme(0.1))
    assert found.units[0].offset_days == pytest.approx(0.5)
    assert found.units[0].slack_days == pytest.approx(-3.5)


def test_an_overlong_wait_between_stages_is_named() -> None:
    """The chassis waits three days for the body; 24 hours are allowed after its coat."""
    works = works_of_stages(
        [
            stage_row("strip", 1),
            stage_row("body", 5, assembly_id="body", follows="strip"),
            stage_row("coat", 2, assembly_id="chassis", follows="strip"),
            stage_row("marry", 1, follows="body coat", longest_wait_hours=24),
        ],
        body=1,
        chassis=1,
    )
    notes = line(works, programme(0.1)).notes
    assert [note for note in notes if "between coat and marry" in note]
    assert "waits about 72 h" in notes[0]
    assert not [note for note in notes if "between body and marry" in note]


def test_a_limit_of_vehicles_inside_is_held_against_the_pace() -> None:
    """Ten days inside at one a day keep ten; with five allowed the note says it is too low."""
    works = works_of_stages([stage_row("a", 5, positions=8), stage_row("b", 5, positions=8,
                                                                     follows="a")])  # fmt: skip
    plan = replace(works.settings.plan, inside_limit=5)
    works = replace(works, settings=replace(works.settings, plan=plan))
    (note,) = (one for one in line(works, programme(1.0)).notes if "at most 5" in one)
    # Best case 5 / 10 days a day: 2.5 a week.
    assert "to 2.5 (nothing scatters)" in note
    assert "too low" in note


def test_a_promise_shorter_than_the_route_is_named() -> None:
    """Solo is promised in 15 days; a route of 20 days breaks the promise."""
    found = line(works_of_stages([stage_row("long", 20, positions=9)]), programme(0.2))
    assert any("promised in 15 working days and takes 20.0" in note for note in found.notes)


def test_waiting_for_a_full_oven_by_hand() -> None:
    """Four bodies a charge, eight a day: the mean of 3, 2, 1 and 0 eighths of a day.

    One day in the oven keeps eight of its positions busy; four charges of four at once turn out
    sixteen a day, eighty a week.
    """
    oven = stage_row("oven", 1, batch_size=4, positions=16)
    stage = line(works_of_stages([oven]), programme(8.0)).stages[0]
    assert stage.batch_wait_hours == pytest.approx(1.5 / 8 * 8)
    assert stage.positions_mean == pytest.approx(8)
    assert stage.able_a_week == pytest.approx(80)


def test_a_charge_that_does_not_fill_starts_at_the_next_opening() -> None:
    """One body every five days in an oven for four: half a day of eight hours, not days."""
    oven = stage_row("oven", 1, batch_size=4, positions=4)
    stage = line(works_of_stages([oven]), programme(0.2)).stages[0]
    assert stage.batch_wait_hours == pytest.approx(4)
    assert stage.positions_mean == pytest.approx(0.2)


def test_a_charge_takes_a_position_for_each_piece() -> None:
    """Five positions take two charges of two; two positions take no charge of three."""
    rows = [
        stage_row("oven", 1, batch_size=2, positions=5),
        stage_row("booth", 1, batch_size=3, positions=2, follows="oven"),
    ]
    found = line(works_of_stages(rows), programme(1.0))
    assert [one.able_a_week for one in found.stages] == pytest.approx([20, 10])
    assert [one.positions_wanted % 2 for one in found.stages] == [0, 0]
    [said] = [one for one in found.notes if "each piece stands on a position" in one]
    assert said.startswith("Stage booth: a charge of 3 and 2 positions")


def test_a_vehicle_that_fills_its_own_charge_waits_for_nobody() -> None:
    """Three bogies of one vehicle in an oven for three."""
    rows = [
        stage_row("strip", 1),
        stage_row("oven", 1, assembly_id="bogie", batch_size=3, positions=3, follows="strip"),
    ]
    found = line(works_of_stages(rows, bogie=3), programme(0.2))
    assert found.stages[1].batch_wait_hours == 0
    assert found.turns[0].route_days == pytest.approx(2)


def test_the_third_axle_oven_waits_only_for_those_that_pass() -> None:
    """Every second vehicle has a third axle: a charge of two waits (2 - 1) / (2 x 2) days."""

    def change(tables: Tables) -> None:
        row = next(one for one in tables["stages"] if one["stage_id"] == "chaxle")
        row["batch_size"], row["positions"] = "2", "6"

    found = line(small_works(change), programme(4.0, (call("solo", 1), call("long", 2))))
    stage = next(one for one in found.stages if one.stage_id == "chaxle")
    assert stage.batch_wait_hours == pytest.approx(0.25 * 16)


def test_positions_to_add_are_whole_charges() -> None:
    """Four a day, a day each, charges of two: six positions are 95 % or less used, not five."""
    oven = stage_row("oven", 1, batch_size=2, positions=3)
    [asked] = overloaded(line(works_of_stages([oven]), programme(4.0)))
    assert (asked.place_id, asked.how_many) == ("oven", 3)
