"""All cross-checks of a works, and what the planner should know though nothing is wrong.

Each check is a function named for its rule; its parameters say which tables it needs, and it is
run when all of these are sound. So one faulty table does not hide the faults of the others, and
does not make false ones either.
"""

import inspect
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import timedelta
from typing import Any

from pacewright.base.faults import Finding
from pacewright.base.keys import Known, twice_given, unknown_names
from pacewright.base.settings import PlanSettings, Settings
from pacewright.fleet import checks as fleet_checks
from pacewright.fleet.tables import Vehicle
from pacewright.parts import checks as parts_checks
from pacewright.parts import pair_checks
from pacewright.parts.tables import UnitKind
from pacewright.shops import checks as shops_checks
from pacewright.shops import route_checks
from pacewright.shops.route import Route, RouteLoopError, route_of
from pacewright.shops.tables import Upset
from pacewright.works import TABLES, Works

Check = Callable[..., Iterator[Finding]]
LEAST_PACE_A_WEEK = 1 / 52
"""One vehicle a year."""


def pace_is_felt(plan: PlanSettings) -> Iterator[Finding]:
    """Each step of the pace lets in at least one vehicle a year."""
    for place, step in enumerate(plan.pace, start=1):
        if step.vehicles_a_week < LEAST_PACE_A_WEEK:
            yield Finding(
                "works.toml",
                None,
                f"plan.pace.{place}.vehicles_a_week",
                f"{step.vehicles_a_week:g} vehicles a week",
                "A pace step lets in at least one vehicle a year; a closed works has a shutdown.",
                "Give vehicles a week, or enter the shutdown in the calendar.",
            )


def pace_within_fleet(plan: PlanSettings, vehicles: Sequence[Vehicle]) -> Iterator[Finding]:
    """No step of the pace lets in more vehicles a week than the fleet has."""
    for place, step in enumerate(plan.pace, start=1):
        if step.vehicles_a_week > len(vehicles):
            yield Finding(
                "works.toml",
                None,
                f"plan.pace.{place}.vehicles_a_week",
                f"{step.vehicles_a_week:g} vehicles a week from a fleet of {len(vehicles)}",
                "A week does not let in more vehicles than there are.",
                "Give vehicles a week.",
            )


def some_day_is_worked(settings: Settings) -> Iterator[Finding]:
    """The horizon has at least one working day."""
    plan = settings.plan
    last = plan.start + timedelta(weeks=plan.horizon_weeks)
    if not settings.calendar.calendar(plan.start, last).days:
        yield Finding(
            "works.toml",
            None,
            "calendar",
            f"no day from {plan.start} to {last} is worked",
            "The horizon has at least one working day.",
            "Correct working_weekdays, holidays or shutdowns.",
        )


def inside_on_its_route(
    vehicles: Sequence[Vehicle], routes: Mapping[str, Route]
) -> Iterator[Finding]:
    """A vehicle inside stands at a stage of its type's route."""
    passed = {name: {one.stage_id for one in route.stages} for name, route in routes.items()}
    for index, one in enumerate(vehicles):
        if one.stage_id is not None and one.stage_id not in passed[one.type_id]:
            yield Finding(
                "vehicles",
                index,
                "stage_id",
                f"vehicle {one.vehicle_id} stands at {one.stage_id}, which type {one.type_id} "
                "does not pass",
                "A vehicle inside stands at a stage of its route.",
                "Correct the stage, or the type.",
            )


def upset_takes_a_bench(
    upsets: Sequence[Upset], unit_kinds: Sequence[UnitKind]
) -> Iterator[Finding]:
    """An upset of a unit kind takes a bench from a kind whose benches are given."""
    free = {one.unit_kind_id for one in unit_kinds if one.benches is None}
    for index, one in enumerate(upsets):
        if one.unit_kind_id in free:
            yield Finding(
                "upsets",
                index,
                "unit_kind_id",
                f"unit kind {one.unit_kind_id} has no benches to lose",
                "An upset takes a bench from a unit kind whose benches are given.",
                "Give benches and bench_hours of the kind, or delete the upset.",
            )


CHECKS: tuple[Check, ...] = (
    pace_is_felt,
    pace_within_fleet,
    some_day_is_worked,
    *fleet_checks.CHECKS,
    *shops_checks.CHECKS,
    *route_checks.CHECKS,
    *parts_checks.CHECKS,
    *pair_checks.CHECKS,
    inside_on_its_route,
    upset_takes_a_bench,
)
"""Every check of one rule, in the order of the column reference."""


def findings(works: Works) -> tuple[Finding, ...]:
    """Every fault of a works that lies between its cells.

    Parameters
    ----------
    works : a works whose cells are sound, for instance one made by a program.

    Returns
    -------
    The findings; none when the works can be planned.
    """
    models: tuple[Any, ...] = TABLES
    known = {}
    for model in models:
        rows = getattr(works, model.TABLE)
        known[model.TABLE] = Known(rows, {getattr(row, model.KEY[0]) for row in rows})
    return findings_in(known, works.settings)


def findings_in(known: Mapping[str, Known], settings: Settings | None) -> tuple[Finding, ...]:
    """Every fault between the cells, as far as the sound tables let it be told.

    Parameters
    ----------
    known : the tables that could be read.
    settings : None when they are faulty themselves.
    """
    found = [*twice_given(TABLES, known), *unknown_names(TABLES, known)]
    broken = {one.table for one in found} | {name for name, one in known.items() if not one.whole}
    subjects: dict[str, Any] = {name: one.rows for name, one in known.items() if name not in broken}
    if settings is not None:
        subjects |= {"settings": settings, "plan": settings.plan}
    subjects |= _derived(subjects, settings)
    for check in CHECKS:
        needed = inspect.signature(check).parameters
        if all(name in subjects for name in needed):
            found += check(**{name: subjects[name] for name in needed})
    return tuple(found)


def _derived(subjects: Mapping[str, Any], settings: Settings | None) -> dict[str, Any]:
    """What checks need beyond the tables themselves, as far as it can be made."""
    made: dict[str, Any] = {}
    if "readings" in subjects:
        made["histories"] = fleet_checks.histories(subjects["readings"])
    if "vehicle_types" in subjects:
        made["type_ids"] = tuple(one.type_id for one in subjects["vehicle_types"])
    if "stages" in subjects:
        made["shop_of_stage"] = {one.stage_id: one.shop_id for one in subjects["stages"]}
    if "people" in subjects:
        made["manned"] = _manned(subjects["people"])
    if "shops" in subjects and settings is not None:
        usual = sum(shift.hours for shift in settings.calendar.shifts)
        made["shop_hours"] = {s.shop_id: s.hours_a_day or usual for s in subjects["shops"]}
    if {"stages", "assemblies"} <= subjects.keys() and "type_ids" in made:
        made |= _routes(made["type_ids"], subjects["stages"], subjects["assemblies"])
    return made


def _manned(people: Sequence[Any]) -> dict[str, frozenset[str]]:
    able = [one for one in people if one.people > 0 and one.attendance_share > 0]
    return {
        shop_id: frozenset(one.trade_id for one in able if one.shop_id == shop_id)
        for shop_id in {one.shop_id for one in able}
    }


def _routes(
    type_ids: Sequence[str], stages: Sequence[Any], assemblies: Sequence[Any]
) -> dict[str, Any]:
    try:
        routes = {name: route_of(name, stages, assemblies) for name in type_ids}
    except RouteLoopError:
        return {}
    passes = {
        name: {
            later.stage_id: frozenset(
                one.stage_id
                for one in route.stages
                if route.is_before(one.stage_id, later.stage_id)
            )
            for later in route.stages
        }
        for name, route in routes.items()
    }
    return {"routes": routes, "passes": passes}


def notes(works: Works) -> tuple[str, ...]:
    """What was assumed where the tables say nothing; nothing here stops a plan."""
    return tuple(
        note for one in (_float_notes, _reading_notes, _calendar_notes) for note in one(works)
    )


def _float_notes(works: Works) -> Iterator[str]:
    held = {one.unit_kind_id for one in works.floats}
    without = [one.unit_kind_id for one in works.unit_kinds if one.unit_kind_id not in held]
    if without:
        yield f"floats.csv: no units held of {_some(without)}; 0 is taken."


def _reading_notes(works: Works) -> Iterator[str]:
    by_distance = {one.type_id for one in works.vehicle_types if one.interval_distance is not None}
    read = {one.vehicle_id for one in works.readings}
    use = [v for v in works.vehicles if v.state != "withdrawn" and v.type_id in by_distance]
    without = [one.vehicle_id for one in use if one.vehicle_id not in read]
    if without:
        yield (
            f"readings.csv: no reading of {_some(without)}; their odometer is unknown, "
            "which is never taken for not due."
        )


def _calendar_notes(works: Works) -> Iterator[str]:
    calendar = works.settings.calendar
    last = max([*calendar.holidays, *(one.last for one in calendar.shutdowns)], default=None)
    end = works.horizon_end()
    if last is None:
        yield "works.toml: no holidays or shutdowns are given; every weekday of the plan is worked."
    elif (end - last).days > 366:
        yield f"works.toml: no day after {last} is closed, though the plan runs to {end}."


def _some(names: Sequence[str]) -> str:
    shown = ", ".join(names[:5])
    return f"{shown} and {len(names) - 5} more" if len(names) > 5 else shown
