"""The plan as a small dictionary for machines: stable keys, each with its unit in its name."""

from collections import Counter
from dataclasses import asdict
from math import isfinite
from typing import Any

from pacewright.plans.forecast import Forecast
from pacewright.plans.line import Line
from pacewright.plans.plan import Plan
from pacewright.reports.figures import mean_turn, past_limit
from pacewright.reports.simulation.hold_ups import days_by_cause
from pacewright.reports.tables import cards


def summary(plan: Plan, forecast: Forecast | None = None) -> dict[str, Any]:
    """The plan in figures, ready for JSON: dates in ISO 8601, what has no number is None.

    Returns
    -------
    Dictionary with the keys ``works``, ``programme``, ``line``, ``floats``, ``cards``, and
    ``forecast`` where there is one; the same plan gives the same dictionary but for the seconds.
    """
    whole: dict[str, Any] = plain(
        {
            "works": {
                "name": plan.works_name,
                "today": plan.today,
                "start": plan.start,
                "distance_unit": plan.distance_unit,
                "inputs_hash": plan.inputs_hash,
                "version": plan.version,
            },
            "fleet": dict(sorted(Counter(w.standing.value for w in plan.windows).items())),
            "programme": _programme(plan),
            "line": _line(plan.line),
            "floats": _floats(plan),
            "cards": {step: asdict(card) for step, card in cards(plan, forecast)},
            "seconds": plan.seconds,
            **({"forecast": _forecast(forecast)} if forecast is not None else {}),
        }
    )
    return whole


def _programme(plan: Plan) -> dict[str, Any]:
    programme = plan.programme
    calls = programme.calls
    least = programme.least_pace
    return {
        "weeks": len(programme.weeks),
        "vehicles_called": len(calls),
        "vehicles_called_by_type": dict(sorted(Counter(c.type_id for c in calls).items())),
        "vehicles_past_limit": sum(past_limit(plan)),
        "vehicles_past_limit_at_start": past_limit(plan)[0],
        "late_vehicle_weeks": programme.late_weeks,
        "late_vehicle_weeks_least": programme.late_weeks_bound,
        "vehicles_unplaced": len(programme.unplaced),
        "reliefs": len(programme.reliefs),
        "life_given_days": sum(c.life_given_days for c in calls),
        "pace_vehicles_a_day": programme.pace_a_day,
        "least_pace_vehicles_a_day": least.vehicles_a_day,
        "least_pace_vehicles_a_week": least.vehicles_a_week,
        "least_pace_first": least.first,
        "least_pace_last": least.last,
        "least_pace_vehicles": least.vehicles,
        "least_pace_working_days": least.working_days,
    }


def _line(line: Line) -> dict[str, Any]:
    mean = mean_turn(line)
    return {
        "pace_vehicles_a_week": line.pace_a_week,
        "takt_working_days": line.takt_days,
        "takt_hours": line.takt_hours,
        "inside_vehicles_mean": line.inside_mean,
        "turn_expected_working_days": mean[0] if mean else None,
        "turn_promised_working_days": mean[1] if mean else None,
        "slowest": line.slowest,
        "able_vehicles_a_week": line.able_a_week,
        "stages_by_gear": _gears(line.stages),
        "trades_by_gear": _gears(line.trades),
        "plant_by_gear": _gears(line.plant),
    }


def _gears(loads: Any) -> dict[str, int]:
    return dict(sorted(Counter(load.gear.value.replace(" ", "_") for load in loads).items()))


def _floats(plan: Plan) -> dict[str, Any]:
    floats = plan.floats
    return {
        "target_share": floats.target,
        "ready_held_share": floats.ready_held,
        "ready_needed_share": floats.ready_needed,
        "unit_kinds": len(floats.lines),
        "unit_kinds_short": sum(line.short > 0 for line in floats.lines),
        "units_held": sum(line.held for line in floats.lines),
        "units_needed": sum(line.needed for line in floats.lines),
        "units_short": sum(line.short for line in floats.lines),
        "cost_short_money": floats.cost_short,
        "units_to_buy": sum(line.buy for line in floats.lines),
        "cost_buy_money": floats.cost_buy,
        "ready_bought_share": floats.ready_bought,
        "needed_by_unit_kind": {line.unit_kind_id: line.needed for line in floats.lines},
    }


def _forecast(forecast: Forecast) -> dict[str, Any]:
    """Figures by key with their intervals; what they rest on; the heaviest hold-ups."""
    return {
        "replications": forecast.replications,
        "seed": forecast.card.seed,
        "confidence_share": forecast.confidence,
        "start": forecast.start,
        "stopped_by": forecast.stopped_by,
        "interrupted": forecast.interrupted,
        "warm_up_working_days": forecast.warm_up_days,
        "first": forecast.first,
        "last": forecast.last,
        "pace_vehicles_a_week": forecast.pace_a_week,
        "figures": {
            one.key: {"mean": one.mean, "half_width": one.half_width, "unit": one.unit}
            for one in forecast.figures
        },
        "promise_chance_by_type": {
            turn.type_id: turn.promise_chance.mean if turn.promise_chance else None
            for turn in forecast.turns
        },
        "hold_up_vehicle_days_a_year_by_cause": {
            cause.value: days for cause, days in days_by_cause(forecast.holdups).items()
        },
        "figures_beside_plan": len(forecast.beside),
        "figures_that_agree": sum(one.agrees for one in forecast.beside),
    }


def plain(value: Any) -> Any:
    """A value as JSON can hold it: dates in ISO 8601, None for what is no number."""
    if isinstance(value, dict):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, float):
        return value if isfinite(value) else None
    return value.isoformat() if hasattr(value, "isoformat") else value
