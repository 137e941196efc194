"""Small works and due windows for the tests of the call-in programme; all invented."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from random import Random

from pacewright.base.settings import PaceStep, Shutdown
from pacewright.fleet.tables import Depot, Vehicle, VehicleType
from pacewright.fleet.windows import DueBy, DueWindow, Standing
from pacewright.works import Works
from small_works import small_works

START = date(2026, 3, 9)
"""A Monday."""


@dataclass(frozen=True)
class Ask:
    """One window in days from START: opens, due, limit, latest; of a depot and a type."""

    opens: int
    due: int
    latest: int
    depot: str = "north"
    type_id: str = "solo"
    limit: int | None = None
    sd_days: float = 0.0
    vehicle: str = ""
    visit: int = 1


def windows_of(asks: Sequence[Ask]) -> tuple[DueWindow, ...]:
    """Due windows of the asks; vehicles v0, v1, ... where no other is named."""

    def day(number: int) -> date:
        return START + timedelta(days=number)

    return tuple(
        DueWindow(
            vehicle_id=ask.vehicle or f"v{number}",
            type_id=ask.type_id,
            depot_id=ask.depot,
            visit=ask.visit,
            standing=Standing.OVERDUE if (ask.limit or ask.latest) < 0 else Standing.DUE,
            opens=day(ask.opens),
            due=day(ask.due),
            limit=day(ask.latest if ask.limit is None else ask.limit),
            latest=day(ask.latest),
            due_by=DueBy.TIME,
            sd_days=ask.sd_days,
            limit_sd_days=ask.sd_days,
        )
        for number, ask in enumerate(asks)
    )


def works_of(
    weeks: int,
    pace: float | Sequence[tuple[int, float]] | None,
    depots: Sequence[Depot] = (Depot("north", "North depot"), Depot("south", "South depot")),
    types: Sequence[VehicleType] = (
        VehicleType("solo", "Two-axle bus", 15, 48),
        VehicleType("long", "Three-axle bus", 18, 36),
    ),
    **settings: object,
) -> Works:
    """A works over some weeks from START; pace as vehicles a week or (day, pace) steps.

    ``settings`` are of the plan, but ``inside`` (vehicles), ``closed`` (pairs of days shut) and
    ``holidays`` (days) alter vehicles and calendar.
    """
    base = small_works()
    steps = [(0, pace)] if isinstance(pace, int | float) else pace or ()
    inside: Sequence[Vehicle] = settings.pop("inside", ())  # type: ignore[assignment]
    closed = settings.pop("closed", ())
    holidays = settings.pop("holidays", ())
    day = timedelta(days=1)
    calendar = replace(
        base.settings.calendar,
        holidays=tuple(START + number * day for number in holidays),  # type: ignore[attr-defined]
        shutdowns=tuple(
            Shutdown("shut", START + first * day, START + last * day)
            for first, last in closed  # type: ignore[attr-defined]
        ),
    )
    plan = replace(
        base.settings.plan,
        today=START,
        start=START,
        horizon_weeks=weeks,
        pace=tuple(PaceStep(START + number * day, level) for number, level in steps),
        **settings,  # type: ignore[arg-type]
    )
    kept = {one.type_id for one in types}
    return replace(
        base,
        settings=replace(base.settings, calendar=calendar, plan=plan),
        depots=tuple(depots),
        vehicle_types=tuple(types),
        assemblies=tuple(a for a in base.assemblies if a.type_id in kept),
        vehicles=tuple(inside),
        readings=(),
    )


def random_case(seed: int, most: int = 12, weeks: int = 6) -> tuple[Works, tuple[DueWindow, ...]]:
    """A small works with every kind of limit now and then, and windows of every shape."""
    rng = Random(seed)

    def sometimes(low: int, high: int) -> int | None:
        return rng.randint(low, high) if rng.random() < 0.5 else None

    depots = [
        Depot("north", "North depot", sometimes(1, 3), rng.choice([0, 0.5, 1])),
        Depot("south", "South depot", sometimes(1, 3), 0),
    ]
    types = [
        VehicleType("solo", "Two-axle bus", rng.choice([4, 8, 10]), 48, week_limit=sometimes(1, 2)),
        VehicleType("long", "Three-axle bus", rng.choice([5, 12]), 36, week_limit=sometimes(1, 2)),
    ]
    inside = [
        Vehicle(
            f"in{n}",
            "solo",
            "north",
            "inside",
            START,
            gate_in=START - timedelta(days=n * 9),
            promised=START + timedelta(days=12) if n else None,
        )
        for n in range(rng.choice([0, 0, 1, 2]))
    ]
    works = works_of(
        weeks,
        rng.choice([1, 2, 2.5, 3.3, [(0, 1), (17, 3)]]),
        depots,
        types,
        inside=inside,
        closed=[(14, 20)] if rng.random() < 0.4 else [],
        holidays=[3] if rng.random() < 0.3 else [],
        inside_limit=sometimes(2, 6),
        firm_weeks=2,
        planned_weeks=4,
    )
    asks = []
    for _ in range(rng.randint(1, most)):
        due = rng.randint(-6, 7 * weeks + 4)
        latest = due + rng.choice([0, 0, 3, 12, -5])
        asks.append(
            Ask(
                opens=min(due, latest) - rng.choice([0, 4, 10, 25]),
                due=due,
                latest=latest,
                limit=max(due, latest) + rng.choice([0, 4]),
                depot=rng.choice(["north", "south"]),
                type_id=rng.choice(["solo", "long"]),
                sd_days=rng.choice([0.0, 8.0]),
            )
        )
    return works, windows_of(asks)


def booked_case(seed: int, most: int = 12, weeks: int = 6) -> tuple[Works, tuple[DueWindow, ...]]:
    """A case in which about two of five are called in: before the plan, in it, after it, overdue.

    Today is the Thursday before the plan starts.
    """
    works, windows = random_case(seed, most, weeks)
    rng, day = Random(seed), timedelta(days=1)
    rows = [
        Vehicle(
            one.vehicle_id,
            one.type_id,
            one.depot_id,
            rng.choice(["running", "standing"]),
            date(2018, 5, 1),
            called_for=START + rng.randint(-8, 7 * weeks + 6) * day,
        )
        for one in windows
        if rng.random() < 0.4
    ]
    plan = replace(works.settings.plan, today=START - 4 * day)
    settings = replace(works.settings, plan=plan)
    return replace(works, settings=settings, vehicles=(*works.vehicles, *rows)), windows
