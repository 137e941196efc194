"""At the door: what must be true of a vehicle before it is released; no one can override it."""

from pacewright.control.door_facts import Facts
from pacewright.control.door_units import fitted_this_visit, suits
from pacewright.events.gate import Released
from pacewright.events.refusal import Refusal
from pacewright.events.standing import Standing


def last_stage_finished(facts: Facts, now: Standing, event: Released) -> Refusal | None:
    """A vehicle is released after the last stage of its route."""
    vehicle = now.vehicles.get(event.vehicle_id)
    if vehicle is None:
        return None
    done = now.whole(event.vehicle_id).done
    missing = [one for one in facts.ends.get(vehicle.type_id, ()) if one not in done]
    if not missing:
        return None
    return Refusal(
        f"vehicle {event.vehicle_id}",
        f"not finished in this visit: {', '.join(missing)}",
        "A vehicle is released after the last stage of its route; no one can override this.",
        "Finish the stage and record it.",
    )


def must_change_changed(facts: Facts, now: Standing, event: Released) -> Refusal | None:
    """Every unit that must be changed was changed in this visit."""
    vehicle = now.vehicles.get(event.vehicle_id)
    if vehicle is None:
        return None
    campaigns = now.whole(event.vehicle_id).campaigns
    missing = []
    for fit in facts.changed.get(vehicle.type_id, ()):
        if suits(fit, campaigns):
            fitted = fitted_this_visit(now, event.vehicle_id, fit.unit_kind_id)
            if fitted < fit.per_vehicle:
                missing.append(f"{fitted} of {fit.per_vehicle} {fit.unit_kind_id}")
    if not missing:
        return None
    return Refusal(
        f"vehicle {event.vehicle_id}",
        f"changed in this visit: {', '.join(missing)}",
        "Must-change means always; no one can override this.",
        "Change what is missing, or record what was fitted.",
    )


def must_pass_passed(facts: Facts, now: Standing, event: Released) -> Refusal | None:
    """Every test item that must be passed was passed in this visit."""
    vehicle = now.vehicles.get(event.vehicle_id)
    if vehicle is None:
        return None
    results = [now.pieces[part].tests for part in now.parts_of(event.vehicle_id)]
    missing = [
        item
        for item in facts.must_pass.get(vehicle.type_id, ())
        if not any(item in tests and tests[item].passed for tests in results)
    ]
    if not missing:
        return None
    return Refusal(
        f"vehicle {event.vehicle_id}",
        f"no pass in this visit: {', '.join(missing)}",
        "Nothing is released without a pass of every item that must be passed; "
        "no one can override this.",
        "Test and record the reading.",
    )
