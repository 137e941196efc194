"""The settings of a works: the file ``works.toml``."""

from datetime import date
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator
from pydantic.dataclasses import dataclass

from pacewright.base.calendar import WorkCalendar, closed_days
from pacewright.base.columns import (
    ROW,
    Clock,
    CountOne,
    Day,
    Name,
    Number,
    Positive,
    Rule,
    Share,
    YesNo,
    says,
)

Weekday = Annotated[
    Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"],
    Rule("A weekday: mon tue wed thu fri sat sun.", "Write one of these."),
]
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
HorizonWeeks = Annotated[
    int,
    Field(ge=1, le=520),
    Rule("A whole number of weeks from 1 to 520, ten years.", "Write a whole number."),
]
DistanceUnit = Annotated[Literal["km", "mi"], Rule("km or mi.", "Write km or mi.")]


@dataclass(frozen=True, slots=True, config=ROW)
class Shift:
    """One shift of the working day."""

    name: Annotated[Name, says("name of the shift")]
    starts: Annotated[Clock, says("clock time at which it starts")]
    ends: Annotated[Clock, says("clock time at which it ends; earlier than its start: next day")]
    break_minutes: Annotated[Number, says("unpaid pause in it [min]")] = 0.0

    @property
    def hours(self) -> float:
        """Working hours of the shift [h]."""
        start = self.starts.hour + self.starts.minute / 60
        end = self.ends.hour + self.ends.minute / 60
        return (end - start) % 24 - self.break_minutes / 60


@dataclass(frozen=True, slots=True, config=ROW)
class Shutdown:
    """A stretch in which the whole works is closed."""

    name: Annotated[Name, says("name of the shutdown")]
    first: Annotated[Day, says("first day closed")]
    last: Annotated[Day, says("last day closed")]

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if self.last < self.first:
            raise ValueError(f"a shutdown ends on or after its first day {self.first}")
        return self


@dataclass(frozen=True, slots=True, config=ROW)
class CalendarSettings:
    """When the works works."""

    shifts: Annotated[tuple[Shift, ...], Field(min_length=1), says("shifts of a working day")]
    working_weekdays: Annotated[
        tuple[Weekday, ...], Field(min_length=1), says("weekdays that are worked")
    ] = ("mon", "tue", "wed", "thu", "fri")
    holidays: Annotated[tuple[Day, ...], says("single days not worked")] = ()
    shutdowns: Annotated[tuple[Shutdown, ...], says("stretches not worked")] = ()

    @model_validator(mode="after")
    def _possible(self) -> Self:
        hours = [shift.hours for shift in self.shifts]
        if min(hours) <= 0 or sum(hours) > 24:
            raise ValueError("each shift is longer than its break, and together at most 24 hours")
        return self

    def calendar(self, first: date, last: date) -> WorkCalendar:
        """The calendar over a stretch of dates."""
        return WorkCalendar(
            weekdays=frozenset(WEEKDAYS.index(day) for day in self.working_weekdays),
            closed=closed_days(self.holidays, ((s.first, s.last) for s in self.shutdowns)),
            first=first,
            last=last,
            hours_a_day=sum(shift.hours for shift in self.shifts),
        )


@dataclass(frozen=True, slots=True, config=ROW)
class PaceStep:
    """How many vehicles a full week may call in from a date on (a ramp has several)."""

    starts: Annotated[Day, says("first day the step holds")]
    vehicles_a_week: Annotated[Positive, says("vehicles a week of full working days")]


@dataclass(frozen=True, slots=True, config=ROW)
class PlanSettings:
    """What the plan is to cover and to reach."""

    today: Annotated[Day, says("day to which everything in the folder is known")]
    start: Annotated[Day, says("first day that may still be planned, today or later")]
    horizon_weeks: Annotated[HorizonWeeks, says("weeks planned from the start on")]
    pace: Annotated[
        tuple[PaceStep, ...],
        says("able pace and its ramp; left out: the plan runs at the least pace that fits"),
    ] = ()
    firm_weeks: Annotated[CountOne, says("weeks from start whose call-ins are firm")] = 13
    planned_weeks: Annotated[
        CountOne, says("weeks from start to the end of the planned zone; beyond is outline")
    ] = 52
    guard: Annotated[
        Number,
        says("standard deviations of the firm-zone forecast error kept clear of a distance limit"),
    ] = 1.0
    inside_limit: Annotated[
        CountOne | None, says("most vehicles inside the works at once; left out: no limit")
    ] = None
    readiness_target: Annotated[
        Share, says("wanted chance that all units of a vehicle are there on the day")
    ] = 0.95
    position_confidence: Annotated[
        Share, says("wanted chance that a vehicle or assembly finds a free position at once")
    ] = 0.95
    promise_target: Annotated[
        Share, says("wanted share of promises kept: the day to promise is kept so often")
    ] = 0.9
    robbing: Annotated[
        YesNo, says("yes: a unit may be taken off a vehicle that waits for another part")
    ] = False
    rob_hours: Annotated[
        Number, says("work that taking one off costs each of the two vehicles [working hours]")
    ] = 2.0
    light_scope: Annotated[
        Positive, says("scope over standard hours below which a vehicle counts as light")
    ] = 0.95
    heavy_scope: Annotated[
        Positive, says("scope over standard hours above which a vehicle counts as heavy")
    ] = 1.05

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if self.start < self.today:
            raise ValueError(f"start is today ({self.today}) or later")
        if self.planned_weeks < self.firm_weeks:
            raise ValueError("planned_weeks is at least firm_weeks")
        starts = [step.starts for step in self.pace]
        if starts != sorted(set(starts)) or (starts and starts[0] > self.start):
            raise ValueError("pace steps stand in order of date, the first not after start")
        wanted = self.readiness_target, self.position_confidence, self.promise_target
        if not all(0 < share < 1 for share in wanted):
            raise ValueError(
                "readiness_target, position_confidence and promise_target lie between 0 and 1"
            )
        if self.light_scope > self.heavy_scope:
            raise ValueError("light_scope is at most heavy_scope")
        return self


@dataclass(frozen=True, slots=True, config=ROW)
class Settings:
    """Everything in ``works.toml``."""

    name: Annotated[Name, says("name of the works")]
    calendar: Annotated[CalendarSettings, says("when the works works")]
    plan: Annotated[PlanSettings, says("what the plan is to cover and reach")]
    distance_unit: Annotated[DistanceUnit, says("unit of every odometer and distance")] = "km"
