"""What must hold for events at the gate; no event passes that breaks a rule."""

from bisect import bisect_left

from pacewright.events.gate import (
    Admitted,
    CalledOff,
    OdometerRead,
    Released,
    TurnedBack,
    VehicleEvent,
)
from pacewright.events.refusal import Refusal, idle, safe
from pacewright.events.standing import Phase, Standing, VehicleStanding
from pacewright.events.things import WHOLE, Condition, Overridable, Piece


def not_in_works(
    now: Standing, event: VehicleEvent, vehicle: VehicleStanding | None
) -> Refusal | None:
    """A vehicle is called in, and comes to the gate, from service."""
    if vehicle is None or vehicle.phase in (Phase.IN_SERVICE, Phase.CALLED):
        return None
    return Refusal(
        f"vehicle {event.vehicle_id}",
        f"it is {vehicle.phase.value}",
        "A vehicle is called in, and comes to the gate, from service.",
        "Check the number, or record first that it was released.",
    )


def at_gate(
    now: Standing, event: Admitted | TurnedBack, vehicle: VehicleStanding | None
) -> Refusal | None:
    """A vehicle is let in, or turned back, at the gate."""
    if vehicle is not None and vehicle.phase is Phase.AT_GATE:
        return None
    return Refusal(
        f"vehicle {event.vehicle_id}",
        "the record does not know it" if vehicle is None else f"it is {vehicle.phase.value}",
        "A vehicle is let in, or turned back, at the gate.",
        "Check the number, or record first that it arrived.",
    )


def awaited(now: Standing, event: CalledOff, vehicle: VehicleStanding | None) -> Refusal | None:
    """Only a vehicle that was called in and has not come is called off."""
    if vehicle is not None and vehicle.phase is Phase.CALLED:
        return None
    return Refusal(
        f"vehicle {event.vehicle_id}",
        "the record does not know it" if vehicle is None else f"it is {vehicle.phase.value}",
        "Only a vehicle that was called in and has not come is called off.",
        "Check the number.",
    )


def vehicle_known(
    now: Standing, event: VehicleEvent, vehicle: VehicleStanding | None
) -> Refusal | None:
    """The record knows the vehicle."""
    if vehicle is not None:
        return None
    return Refusal(
        f"vehicle {event.vehicle_id}",
        "the record does not know it",
        "The vehicle must have been called in or have arrived.",
        "Check the number.",
    )


def not_withdrawn(
    now: Standing, event: VehicleEvent, vehicle: VehicleStanding | None
) -> Refusal | None:
    """The number of a withdrawn vehicle has ended."""
    if vehicle is None or vehicle.phase is not Phase.WITHDRAWN:
        return None
    return Refusal(
        f"vehicle {event.vehicle_id}",
        "it is withdrawn",
        "The number of a withdrawn vehicle has ended.",
        "Check the number, or correct the withdrawal.",
    )


def odometer_rises(
    now: Standing, event: OdometerRead, vehicle: VehicleStanding | None
) -> Refusal | None:
    """An odometer does not fall from one reading to the next."""
    if vehicle is None:
        return None
    place = bisect_left(vehicle.odometer, (event.at, event.odometer))
    before, after = vehicle.odometer[:place][-1:], vehicle.odometer[place : place + 1]
    for at, other in (*before, *after):
        if (other > event.odometer) if at <= event.at else (other < event.odometer):
            return Refusal(
                f"vehicle {event.vehicle_id}",
                f"odometer {event.odometer:g} on {event.at:%Y-%m-%d %H:%M}, "
                f"but {other:g} on {at:%Y-%m-%d %H:%M}",
                "An odometer does not fall from one reading to the next.",
                "Correct whichever of the two is wrong.",
            )
    return None


def nobody_at_work(
    now: Standing, event: VehicleEvent, vehicle: VehicleStanding | None
) -> Refusal | None:
    """Nobody is at work on the vehicle or on its lead."""
    if vehicle is None:
        return None
    lead = idle(now, vehicle.lead) if vehicle.parted and vehicle.lead else None
    return lead or idle(now, Piece(WHOLE, event.vehicle_id))


def no_safety_hold(now: Standing, event: VehicleEvent, vehicle: VehicleStanding) -> Refusal | None:
    """No safety hold stands on the vehicle."""
    return safe(now, Piece(WHOLE, event.vehicle_id))


def nothing_failed(now: Standing, event: Released, vehicle: VehicleStanding) -> Refusal | None:
    """Nothing is released on a failed test; no one can override this."""
    whole = now.whole(event.vehicle_id)
    items = [f"stage {whole.stage_id}"] if whole.failed else []
    for part in now.parts_of(event.vehicle_id):
        items += [item if part == whole.piece else f"{item} ({part})" for item in _open(now, part)]
    if not items:
        return None
    return Refusal(
        f"vehicle {event.vehicle_id}",
        f"failed and not passed since: {', '.join(items)}",
        "Nothing is released on a failed test; no one can override this.",
        "Rectify it and record the pass.",
    )


def _open(now: Standing, part: Piece) -> list[str]:
    # A retest of the vehicle, or of its lead, settles a failure told of one of its pieces.
    known = now.pieces[part]
    vehicle = now.vehicles[known.vehicle_id]
    told = [now.whole(known.vehicle_id)] + ([now.pieces[vehicle.lead]] if vehicle.lead else [])
    return [
        item
        for item, result in known.tests.items()
        if not result.passed
        and not any(
            one.tests[item].passed and one.tests[item].at >= result.at
            for one in told
            if item in one.tests
        )
    ]


def nothing_owed(now: Standing, event: Released, vehicle: VehicleStanding) -> Refusal | None:
    """No unit is owed to a vehicle that is released."""
    whole = now.whole(event.vehicle_id)
    if not whole.owed or Overridable.OWED in whole.permits:
        return None
    owed = ", ".join(f"{count} {kind}" for kind, count in sorted(whole.owed.items()))
    return Refusal(
        f"vehicle {event.vehicle_id}",
        f"still owed: {owed}",
        "No unit is owed to a vehicle that is released.",
        "Record what was fitted; or an authorised person overrides 'owed' and says why.",
    )


def carries_serviceable(now: Standing, event: Released, vehicle: VehicleStanding) -> Refusal | None:
    """No unit known to be unserviceable leaves on a vehicle; no one can override this."""
    bad = [
        str(unit)
        for unit in now.units_on(event.vehicle_id)
        if now.units[unit].condition is not Condition.SERVICEABLE
    ]
    if not bad:
        return None
    return Refusal(
        f"vehicle {event.vehicle_id}",
        f"not serviceable on it: {', '.join(bad)}",
        "No unit known to be unserviceable leaves on a vehicle; no one can override this.",
        "Remove it and fit another, or record that its shop made it good in place.",
    )
