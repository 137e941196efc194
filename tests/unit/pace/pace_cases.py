"""Small invented works and programmes for the tests of the line."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

from pacewright.plans.card import ResultCard
from pacewright.plans.programme import Call, LeastPace, Programme, ProgrammeWeek, Zone
from pacewright.works import Works
from small_works import Tables, small_works

DAY = date(2026, 3, 9)


def programme(
    pace_a_day: float, calls: tuple[Call, ...] = (), weeks: tuple[ProgrammeWeek, ...] = ()
) -> Programme:
    """A programme at a pace; without calls the mix is that of the fleet."""
    return Programme(
        card=ResultCard("invented", "optimal", 0.0, 0.0, 0.0, "days", 0.0),
        least_pace=LeastPace(pace_a_day, 5 * pace_a_day, DAY, DAY, 1, 1),
        pace_a_day=pace_a_day,
        weeks=weeks,
        calls=calls,
        unplaced=(),
        reliefs=(),
        depot_weeks=(),
    )


def call(type_id: str, number: int = 1, zone: Zone = Zone.FIRM) -> Call:
    """One call-in of a type."""
    return Call(
        vehicle_id=f"v{number}",
        type_id=type_id,
        depot_id="north",
        visit=1,
        week=0,
        day=DAY,
        order=number,
        zone=zone,
        opens=DAY,
        due=DAY,
        limit=DAY,
        latest=DAY,
        due_by="time",
        life_given_days=0,
        spare_days=0,
        chance_past_limit=0.0,
    )


def programme_week(index: int, called: int, zone: Zone, days: int = 5) -> ProgrammeWeek:
    """One week that calls so many in."""
    return ProgrammeWeek(
        index, f"2026-W{11 + index}", DAY, days, called, called, {"solo": called}, 0, zone
    )


def one_type(change: Callable[[Tables], None]) -> Works:
    """A works of one type, with no plant, unit or campaign, changed as the test wants."""

    def trim(tables: Tables) -> None:
        tables["vehicle_types"] = tables["vehicle_types"][:1]
        tables["vehicles"] = tables["vehicles"][:2]
        tables["assemblies"] = tables["assemblies"][:2]
        for name in ("plant", "plant_loads", "campaigns", "unit_kinds", "fits", "floats"):
            tables[name] = []
        tables["operations"] = []
        change(tables)

    return small_works(trim)


def stage_row(stage_id: str, days: float, **cells: object) -> dict[str, str]:
    """A stage of so many eight-hour days, without scatter unless the cells say so."""
    hours = str(8 * days)
    row: dict[str, object] = {
        "stage_id": stage_id,
        "name": stage_id,
        "shop_id": "strip",
        "assembly_id": "vehicle",
        "positions": 1,
        "hours_least": hours,
        "hours_usual": hours,
        "hours_most": hours,
    }
    return {name: str(cell) for name, cell in {**row, **cells}.items()}


def works_of_stages(rows: list[dict[str, str]], **pieces: int) -> Works:
    """A works of one type with these stages; ``pieces``: assembly -> how many a vehicle has."""

    def change(tables: Tables) -> None:
        tables["stages"] = rows
        tables["assemblies"] = [
            {"type_id": "solo", "assembly_id": name, "name": name, "count": str(count)}
            for name, count in pieces.items()
        ]

    return one_type(change)


def with_confidence(works: Works, confidence: float) -> Works:
    """The same works with another wanted confidence of positions."""
    plan = replace(works.settings.plan, position_confidence=confidence)
    return replace(works, settings=replace(works.settings, plan=plan))
