"""Vehicles as they stand by the record: in service, inside, released, withdrawn."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime
from functools import partial

from pacewright.control.as_recorded_words import some
from pacewright.events.standing import Phase, Standing, VehicleStanding
from pacewright.fleet.tables import Vehicle
from pacewright.shops.route import Route
from pacewright.shops.tables import WHOLE
from pacewright.works import Works

_IN_WORKS = (Phase.AT_GATE, Phase.INSIDE)


def vehicles_as_recorded(
    works: Works, standing: Standing, today: date
) -> tuple[tuple[Vehicle, ...], tuple[str, ...]]:
    """The table of vehicles brought up to the record, and notes of what changed.

    A vehicle at the gate is inside for the plan, at the first stage of its route: it has left
    service and is not called again. One that is called in is called for the day its depot was
    told; the plan keeps that day. One that is withdrawn stays in the table as withdrawn.

    Parameters
    ----------
    today : day from which is planned; a call for a day before it is overdue.
    """
    rows = tuple(_as_it_stands(works, standing, one) for one in works.vehicles)
    return rows, (*_notes(works, standing, rows), *_called(standing, rows, today))


def _as_it_stands(works: Works, standing: Standing, row: Vehicle) -> Vehicle:
    known = standing.vehicles.get(row.vehicle_id)
    if known is None or not _has_been_here(standing, known):
        return row
    row = _last_released(row, known)
    anywhere = partial(
        replace, row, gate_in=None, stage_id=None, promised=None, called_for=known.due_in
    )
    if known.phase is Phase.WITHDRAWN:
        return anywhere(state="withdrawn", called_for=None)
    if known.phase in _IN_WORKS:
        gate_in = known.arrived_at or known.admitted_at
        return replace(
            row,
            state="inside",
            called_for=None,
            gate_in=gate_in.date() if gate_in else row.gate_in,
            stage_id=stage_reached(works.routes[row.type_id], standing, known),
            promised=_not_before(known.promise, gate_in),
        )
    return anywhere(state="running" if row.state == "inside" else row.state)


def _not_before(promise: date | None, gate_in: datetime | None) -> date | None:
    # A promise given before a vehicle came so late that it has passed binds the plan no more.
    if promise is None or gate_in is None or promise >= gate_in.date():
        return promise
    return None


def _has_been_here(standing: Standing, known: VehicleStanding) -> bool:
    # A vehicle of which only the odometer was read is where the table says.
    return standing.whole(known.vehicle_id).last_at is not None


def _last_released(row: Vehicle, known: VehicleStanding) -> Vehicle:
    if not known.visits:
        return row
    visit = known.visits[-1]
    released = visit.released_at.date()
    if row.last_overhaul is not None and row.last_overhaul >= released:
        return row
    came = visit.arrived_at or visit.admitted_at or visit.released_at
    # It does not run in service between gate and release: a reading in between is that of both.
    read = [
        reading
        for at, reading in known.odometer
        if came.date() <= at.date() and at <= visit.released_at
    ]
    expiry = row.licence_expiry
    return replace(
        row,
        last_overhaul=released,
        overhaul_odometer=max(read, default=None),
        # It did not go into service on a licence that had run out; the new day is not known here.
        licence_expiry=expiry if expiry is None or expiry > released else None,
    )


def stage_reached(route: Route, standing: Standing, vehicle: VehicleStanding) -> str:
    """The stage where a vehicle in the works stands, or for which it waits.

    On a position of its route it is that stage. On none it is the first stage of its route before
    it was parted, the last stage of its lead while it is in pieces, and the first stage of the
    married vehicle afterwards.
    """
    if vehicle.phase is Phase.INSIDE:
        stage_id = standing.stands_at(vehicle.vehicle_id).stage_id
        if any(one.stage_id == stage_id for one in route.stages):
            return stage_id
    parts = [one for one in route.stages if one.assembly_id != WHOLE]
    if vehicle.parted and vehicle.lead is not None:
        own = [one for one in parts if one.assembly_id == vehicle.lead.assembly_id]
        if own:
            return own[-1].stage_id
    if parts and _married_here(standing, vehicle):
        return next(
            one.stage_id
            for one in route.stages
            if one.assembly_id == WHOLE and route.is_before(parts[0].stage_id, one.stage_id)
        )
    return route.stages[0].stage_id


def _married_here(standing: Standing, vehicle: VehicleStanding) -> bool:
    # What an assembly was parted from is forgotten when its vehicle is released.
    return vehicle.lead is not None and bool(standing.pieces[vehicle.lead].came_from)


def _notes(works: Works, standing: Standing, rows: tuple[Vehicle, ...]) -> Iterator[str]:
    before = {one.vehicle_id for one in works.vehicles if one.state == "inside"}
    after = {one.vehicle_id for one in rows if one.state == "inside"}
    if came := sorted(after - before):
        yield f"In the works by the record, not by vehicles.csv: {some(came)}."
    if gone := sorted(before - after):
        yield f"In the works by vehicles.csv, by the record no more: {some(gone)}."
    unseen = sorted(
        one
        for one in before & after
        if one not in standing.vehicles or not _has_been_here(standing, standing.vehicles[one])
    )
    if unseen:
        yield (
            f"In the works by vehicles.csv, and the record has never seen it: {some(unseen)}; it "
            "is taken to stand where the table says."
        )
    pairs = tuple(zip(works.vehicles, rows, strict=True))
    if overhauled := [
        new.vehicle_id for old, new in pairs if old.last_overhaul != new.last_overhaul
    ]:
        yield f"Last overhaul and its odometer from the record: {some(overhauled)}."
    if renewed := [
        new.vehicle_id for old, new in pairs if old.licence_expiry != new.licence_expiry
    ]:
        yield (
            f"Released after licence_expiry: {some(renewed)}; that day is left out, enter the new "
            "one in vehicles.csv."
        )
    if ended := [new.vehicle_id for old, new in pairs if old.state != new.state == "withdrawn"]:
        yield f"Withdrawn by the record: {some(ended)}."
    yield from _strangers(standing, {one.vehicle_id for one in rows})


def _called(standing: Standing, rows: tuple[Vehicle, ...], today: date) -> Iterator[str]:
    told = [
        (one.called_for, one.vehicle_id)
        for one in rows
        if one.called_for is not None
        and one.vehicle_id in standing.vehicles
        and standing.vehicles[one.vehicle_id].phase is Phase.CALLED
    ]
    if ahead := [vehicle for day, vehicle in sorted(told) if day >= today]:
        yield f"Called in and not come yet: {some(ahead)}. The plan keeps the days booked."
    if passed := [f"{vehicle} ({day})" for day, vehicle in sorted(told) if day < today]:
        yield (
            f"Called in, the day has passed and they are not at the gate: {some(passed)}. They are "
            "planned for the first working day of the plan. Ask their depots; then book a new day, "
            "or call them off."
        )


def _strangers(standing: Standing, table: set[str]) -> Iterator[str]:
    here = [one for one in standing.vehicles.values() if one.vehicle_id not in table]
    if inside := sorted(one.vehicle_id for one in here if one.phase in _IN_WORKS):
        yield (
            f"In the works by the record and not in vehicles.csv: {some(inside)}. The plan does "
            "not know it; enter it in the table."
        )
    others = sorted(one.vehicle_id for one in here if one.phase in {Phase.IN_SERVICE, Phase.CALLED})
    if others:
        yield f"Known to the record and not in vehicles.csv: {some(others)}; not planned."
