"""The settings of a works."""

import tomllib
from datetime import date
from typing import Any

import pytest
from pydantic import TypeAdapter, ValidationError

from pacewright.base.settings import Settings, Shift
from small_works import SETTINGS

READ = TypeAdapter(Settings).validate_python


def settings(**plan: Any) -> dict[str, Any]:
    """The small works' settings with some of ``[plan]`` changed."""
    cells = tomllib.loads(SETTINGS)
    cells["plan"] |= plan
    return cells


def test_a_day_shift_counts_its_break_out() -> None:
    """07:00 to 15:30 with half an hour's break is eight hours."""
    calendar = READ(settings()).calendar.calendar(date(2026, 1, 1), date(2026, 12, 31))
    assert calendar.hours_a_day == pytest.approx(8.0)


def test_a_night_shift_runs_over_midnight() -> None:
    """22:00 to 06:00 with half an hour's break is seven and a half hours."""
    shift = TypeAdapter(Shift).validate_python(
        {"name": "night", "starts": "22:00", "ends": "06:00", "break_minutes": 30}
    )
    assert shift.hours == pytest.approx(7.5)


BROKEN = [
    ({"start": date(2026, 1, 5)}, "today"),
    ({"planned_weeks": 4}, "planned_weeks"),
    ({"light_scope": 1.2}, "light_scope"),
    ({"pace": [{"starts": date(2026, 5, 1), "vehicles_a_week": 2}]}, "pace steps"),
    ({"readiness_target": 1.0}, "between 0 and 1"),
    ({"promise_target": 1.0}, "between 0 and 1"),
    ({"horizon_weeks": 0}, "horizon_weeks"),
    ({"speed": 4}, "speed"),
]


@pytest.mark.parametrize(("plan", "word"), BROKEN)
def test_impossible_settings_are_refused(plan: dict[str, Any], word: str) -> None:
    """Each rule of the plan's settings refuses what breaks it and names it."""
    with pytest.raises(ValidationError) as caught:
        READ(settings(**plan))
    assert word in str(caught.value)


def test_shifts_longer_than_a_day_are_refused() -> None:
    """Shifts of more than 24 hours together cannot be worked."""
    cells = settings()
    long = {"name": "x", "starts": "06:00", "ends": "23:00"}
    cells["calendar"]["shifts"] = [long, {**long, "name": "y"}]
    with pytest.raises(ValidationError, match="24 hours"):
        READ(cells)
