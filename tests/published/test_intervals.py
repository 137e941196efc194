"""Permitted intervals of published law as due windows.

Sources: tests/published/data/legal_intervals.csv and cases I15 and I17 of life-release-cases.json
(texts of BOStrab section 57(3), EBO section 32(3), StVZO annex VIII; each marked read).
"""

import csv
import json
import re
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from pacewright.base.settings import PlanSettings
from pacewright.fleet.due import due_windows
from pacewright.fleet.tables import Reading, Vehicle, VehicleType
from pacewright.fleet.windows import DueBy, DueWindow

DATA = Path(__file__).parent / "data"
PLAN = PlanSettings(today=date(2026, 3, 2), start=date(2026, 3, 2), horizon_weeks=208, guard=0.0)
HORIZON_END = date(2030, 3, 1)


def law(source: str) -> str:
    """The interval as the table of sources words it."""
    with (DATA / "legal_intervals.csv").open(newline="") as file:
        return next(row["interval"] for row in csv.DictReader(file) if source in row["source"])


def case(case_id: str) -> dict[str, Any]:
    """One case of the collected cases."""
    cases = json.loads((DATA / "life-release-cases.json").read_text())
    return next(one for one in cases if one["id"] == case_id)


def tram_window(distance_a_day: float) -> DueWindow:
    """A tram overhauled on 2020-01-01, read every 90 days until 2025-12-01, at a steady rate."""
    text = law("BOStrab s57(3)")  # "500,000 km, at latest 8 years"
    distance, years = (int(n.replace(",", "")) for n in re.findall(r"\d[\d,]*", text))
    tram = VehicleType("tram", "Tram", 20.0, years * 12.0, float(distance))
    start = date(2020, 1, 1)
    rows = [
        Reading("301", start + timedelta(days=n), 10_000 + n * distance_a_day)
        for n in range(0, 2162, 90)
    ]
    vehicle = Vehicle("301", "tram", "east", "running", date(2012, 1, 1), start, 10_000.0)
    return due_windows([vehicle], [tram], rows, PLAN, HORIZON_END)[0]


def test_tram_that_runs_little_is_due_after_eight_years() -> None:
    """BOStrab s57(3): at 150 km a day eight years come before 500,000 km (3,333 days)."""
    found = tram_window(150)
    assert (found.due, found.due_by) == (date(2028, 1, 1), DueBy.TIME)


def test_tram_that_runs_much_is_due_at_its_distance() -> None:
    """BOStrab s57(3): at 200 km a day 500,000 km come after 2,500 days, before eight years."""
    found = tram_window(200)
    assert (found.due, found.due_by) == (date(2020, 1, 1) + timedelta(days=2500), DueBy.DISTANCE)
    assert found.limit == found.due


def test_tram_at_the_crossing_of_both_intervals() -> None:
    """500,000 km in eight years (2,922 days) is 171.1 km a day: either side, the earlier binds."""
    assert tram_window(500_000 / 2922 - 1).due_by is DueBy.TIME
    assert tram_window(500_000 / 2922 + 1).due_by is DueBy.DISTANCE


def test_rail_vehicle_may_run_to_eight_years_when_extended() -> None:
    """EBO s32(3), case I15: due after six years; with every extension at most eight years."""
    rail = case("I15")
    years, most = rail["inputs"]["base_years"], rail["expected"]["max_years"]
    assert f"every {years} years" in law("EBO s32(3)")
    start = date(2020, 5, 31)
    last = date(start.year + most, start.month, start.day)
    due = date(start.year + years, start.month, start.day)
    kind = VehicleType("rail", "Rail car", 25.0, years * 12.0, late_days=(last - due).days)
    vehicle = Vehicle("401", "rail", "east", "running", date(2010, 1, 1), start)
    found = due_windows([vehicle], [kind], [], PLAN, HORIZON_END)[0]
    assert (found.due, found.limit) == (due, last)


@pytest.mark.parametrize("interval_of", ["main", "safety"])
def test_lorry_above_twelve_tonnes(interval_of: str) -> None:
    """StVZO annex VIII 2.1.4.4, case I17: main inspection each 12 months, safety check at 6."""
    lorry = case("I17")
    months = {
        "main": lorry["expected"]["main_inspection_months"][1],
        "safety": lorry["expected"]["safety_check_months_after_main"][1][0],
    }[interval_of]
    kind = VehicleType("lorry", "Lorry", 1.0, float(months), early_days=30)
    vehicle = Vehicle("501", "lorry", "east", "running", date(2023, 9, 30), date(2026, 1, 31))
    windows = due_windows([vehicle], [kind], [], PLAN, HORIZON_END)
    # Worked by hand: 31 January + 12 months = 31 January, + 6 months = 31 July.
    assert windows[0].due == {"main": date(2027, 1, 31), "safety": date(2026, 7, 31)}[interval_of]
    # Until 2030-03-01 it comes about every `months` months: visits by count of the interval.
    assert len(windows) == pytest.approx((2030.16 - 2026.08) * 12 / months, abs=1)
