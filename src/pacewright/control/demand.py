"""What the pace asks of each unit kind a working day, and where that figure comes from."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from pacewright.control.needs import Need
from pacewright.fleet.tables import VehicleType
from pacewright.plans.plan import Plan
from pacewright.works import Works

PLAN, PACE, NEEDS = "float list of the plan", "pace of works.toml", "vehicles inside"


@dataclass(frozen=True, slots=True)
class Demand:
    """Units taken off the pool.

    Parameters
    ----------
    a_day : unit kind -> units a working day, those for a second site included.
    vehicles_a_day : pace; None where it is not known.
    source : where the figures come from.
    """

    a_day: Mapping[str, float]
    vehicles_a_day: float | None
    source: str


def demand(
    works: Works,
    today: date,
    wanted: Sequence[Need],
    span_days: float,
    plan: Plan | None = None,
) -> Demand:
    """The demand of every unit kind at the pace.

    From the plan when there is one; else from the pace of works.toml and the fleet, each type
    called in as often as its interval says; else from what the vehicles inside still need.

    Parameters
    ----------
    span_days : working days over which the needs of those inside are spread; above 0.
    """
    site = {one.unit_kind_id: one.site_a_week / works.week_days for one in works.unit_kinds}
    if plan is not None:
        weekly = {one.unit_kind_id: one.removed_a_week for one in plan.floats.lines}
        a_day = {kind: weekly.get(kind, 0.0) / works.week_days + site[kind] for kind in site}
        return Demand(a_day, plan.line.pace_a_day, PLAN)
    steps = [one for one in works.settings.plan.pace if one.starts <= today]
    steps = steps or list(works.settings.plan.pace[:1])
    if steps:
        pace = steps[-1].vehicles_a_week / works.week_days
        of_one = _units_of_one(works)
        return Demand({k: pace * of_one[k] + site[k] for k in site}, pace, PACE)
    needed: dict[str, float] = defaultdict(float)
    for need in wanted:
        needed[need.unit_kind_id] += need.wanted
    return Demand({k: needed[k] / span_days + site[k] for k in site}, None, NEEDS)


def _units_of_one(works: Works) -> dict[str, float]:
    # Units that come off one vehicle of the mix on average.
    mix = _mix(works)
    kinds = {one.unit_kind_id: one for one in works.unit_kinds}
    found = dict.fromkeys(kinds, 0.0)
    for fit in works.fits:
        kind = kinds[fit.unit_kind_id]
        share = 1.0 if kind.must_change else kind.removal_share
        found[fit.unit_kind_id] += mix.get(fit.type_id, 0.0) * fit.per_vehicle * share
    return found


def _mix(works: Works) -> dict[str, float]:
    often = {one.type_id: 1 / _months(one) for one in works.vehicle_types}
    calls: dict[str, float] = defaultdict(float)
    for vehicle in works.vehicles:
        if vehicle.state != "withdrawn":
            calls[vehicle.type_id] += often[vehicle.type_id]
    total = sum(calls.values())
    return {type_id: each / total for type_id, each in calls.items()} if total else {}


def _months(one: VehicleType) -> float:
    # A type without a time limit is taken to come as often as one of four years.
    return float(one.interval_months or 48)
