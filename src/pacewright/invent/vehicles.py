"""The rows of the vehicles, from what was drawn for each."""

from collections.abc import Callable
from datetime import date

import numpy as np

from pacewright.fleet.tables import Vehicle, VehicleType
from pacewright.invent.dates import INSIDE, NEVER, ODOMETER_LOST, STANDING, WITHDRAWN, Dates
from pacewright.invent.odometer import Odometers
from pacewright.invent.roll import Roll

_STATES = {INSIDE: "inside", STANDING: "standing", WITHDRAWN: "withdrawn"}


def vehicle_numbers(roll: Roll, prefixes: list[str]) -> list[str]:
    """Fleet numbers: the type's letter and a running number, as wide as the fleet needs."""
    width = max(4, len(str(len(roll.type_at))))
    seen = [0] * len(prefixes)
    numbers = []
    for place in roll.type_at.tolist():
        seen[place] += 1
        numbers.append(f"{prefixes[place]}{seen[place]:0{width}d}")
    return numbers


def vehicle_rows(
    numbers: list[str],
    types: tuple[VehicleType, ...],
    roll: Roll,
    dates: Dates,
    odometers: Odometers,
    stage_of: Callable[[str, date], str],
) -> tuple[Vehicle, ...]:
    """One row a vehicle.

    Parameters
    ----------
    numbers : fleet numbers.
    types : the vehicle types.
    roll, dates, odometers : what was drawn.
    stage_of : type and gate-in -> stage where the vehicle stands.
    """
    overhauled = dates.last_overhaul != NEVER
    known = overhauled & (dates.drawn != ODOMETER_LOST)
    in_service, last, licence, leaves, gate_in = (
        _days(one)
        for one in (
            dates.in_service,
            dates.last_overhaul,
            dates.licence_expiry,
            dates.withdraw_on,
            dates.gate_in,
        )
    )
    at_overhaul = np.where(known, odometers.at_anchor, -1.0).tolist()
    type_ids = [types[place].type_id for place in roll.type_at.tolist()]
    depot_ids = [roll.depots[place].depot_id for place in roll.depot_at.tolist()]
    states = [_STATES.get(word, "running") for word in dates.drawn.tolist()]
    return tuple(
        Vehicle(
            vehicle_id=number,
            type_id=type_ids[at],
            depot_id=depot_ids[at],
            state=states[at],  # type: ignore[arg-type]
            in_service=in_service[at] or date.min,
            last_overhaul=last[at],
            overhaul_odometer=at_overhaul[at] if at_overhaul[at] >= 0 else None,
            licence_expiry=licence[at],
            withdraw_on=leaves[at],
            gate_in=came,
            stage_id=stage_of(type_ids[at], came) if came else None,
        )
        for at, (number, came) in enumerate(zip(numbers, gate_in, strict=True))
    )


def _days(numbers: np.ndarray[tuple[int, ...], np.dtype[np.int64]]) -> list[date | None]:
    return [date.fromordinal(one) if one != NEVER else None for one in numbers.tolist()]
