"""Spells of units off vehicles and stays on them, event by event."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta

import numpy as np
import pytest

from pacewright.base.settings import CalendarSettings
from pacewright.events.gate import Admitted, Arrived, OdometerRead, Released
from pacewright.events.identity import Parted
from pacewright.events.things import WHOLE, Event, Piece, Unit, Verdict
from pacewright.events.units import (
    Cleared,
    Fitted,
    Quarantined,
    Reconditioned,
    Removed,
    Robbed,
    Scrapped,
    Sent,
    UnitFound,
)
from pacewright.life.cells import Cell
from pacewright.life.censored import Lives
from pacewright.life.evidence import Evidence, gather
from pacewright.life.part_lives import part_lives
from pacewright.life.turn_times import Turns, turns_of
from pacewright.life.unit_turns import End, scrapped_of
from pacewright.life.working_time import WorkingTime, monday_of, week_of
from small_works import small_works

MON = datetime(2026, 3, 2, 8)
M1, M2 = Unit("motor", "M-1"), Unit("motor", "M-2")
V1, V2 = Piece(WHOLE, "101"), Piece(WHOLE, "102")


def day(n: float) -> datetime:
    """So many days after the first Monday, at eight."""
    return MON + timedelta(days=n)


def evidence(events: Iterable[Event]) -> Evidence:
    """What the small works learns from these."""
    return gather(small_works(), events)


def ends(found: Evidence) -> list[End]:
    """How the spells of motors ended."""
    return [one.end for one in found.turns.spells["motor"]]


def test_every_end_of_a_spell() -> None:
    """Made good, scrapped, set aside, condemned and waiting, going on."""
    units = [Unit("motor", f"M-{n}") for n in range(5)]
    events: list[Event] = [Removed(day(0), one, V1) for one in units]
    events += [
        Reconditioned(day(3), units[0], "elec"),
        Scrapped(day(4), units[1], "burnt"),
        Quarantined(day(5), units[2], "odd noise"),
        UnitFound(day(6), units[3], "mt-1", Verdict.SCRAP),
    ]
    found = evidence(events)
    assert ends(found) == [End.MADE_GOOD, End.SCRAPPED, End.SET_ASIDE, End.SCRAPPED, End.GOING_ON]
    told = list(scrapped_of(found.turns.spells["motor"], day(1)))
    assert [scrapped for scrapped, _ in told] == [False, True, True, False]
    assert not list(scrapped_of(found.turns.spells["motor"], day(-1)))


def test_quarantine_is_part_of_the_turn_once_cleared() -> None:
    """Cleared and made good: one whole turn; not cleared: lasting at least until then."""
    events: list[Event] = [
        Removed(day(0), M1, V1),
        Removed(day(0), M2, V1),
        Quarantined(day(1), M1, "odd noise"),
        Quarantined(day(2), M2, "odd noise"),
        Cleared(day(7), M1, "i"),
        Reconditioned(day(9), M1, "elec"),
    ]
    spells = evidence(events).turns.spells["motor"]
    assert [(one.end, one.until) for one in spells] == [
        (End.MADE_GOOD, day(9)),
        (End.SET_ASIDE, day(2)),
    ]


def test_a_turn_of_gathered_units_begins_when_they_leave() -> None:
    """Valves go in lots of four: their turn is from leaving for the shop, as plans reckon it."""
    valve = Unit("valve", "V-1")
    events: list[Event] = [
        Removed(day(0), valve, V1),
        Sent(day(1), valve, "store"),
        Sent(day(2), valve, "run"),
        Reconditioned(day(7), valve, "run"),
        Removed(day(0), M1, V1),
        Sent(day(2), M1, "elec"),
        Reconditioned(day(7), M1, "elec"),
    ]
    found = evidence(events).turns.spells
    assert [one.began for one in (*found["valve"], *found["motor"])] == [day(2), day(0)]


def test_removals_count_by_the_vehicle_they_came_off() -> None:
    """Off an assembly they are the vehicle's it came from; a visit not seen whole says nothing."""
    body = Piece("body", "B-1")
    events: list[Event] = [
        Arrived(day(0), "101", "long", "north"),
        Admitted(day(0), "101"),
        Parted(day(0), "101", (body, Piece("chassis", "C-1"))),
        Removed(day(1), Unit("axle", "A-1"), Piece("chassis", "C-1")),
        Removed(day(1), Unit("axle", "A-1b"), Piece("chassis", "C-1")),
        Removed(day(1), Unit("axle", "A-1c"), Piece("chassis", "C-1")),
        Released(day(9), "101", "i"),
        Removed(day(1), Unit("axle", "A-2"), V2),
        Released(day(9), "102", "i"),
    ]
    counted = evidence(events).turns.removals[Cell("unit_kinds", "axle", "removal_share")]
    assert (counted.needed, counted.looked_at) == (2, 2)


def test_stays_on_vehicles_end_by_removal_only() -> None:
    """Removed: ended; robbed or still on: going on; distance where both readings are known."""
    events: list[Event] = [
        OdometerRead(day(0), "101", 1000.0),
        Fitted(day(1), M1, V1),
        Fitted(day(1), M2, V2),
        Fitted(day(1), Unit("motor", "M-3"), V1),
        OdometerRead(day(101), "101", 9000.0),
        Removed(day(101), M1, V1),
        Robbed(day(51), M2, V2, V1, "a", "b"),
    ]
    found = evidence(events)
    stays = found.turns.stays["motor"]
    assert [(round(one.days), one.distance, one.worn) for one in stays] == [
        (100, 8000.0, True),
        (50, None, False),
        (100, 8000.0, False),
    ]
    lives = list(part_lives(small_works(), found))
    assert [(one.measure, one.removed, one.on_vehicle) for one in lives] == [
        ("days", 1, 2),
        ("km", 1, 1),
    ]
    assert lives[0].shape is None


def test_lives_get_a_law_from_two_removals_on() -> None:
    """With removals at different ages there is a shape with its range, and the median."""
    draws = np.random.default_rng(1).weibull(3.0, 40) * 300 + 1
    events: list[Event] = []
    for n, days in enumerate(draws):
        unit = Unit("motor", f"U-{n}")
        events += [Fitted(day(0), unit, V1), Removed(day(float(days)), unit, V1)]
    [life] = list(part_lives(small_works(), evidence(events)))
    assert life.shape is not None and life.shape_low is not None and life.shape_high is not None
    assert life.shape_low < 3.0 < life.shape_high
    assert life.median == pytest.approx(float(np.median(draws)), rel=0.03)


def test_turns_are_measured_in_working_days() -> None:
    """Friday noon to Monday noon is one working day; nights and weekends do not count."""
    events: list[Event] = [
        Removed(datetime(2026, 3, 6, 11, 15), M1, V1),
        Reconditioned(datetime(2026, 3, 9, 11, 15), M1, "elec"),
    ]
    found = evidence(events)
    turns = turns_of(found.turns.spells["motor"], found.working)
    assert turns is not None
    assert turns.lives.lengths[0] == pytest.approx(1.0)
    assert turns_of([], found.working) is None


def test_working_time_minds_closed_days() -> None:
    """Holiday and weekend add nothing; outside the stretch its ends are taken."""
    settings = small_works().settings.calendar
    clock = WorkingTime(settings, date(2026, 3, 30), date(2026, 4, 12))
    assert clock.days_of_week(week_of(date(2026, 3, 30))) == 4
    thursday, tuesday = datetime(2026, 4, 2, 7), datetime(2026, 4, 7, 7)
    assert clock.at(tuesday) - clock.at(thursday) == 2
    assert clock.at(datetime(2026, 4, 4, 12)) == clock.at(datetime(2026, 4, 6, 7))
    assert clock.at(datetime(2020, 1, 1)) == 0
    assert monday_of(week_of(date(2026, 4, 5))) == date(2026, 3, 30)


def test_a_night_shift_s_day_is_its_whole_length() -> None:
    """Three shifts round the clock make a day of 24 hours."""
    from pydantic import TypeAdapter

    shifts = [
        {"name": f"s{n}", "starts": f"{6 + 8 * n:02d}:00", "ends": end}
        for n, end in enumerate(("14:00", "22:00", "06:00"))
    ]
    settings = TypeAdapter(CalendarSettings).validate_python({"shifts": shifts})
    clock = WorkingTime(settings, date(2026, 3, 2), date(2026, 3, 8))
    assert clock.at(datetime(2026, 3, 2, 18)) == pytest.approx(0.5)


def test_turns_of_one_week_are_worth_fewer() -> None:
    """All alike within weeks: as many as weeks; unlike: as many as turns (Kish's bounds)."""
    weeks = tuple(n // 10 for n in range(200))
    day_of = date(2026, 3, 2)
    draws = np.random.default_rng(2)
    alike = np.repeat(draws.lognormal(2, 0.5, 20), 10) * draws.lognormal(0, 1e-6, 200)
    unlike = draws.lognormal(2, 0.5, 200)

    def worth(lengths: np.ndarray) -> float:
        return Turns(Lives.of(lengths, [True] * 200), weeks, day_of, day_of).cases_worth

    assert worth(alike) == pytest.approx(20, rel=1e-3)
    assert worth(unlike) > 120
    one_week = Turns(Lives.of([1.0, 2.0], [True] * 2), weeks[:2], day_of, day_of)
    assert one_week.cases_worth == 2
