"""The works when its record ends: who is inside, who was released, what was read, what is left."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from pacewright.base.settings import Settings
from pacewright.events.standing import Phase, Standing, VehicleStanding
from pacewright.events.things import Condition
from pacewright.fleet.tables import Reading, Vehicle
from pacewright.invent.odometer import READINGS
from pacewright.parts.tables import FloatHeld
from pacewright.works import Works


def works_after(
    works: Works, settings: Settings, now: Standing, readings: Sequence[Reading]
) -> Works:
    """The tables as they stand at the end of the record, so that both say the same.

    Parameters
    ----------
    works : the works before the record.
    settings : for the day on which the record ends.
    now : where everything stands by the record.
    readings : odometer readings since, arrivals included.
    """
    today = settings.plan.today
    first_stage = next(one.stage_id for one in works.stages if not one.follows)
    return replace(
        works,
        settings=settings,
        vehicles=tuple(_vehicle(one, today, now, first_stage) for one in works.vehicles),
        readings=_last_readings(works, readings),
        floats=_floats(works, now),
    )


def _vehicle(one: Vehicle, today: date, now: Standing, first_stage: str) -> Vehicle:
    known = now.vehicles.get(one.vehicle_id)
    if known is not None and known.visits:
        one = _overhauled(one, known)
    if known is not None and known.phase is Phase.INSIDE and known.admitted_at is not None:
        stage_id = now.stands_at(one.vehicle_id).stage_id or first_stage
        return replace(one, state="inside", gate_in=known.admitted_at.date(), stage_id=stage_id)
    if one.state == "running" and one.withdraw_on is not None and one.withdraw_on <= today:
        return replace(one, state="withdrawn")
    return one


def _overhauled(one: Vehicle, known: VehicleStanding) -> Vehicle:
    released_at = known.visits[-1].released_at
    read = [odometer for at, odometer in known.odometer if at <= released_at]
    return replace(
        one,
        state="running",
        last_overhaul=released_at.date(),
        overhaul_odometer=read[-1] if read else None,
        # The licence was renewed with the overhaul, for longer than the interval.
        licence_expiry=None,
    )


def _last_readings(works: Works, readings: Sequence[Reading]) -> tuple[Reading, ...]:
    every: dict[str, dict[date, Reading]] = defaultdict(dict)
    for one in (*works.readings, *readings):
        every[one.vehicle_id][one.read_on] = one
    return tuple(
        every[vehicle.vehicle_id][day]
        for vehicle in works.vehicles
        for day in sorted(every[vehicle.vehicle_id])[-READINGS:]
    )


def _floats(works: Works, now: Standing) -> tuple[FloatHeld, ...]:
    """Units on nothing by condition; those owed to vehicles do not count as float."""
    off: Counter[tuple[str, Condition]] = Counter()
    for unit, known in now.units.items():
        if known.onto is None and known.issued_to is None:
            off[unit.unit_kind_id, known.condition] += 1
    owed: Counter[str] = Counter()
    for piece in now.pieces.values():
        owed.update(piece.owed)
    rows = []
    for kind in works.unit_kinds:
        name = kind.unit_kind_id
        rows.append(
            FloatHeld(
                unit_kind_id=name,
                serviceable=off[name, Condition.SERVICEABLE],
                unserviceable=max(0, off[name, Condition.UNSERVICEABLE] - owed[name]),
                quarantine=off[name, Condition.QUARANTINE],
            )
        )
    return tuple(rows)
