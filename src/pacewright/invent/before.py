"""The works before its record: nobody inside, so that all that is told was seen."""

from dataclasses import replace
from datetime import date, timedelta

from pacewright.fleet.tables import Vehicle
from pacewright.works import Works

_AGO_DAYS = 4


def emptied(works: Works) -> Works:
    """The works with everybody released who was inside, a few days before its day.

    Their overhaul counts from there; the odometer is that of the last reading.
    """
    today = works.settings.plan.today
    shown = {one.vehicle_id: one.odometer for one in works.readings}
    return replace(
        works,
        vehicles=tuple(_released(one, today, shown.get(one.vehicle_id)) for one in works.vehicles),
    )


def _released(one: Vehicle, today: date, odometer: float | None) -> Vehicle:
    if one.state != "inside" or one.gate_in is None:
        return one
    out = max(one.gate_in, today - timedelta(days=_AGO_DAYS))
    return replace(
        one,
        state="running",
        last_overhaul=max(out, one.in_service),
        overhaul_odometer=odometer,
        gate_in=None,
        stage_id=None,
    )
