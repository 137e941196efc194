"""The settings of an invented works: shifts, days closed, and what the plan is to cover."""

import math
from collections.abc import Iterator
from datetime import date, time, timedelta
from typing import Any

from pacewright.base.settings import (
    CalendarSettings,
    PaceStep,
    PlanSettings,
    Settings,
    Shift,
    Shutdown,
)

# Weeks from the start in which the steps of the ramp come.
_RAMP_WEEKS = (0, 9, 26)


def first_day(today: date) -> date:
    """The Monday after ``today``, on which the plan starts."""
    return _monday_from(today + timedelta(days=1))


def calendar_settings(kind: dict[str, Any], today: date) -> CalendarSettings:
    """Shifts, holidays and shutdowns from a year before ``today`` to two years past the horizon."""
    closed = kind["closed"]
    last = today + timedelta(weeks=kind["horizon_weeks"] + 104)
    years = range(today.year - 1, last.year + 1)
    shutdowns = tuple(
        Shutdown(
            closed["shutdown_name"],
            first,
            first + timedelta(weeks=closed["shutdown_weeks"], days=-3),
        )
        for first in (_monday_from(_day(year, closed["shutdown_from"])) for year in years)
    )
    return CalendarSettings(
        shifts=tuple(
            Shift(one["name"], _clock(one["starts"]), _clock(one["ends"]), one["break_minutes"])
            for one in kind["shifts"]
        ),
        holidays=tuple(_weekdays(years, closed["holidays"])),
        shutdowns=shutdowns,
    )


def settings(
    kind: dict[str, Any],
    today: date,
    calendar: CalendarSettings,
    pace_a_week: float,
    turn_days: float,
) -> Settings:
    """The whole of ``works.toml``.

    Parameters
    ----------
    kind : settings of the catalogue.
    today : the plan's day; the plan starts on the Monday after.
    calendar : when the works works.
    pace_a_week : vehicles a full week that the fleet needs in the long run.
    turn_days : mean promised turn time [working days]; sets the room inside.
    """
    start = first_day(today)
    return Settings(
        name=kind["name"],
        distance_unit=kind["distance_unit"],
        calendar=calendar,
        plan=PlanSettings(
            today=today,
            start=start,
            horizon_weeks=kind["horizon_weeks"],
            pace=tuple(
                PaceStep(start + timedelta(weeks=weeks), rounded_up(pace_a_week * share))
                for weeks, share in zip(_RAMP_WEEKS, kind["ramp"], strict=True)
            ),
            firm_weeks=13,
            planned_weeks=52,
            inside_limit=math.ceil(pace_a_week / 5 * turn_days * 1.25) + 2,
            readiness_target=0.95,
            position_confidence=0.8,
            robbing=kind["robbing"],
            rob_hours=kind["rob_hours"],
        ),
    )


def rounded_up(pace_a_week: float) -> float:
    """A pace as people write it: whole above 100, tenths above 1, hundredths below."""
    parts = 1 if pace_a_week > 100 else 10 if pace_a_week > 1 else 100
    return math.ceil(pace_a_week * parts - 1e-9) / parts


def _weekdays(years: range, month_days: list[str]) -> Iterator[date]:
    for year in years:
        for month_day in month_days:
            day = _day(year, month_day)
            if day.weekday() < 5:
                yield day


def _monday_from(day: date) -> date:
    return day + timedelta(days=-day.weekday() % 7)


def _day(year: int, month_day: str) -> date:
    return date.fromisoformat(f"{year}-{month_day}")


def _clock(text: str) -> time:
    return time.fromisoformat(text)
