"""The section on the route: one drawing a type, by working day from gate-in."""

from dataclasses import dataclass

from pacewright.plans.line import TypeTurn
from pacewright.plans.plan import Plan
from pacewright.reports.drawings.route_map import Step, route_map
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.html_table import html_table
from pacewright.reports.line_tables import line_tables
from pacewright.shops.tables import WHOLE
from pacewright.works import Works


@dataclass(frozen=True, slots=True)
class TypeRoute:
    """One type: its name, its turn time if known, its drawing, and its stages as a table."""

    type_id: str
    name: str
    turn: TypeTurn | None
    drawing: Drawing


@dataclass(frozen=True, slots=True)
class RouteSection:
    """What the template of the section needs."""

    routes: tuple[TypeRoute, ...]
    route_table: Drawing
    turns_table: Drawing


def route_section(plan: Plan, works: Works) -> RouteSection:
    """The section of one plan."""
    tables = {one.name: one for one in line_tables(plan.line, works)}
    turns = {turn.type_id: turn for turn in plan.line.turns}
    return RouteSection(
        routes=tuple(
            TypeRoute(
                t.type_id, t.name, turns.get(t.type_id), _drawing(place, t.type_id, plan, works)
            )
            for place, t in enumerate(works.vehicle_types)
        ),
        route_table=html_table(tables["route"], filters=("type_id",)),
        turns_table=html_table(tables["type_turns"]),
    )


def _drawing(place: int, type_id: str, plan: Plan, works: Works) -> Drawing:
    stages = {stage.stage_id: stage for stage in works.stages}
    names = {a.assembly_id: a.name for a in works.assemblies if a.type_id == type_id}
    steps = [
        Step(
            row.stage_id,
            stages[row.stage_id].name if row.stage_id in stages else row.stage_id,
            names.get(stages[row.stage_id].assembly_id, WHOLE) if row.stage_id in stages else WHOLE,
            row.earliest_start_day,
            row.earliest_end_day,
            row.latest_end_day,
            row.critical,
        )
        for row in plan.line.route
        if row.type_id == type_id
    ]
    route = works.routes[type_id]
    links = [(before, after) for after, earlier in route.follows.items() for before in earlier]
    return route_map(
        f"route{place}", f"Route of type {type_id} by working day", steps, links, WHOLE
    )
