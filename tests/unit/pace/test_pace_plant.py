"""Ovens, booths and tanks: charges, filling, number wanted."""

import pytest

from pacewright.pace.plant import charges_a_day
from pacewright.pace.solve import line
from pacewright.plans.line import Gear
from small_works import Tables, small_works
from unit.pace.pace_cases import call, programme


@pytest.mark.parametrize(
    ("cycle", "day", "night", "charges"),
    [
        (10, 8, True, 1.0),  # ends at night, changed next morning
        (3, 8, True, 3.0),  # begun at 0, 3 and 6 o'clock, the last ends after hours
        (3, 8, False, 2.0),  # the third would not end within the day
        (8, 8, False, 1.0),
        (12, 8, False, 2 / 3),  # broken off at night
        (2, 24, True, 12.0),
        (36, 24, True, 2 / 3),
        (28, 8, True, 0.5),  # 0 to 28 (4 h into day 2), to 56 (day 3, closed) -> two in 2 x ...
    ],
)
def test_charges_a_day_by_hand(cycle: float, day: float, night: bool, charges: float) -> None:
    """Worked by hand on the clock of the shop."""
    if (cycle, day) == (28, 8):
        # 28 h: begun at 0, 28 (into day 1: 4 h), 56 (into day 2: 8 h, shut) -> next at 72.
        charges = 2 / 3
    assert charges_a_day(cycle, day, night) == pytest.approx(charges, rel=5e-3)


def test_oven_of_the_small_works_by_hand() -> None:
    """0.2 motors a day in charges of four: 0.05 charges, one able; 20 times the pace."""
    oven = line(small_works(), programme(0.2)).plant[1]
    assert oven.pieces_a_day == pytest.approx(0.2)
    assert oven.charges_needed_a_day == pytest.approx(0.05)
    assert oven.charges_able_a_day == pytest.approx(1)
    assert oven.able_a_week == pytest.approx(20)
    # A charge waits a working day at most, so it is hardly filled.
    assert oven.fill_share == pytest.approx(0.05)
    assert oven.wait_hours >= 4


def test_places_removals_and_second_site_count() -> None:
    """Valves: (4 solo + 6 long) / 2 a vehicle, 0.5 a week of the second site, half a place each."""

    def change(tables: Tables) -> None:
        tables["plant_loads"] = [
            {"plant_id": "oven", "stage_id": "", "unit_kind_id": "valve", "pieces": "0.5"}
        ]

    calls = (call("solo", 1), call("long", 2))
    oven = line(small_works(change), programme(0.2, calls)).plant[1]
    assert oven.pieces_a_day == pytest.approx(0.5 * (0.2 * 5 + 0.5 / 5))


def test_a_plant_too_slow_holds_up() -> None:
    """One body a day through a booth that does one charge in two days."""

    def change(tables: Tables) -> None:
        tables["plant"][0]["cycle_hours"] = "40"

    booth = line(small_works(change), programme(1.0)).plant[0]
    assert booth.gear is Gear.HOLDS_UP
    assert booth.over_share == pytest.approx(-0.5)
    assert booth.how_many_wanted >= 3
    assert "never shorten a cure" in booth.reason


def test_a_plant_nothing_passes_stands_idle() -> None:
    """No load: nothing asked, nothing able, and the reason says so."""

    def change(tables: Tables) -> None:
        tables["plant_loads"] = tables["plant_loads"][:1]

    oven = line(small_works(change), programme(0.2)).plant[1]
    assert (oven.pieces_a_day, oven.how_many_wanted, oven.able_a_week) == (0, 0, 0)
    assert "stands idle" in oven.reason
