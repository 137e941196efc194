"""Even call-in against the outside cases I1 ... I9 (own derivations, confirmed by simulation).

Provenance of all I cases: computed, outside this project's code; each was confirmed by an event
simulation and one by a general simulation library, as ``confirmed_by`` in the data file says.
"""

import pytest

from pacewright.floats.even_call_in import shortage
from pacewright.floats.turn_time import ConstantTurn
from published.float_case import CASES, GammaTurn

TURN = GammaTurn(12.0, 0.35)


@pytest.mark.parametrize("place", range(5))
def test_i1_constant_turn_needs_the_float_of_simple_arithmetic(place: int) -> None:
    """I1, first principles: ceil(rate q (T - offset)+)."""
    case = CASES["I1"]
    given = case["inputs"]
    law = shortage(
        ConstantTurn(given["turn_days"]),
        1 / given["vehicles_per_day"],
        given["offset_days"][place],
        given["units_per_vehicle"],
    )
    assert law.least_float(1.0) == case["expected"]["float"][place]


@pytest.mark.parametrize("units", [3, 4, 5, 6, 7, 8])
def test_i3_on_time_chance(units: int) -> None:
    """I3: own derivation, computed; simulation agrees within its error."""
    case = CASES["I3"]
    law = shortage(TURN, case["inputs"]["takt_days"], case["inputs"]["offset"])
    wanted = case["expected"]["on_time"][str(units)]
    assert law.chance_within(units) == pytest.approx(wanted, abs=case["tolerance"])


def test_i3_units_short_and_floats() -> None:
    """I3: mean units short at the need; floats for 95 and 99 %."""
    case = CASES["I3"]
    law = shortage(TURN, 1.0, 8.0)
    for units, short in case["expected"]["mean_units_short_at_need"].items():
        assert law.short_mean(int(units)) == pytest.approx(short, abs=case["tolerance"])
    assert law.least_float(0.95) == case["expected"]["S95"]
    assert law.least_float(0.99) == case["expected"]["S99"]


@pytest.mark.parametrize("place", range(3))
def test_i5_interchange_alone(place: int) -> None:
    """I5: units issued to whichever vehicle is next, against waiting for one's own."""
    case = CASES["I5"]
    offset = case["inputs"]["offset"][place]
    law = shortage(TURN, 1.0, offset)
    wanted = case["expected"]
    assert law.chance_within(0) == pytest.approx(wanted["pooled_no_float_on_time"][place], abs=1e-6)
    assert law.chance_within(2) == pytest.approx(wanted["pooled_float_2"][place], abs=1e-6)
    own = 1 - float(TURN.survival(offset))
    assert own == pytest.approx(wanted["own_unit_on_time"][place], abs=1e-6)


def test_i7_two_units_a_vehicle() -> None:
    """I7: both units of the vehicle must be there."""
    case = CASES["I7"]
    law = shortage(TURN, 1.0, 8.0, 2)
    assert law.chance_within(10) == pytest.approx(case["expected"]["on_time"], abs=1e-6)
    assert law.least_float(0.95) == case["expected"]["S95"]


@pytest.mark.parametrize(
    ("pairs", "takt", "units", "wanted"),
    [
        ("pairs_q1_takt1", 1.0, 1, "on_time_q1"),
        ("pairs_q2_takt1", 1.0, 2, "on_time_q2"),
        ("pairs_q1_takt_half", 0.5, 1, "on_time_takt_half"),
    ],
)
def test_i9_units_of_one_vehicle_are_worth_one_takt(
    pairs: str, takt: float, units: int, wanted: str
) -> None:
    """I9: on time depends only on offset + takt x float / q."""
    case = CASES["I9"]
    for offset, held in case["inputs"][pairs]:
        law = shortage(TURN, takt, offset, units)
        assert law.chance_within(held) == pytest.approx(
            case["expected"][wanted], abs=case["tolerance"]
        )
