"""What events at the gate change."""

from bisect import insort

from pacewright.events.gate import (
    Admitted,
    Arrived,
    Called,
    CalledOff,
    OdometerRead,
    Promised,
    Released,
    TurnedBack,
    Withdrawn,
)
from pacewright.events.identity_fold import lose_number
from pacewright.events.stage_fold import leave
from pacewright.events.standing import Phase, PieceStanding, Standing, VehicleStanding, Visit
from pacewright.events.things import WHOLE, Piece


def known_vehicle(now: Standing, vehicle_id: str) -> VehicleStanding:
    """The vehicle; one not heard of before is entered in the books."""
    vehicle = now.vehicles.get(vehicle_id)
    if vehicle is None:
        vehicle = now.vehicles[vehicle_id] = VehicleStanding(vehicle_id)
        whole = Piece(WHOLE, vehicle_id)
        now.pieces[whole] = PieceStanding(whole, vehicle_id=vehicle_id)
    return vehicle


def called(now: Standing, event: Called, vehicle: VehicleStanding | None) -> None:
    """The vehicle is awaited."""
    vehicle = vehicle or known_vehicle(now, event.vehicle_id)
    vehicle.phase = Phase.CALLED
    vehicle.type_id, vehicle.depot_id = event.type_id, event.depot_id
    vehicle.due_in = event.due_in
    now.whole(event.vehicle_id).last_at = event.at


def arrived(now: Standing, event: Arrived, vehicle: VehicleStanding | None) -> None:
    """The vehicle waits at the gate."""
    vehicle = vehicle or known_vehicle(now, event.vehicle_id)
    vehicle.phase = Phase.AT_GATE
    vehicle.type_id = event.type_id
    vehicle.depot_id = event.depot_id or vehicle.depot_id
    vehicle.arrived_at = event.at
    whole = now.whole(event.vehicle_id)
    whole.last_at = whole.since = event.at


def admitted(now: Standing, event: Admitted, vehicle: VehicleStanding) -> None:
    """The vehicle stands inside, on no position yet."""
    vehicle.phase = Phase.INSIDE
    vehicle.admitted_at = event.at
    whole = now.whole(event.vehicle_id)
    whole.stands = True
    whole.last_at = whole.since = whole.came_in = event.at
    whole.holds.clear()


def back_in_service(now: Standing, event: CalledOff | TurnedBack, vehicle: VehicleStanding) -> None:
    """The vehicle is in service as if it had not been called; nothing was promised."""
    vehicle.phase = Phase.IN_SERVICE
    vehicle.due_in = vehicle.arrived_at = None
    vehicle.first_promise = vehicle.promise = None
    whole = now.whole(event.vehicle_id)
    whole.last_at = event.at
    whole.holds.clear()


def promised(now: Standing, event: Promised, vehicle: VehicleStanding) -> None:
    """The first promise of a visit stays; the current one is replaced."""
    if vehicle.first_promise is None:
        vehicle.first_promise = event.release_day
    vehicle.promise = event.release_day


def odometer_read(now: Standing, event: OdometerRead, vehicle: VehicleStanding | None) -> None:
    """A reading takes its place in time, also when it was written down late."""
    vehicle = vehicle or known_vehicle(now, event.vehicle_id)
    insort(vehicle.odometer, (event.at, event.odometer))


def released(now: Standing, event: Released, vehicle: VehicleStanding) -> None:
    """The visit is over and closed; the vehicle is in service."""
    vehicle.visits.append(
        Visit(
            vehicle.arrived_at,
            vehicle.admitted_at,
            event.at,
            vehicle.first_promise,
            vehicle.promise,
        )
    )
    vehicle.phase = Phase.IN_SERVICE
    vehicle.due_in = vehicle.arrived_at = vehicle.admitted_at = vehicle.stripped_at = None
    vehicle.first_promise = vehicle.promise = None
    whole = now.whole(event.vehicle_id)
    for part in now.parts_of(event.vehicle_id):
        _close(now.pieces[part])
    leave(now, whole)
    whole.stands = False
    whole.last_at = whole.since = event.at


def _close(piece: PieceStanding) -> None:
    for kept in (piece.found, piece.tests, piece.holds, piece.owed, piece.doing):
        kept.clear()
    piece.permits.clear()
    piece.done.clear()
    piece.came_in = None
    piece.came_from = ""
    piece.finished = piece.failed = False


def withdrawn(now: Standing, event: Withdrawn, vehicle: VehicleStanding | None) -> None:
    """The number ends; a whole vehicle leaves, a lead that stands parted becomes loose."""
    vehicle = vehicle or known_vehicle(now, event.vehicle_id)
    whole = now.whole(event.vehicle_id)
    if vehicle.parted and vehicle.lead is not None:
        lose_number(now, vehicle.lead, event.vehicle_id, event.at)
        vehicle.lead, vehicle.parted = None, False
    leave(now, whole)
    _close(whole)
    whole.stands = False
    whole.trades.clear()
    whole.last_at = event.at
    vehicle.phase = Phase.WITHDRAWN
