"""A small works under every chance, and the plan it is held against; for tests of forecasts.

Two parted assemblies, a charge, a test that fails, a float, people, a gate limit. All invented.
"""

from dataclasses import replace
from datetime import date, timedelta
from functools import cache

from pacewright.base.settings import PaceStep
from pacewright.fleet.tables import Depot, Vehicle
from pacewright.office.planning import make_plan
from pacewright.parts.tables import UnitKind
from pacewright.plans.plan import Plan
from pacewright.shops.tables import Stage, Upset
from pacewright.works import Works
from tiny_flow import BODY_AND_FRAME, MONDAY, crew, fits, held, kind, operation, stage, tiny_works


def loosened(one: Stage) -> Stage:
    """The stage with hours that scatter."""
    return replace(one, hours_least=one.hours_usual * 0.6, hours_most=one.hours_usual * 1.6)


@cache
def busy_works() -> Works:
    """About four vehicles a week come in; positions and people are scarce enough to queue."""
    stages = [
        stage("strip", 5, crew=2, positions=1),
        stage("body", 9, "strip", assembly_id="body", positions=2, crew=1),
        stage("bake", 2, "body", assembly_id="body", positions=2, batch_size=2),
        stage("frame", 6, "strip", assembly_id="frame", positions=2, crew=1),
        stage("marry", 4, "bake frame", crew=2),
        stage("test", 3, "marry", first_pass_share=0.8, rectify_hours=3.0, crew=1),
    ]
    kinds: tuple[UnitKind, ...] = (
        kind("motor", "strip", "marry", 6.0, turn_sd_days=2.0, removal_share=0.9),
        kind("valve", "strip", "frame", 3.0, lot_size=2, scrap_share=0.1, purchase_days=10.0),
    )
    fleet = tuple(
        Vehicle(f"b{n}", "bus", "north", "running", date(2014, 1, 1), _last_overhaul(n))
        for n in range(120)
    )
    return tiny_works(
        [loosened(one) for one in stages],
        {"horizon_weeks": 30, "inside_limit": 12, "pace": (PaceStep(MONDAY, 4.0),)},
        assemblies=BODY_AND_FRAME,
        people=(crew(3.0, attendance_share=0.9),),
        operations=(
            operation("strip", 6),
            operation("body", 8, occurrence_share=0.7),
            operation("test", 2),
        ),
        unit_kinds=kinds,
        fits=fits(*kinds),
        floats=(held("motor", 3, 1), held("valve", 2)),
        upsets=(Upset("crane", 20.0, 6.0, stage_id="marry"),),
        depots=(Depot("north", "North", late_share=0.2, late_days=2.0),),
        vehicles=fleet,
    )


def _last_overhaul(n: int) -> date:
    """So that four a week come due, one after another."""
    return MONDAY - timedelta(1461 - 20) + timedelta(7 * n / 4)


@cache
def busy_plan() -> Plan:
    """Its plan."""
    return make_plan(busy_works())
