"""The call-in programme against facts of the trade.

Common practice, no source: a fleet of 8,000 on an interval of three and a half years needs about
44 vehicles a week; at 44 a week of five days and 15 working days inside, 132 stand in the works.
The arithmetic behind them: 8,000 / (3.5 x 52.18 weeks) = 43.8; 44 / 5 x 15 = 132 (Little, 1961,
L = lambda W, from memory).
"""

from functools import cache

import pytest

from pacewright.callin.checks import check_programme
from pacewright.callin.solve import programme
from pacewright.fleet.tables import Depot, VehicleType
from pacewright.fleet.windows import DueWindow
from pacewright.plans.programme import Programme
from pacewright.works import Works
from unit.callin.cases import Ask, windows_of, works_of

INTERVAL_DAYS = 3.5 * 365.25
WEEKS = 182


@cache
def fleet_of_8000(pace: float | None) -> tuple[Works, tuple[DueWindow, ...], Programme]:
    """8,000 vehicles, due evenly over three and a half years; no holidays, 25 depots."""
    depots = tuple(Depot(f"d{n}", f"Depot {n}") for n in range(25))
    types = (VehicleType("solo", "Two-axle bus", 15, 42),)
    works = works_of(WEEKS, pace, depots, types)
    asks = []
    for number in range(8000):
        due = int((number + 1) * INTERVAL_DAYS / 8000)
        asks.append(Ask(due - 90, due, due, f"d{number % 25}"))
    windows = windows_of(asks)
    return works, windows, programme(works, windows)


def test_8000_on_three_and_a_half_years_need_about_44_a_week() -> None:
    """Common practice, no source: about 44 a week; the least pace and the pace run at say so."""
    works, windows, made = fleet_of_8000(None)
    assert made.least_pace.vehicles_a_week == pytest.approx(44, abs=0.5)
    assert made.pace_a_day * 5 == pytest.approx(44, abs=0.5)
    assert made.late_weeks == 0
    assert check_programme(works, windows, made) == ()


def test_at_44_a_week_and_15_days_inside_132_stand_in_the_works() -> None:
    """Common practice, no source: 132 inside; so it is in the middle of the programme."""
    works, windows, made = fleet_of_8000(44)
    assert check_programme(works, windows, made) == ()
    middle = [week.inside_end for week in made.weeks[20:150]]
    assert sum(middle) / len(middle) == pytest.approx(132, abs=1.5)


def test_a_programme_as_even_as_its_fleet_gives_no_life_away() -> None:
    """Vehicles due evenly and a pace above the need: all come in their week of due."""
    _, _, made = fleet_of_8000(44)
    assert made.card.objective == made.card.bound
    assert made.card.objective <= 7 * 44
