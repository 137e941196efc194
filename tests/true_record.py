"""A record told from stated truths, so that learning can be held against what is true.

Vehicles pass the small works one a working day; every true figure is given here, none is taken
from the tables. The events need not pass the fold: learning trusts the record.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

import numpy as np

from pacewright.events.gate import Admitted, Arrived, OdometerRead, Released
from pacewright.events.identity import Married, Parted
from pacewright.events.record import Attended
from pacewright.events.stages import Failed, Found, Moved, StageFinished, WorkEnded
from pacewright.events.things import WHOLE, Event, Piece, Unit, Verdict
from pacewright.events.units import Fitted, Reconditioned, Removed, Scrapped, UnitFound
from pacewright.works import Works

FIRST = date(2026, 3, 2)


@dataclass(frozen=True)
class Truth:
    """What is true of the works that the record comes from."""

    floor_renewal: float = 0.5
    rewind: float = 0.08
    axle_comes_off: float = 0.7
    motor_scrap: float = 0.15
    motor_days: float = 12.0
    motor_log_sd: float = 0.3
    test_passes: float = 0.8
    body_hours_over_standard: float = 1.25
    paint_hours_over_standard: float = 1.0
    attendance: float = 0.8


def told(works: Works, truth: Truth, days: int, seed: int = 1) -> list[Event]:
    """The record of so many working days, in order of time."""
    return sorted(_told(works, truth, days, np.random.default_rng(seed)), key=lambda one: one.at)


def working_days(works: Works, days: int) -> list[date]:
    """The first working days from ``FIRST`` on."""
    calendar = works.settings.calendar.calendar(FIRST, FIRST + timedelta(days=3 * days + 30))
    return list(calendar.days[:days])


def _told(works: Works, truth: Truth, days: int, draws: np.random.Generator) -> Iterator[Event]:
    worked = working_days(works, days)
    for n, day in enumerate(worked):
        yield Attended(
            datetime.combine(day, time(15)),
            "body",
            "body",
            day,
            6.0,
            float(48 * truth.attendance * draws.uniform(0.9, 1.1)),
        )
        yield from _visit(truth, n, day, draws)
        yield from _motor(truth, n, worked, draws)


def _visit(truth: Truth, n: int, day: date, draws: np.random.Generator) -> Iterator[Event]:
    number, clock = f"v{n}", _clock(day)
    whole = Piece(WHOLE, number)
    body, chassis = Piece("body", f"B{n}"), Piece("chassis", f"C{n}")
    yield Arrived(next(clock), number, "solo", "north")
    yield OdometerRead(next(clock), number, 100_000.0 + n)
    yield Admitted(next(clock), number)
    yield Moved(next(clock), whole, "strip", 1)
    if draws.random() < truth.axle_comes_off:
        yield Removed(next(clock), Unit("axle", f"A{n}"), whole)
    yield Removed(next(clock), Unit("motor", f"M{n}"), whole)
    verdict = Verdict.REPLACE if draws.random() < truth.floor_renewal else Verdict.USE
    yield Found(next(clock), whole, "bd-2", verdict)
    yield Found(next(clock), whole, "bd-1", Verdict.REPAIR)
    yield Parted(next(clock), number, (body, chassis))
    yield Moved(next(clock), body, "body", 1)
    standard = 44 + 26 * (verdict is Verdict.REPLACE)
    spread = draws.uniform(0.9, 1.1)
    over = truth.body_hours_over_standard
    yield WorkEnded(next(clock), body, "body", "body", float(standard * over * spread * 0.4))
    yield WorkEnded(next(clock), body, "body", "body", float(standard * over * spread * 0.6))
    yield StageFinished(next(clock), body, "body")
    yield Moved(next(clock), body, "bpaint", 1)
    over = truth.paint_hours_over_standard
    yield WorkEnded(
        next(clock), body, "bpaint", "paint", float(18 * over * draws.uniform(0.9, 1.1))
    )
    yield StageFinished(next(clock), body, "bpaint")
    yield Married(next(clock), number, (body, chassis))
    yield Fitted(next(clock), Unit("motor", f"N{n}"), whole)
    yield Moved(next(clock), whole, "test", 1)
    yield WorkEnded(next(clock), whole, "test", "fitter", 10.0)
    if draws.random() >= truth.test_passes:
        yield Failed(next(clock), whole, "test", "brake")
        yield WorkEnded(next(clock), whole, "test", "fitter", 99.0)
    yield StageFinished(next(clock), whole, "test")
    yield Released(next(clock), number, "inspector 1")


def _motor(truth: Truth, n: int, worked: list[date], draws: np.random.Generator) -> Iterator[Event]:
    """The motor of the visit is scrapped the next day or made good after its turn."""
    unit = Unit("motor", f"M{n}")
    if draws.random() < truth.motor_scrap:
        if n + 1 < len(worked):
            yield Scrapped(datetime.combine(worked[n + 1], time(9)), unit, "burnt")
        return
    days = draws.lognormal(np.log(truth.motor_days), truth.motor_log_sd)
    place = n + days + 0.08
    if int(place) >= len(worked):
        return
    at = datetime.combine(worked[int(place)], time(7)) + timedelta(hours=8.5 * (place % 1))
    verdict = Verdict.REPAIR if draws.random() < truth.rewind else Verdict.USE
    yield UnitFound(at - timedelta(minutes=1), unit, "mt-2", verdict)
    yield Reconditioned(at, unit, "elec")


def _clock(day: date) -> Iterator[datetime]:
    minute = 0
    while True:
        minute += 1
        yield datetime.combine(day, time(7, 30)) + timedelta(minutes=minute)
