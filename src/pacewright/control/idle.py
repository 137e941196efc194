"""What stands idle now, by cause and days so far."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from pacewright.control.ahead import Ahead
from pacewright.control.next_move import Blocked, Moves
from pacewright.events.standing import Phase, Standing

NOT_MOVED, NOT_BEGUN = "free to go, not moved", "free to work on, not begun"


@dataclass(frozen=True, slots=True)
class Idle:
    """A vehicle or assembly on which nobody works and that does not move.

    Parameters
    ----------
    piece : in words; an assembly without a number is not a vehicle.
    vehicle_id : number it carries, or would go to.
    is_vehicle : True for what carries a vehicle number.
    place : stage, store or gate.
    cause : cause of a hold, or that nothing holds it but nobody has moved it or begun.
    waits_for, opens : what for, and what ends it.
    days : working days so far.
    """

    piece: str
    vehicle_id: str
    is_vehicle: bool
    place: str
    cause: str
    waits_for: str
    opens: str
    since: datetime | None
    days: float


@dataclass(frozen=True, slots=True)
class IdleSum:
    """All that stands for one cause; vehicles and loose assemblies apart."""

    cause: str
    vehicles: int
    vehicle_days: float
    assemblies: int
    assembly_days: float


def idle(standing: Standing, seen: Ahead, found: Moves) -> tuple[Idle, ...]:
    """Everything that stands idle, longest first."""
    rows = [*_inside(standing, seen, found), *_at_gate(standing, seen)]
    return tuple(sorted(rows, key=lambda one: (-one.days, one.piece)))


def idle_sums(rows: Sequence[Idle]) -> tuple[IdleSum, ...]:
    """Sums by cause, most vehicle-days first."""
    sums = []
    for cause in dict.fromkeys(one.cause for one in rows):
        mine = [one for one in rows if one.cause == cause]
        whole = [one.days for one in mine if one.is_vehicle]
        loose = [one.days for one in mine if not one.is_vehicle]
        sums.append(IdleSum(cause, len(whole), sum(whole), len(loose), sum(loose)))
    return tuple(sorted(sums, key=lambda one: (-one.vehicle_days, -one.assembly_days, one.cause)))


def _inside(standing: Standing, seen: Ahead, found: Moves) -> Iterator[Idle]:
    numbered = {str(one.on_way.known.piece) for one in seen.vehicles.values()}

    def row(one: Blocked, cause: str) -> Idle:
        return Idle(
            one.piece,
            one.vehicle_id,
            one.piece in numbered,
            one.stage_id,
            cause,
            one.waits_for,
            one.opens,
            one.since,
            _days(seen, one.since),
        )

    yield from (row(one, str(one.cause)) for one in found.blocked)
    begun = {str(piece) for piece, known in standing.pieces.items() if known.began}
    # Where nobody books the begin of work, nothing is known of what was not begun.
    if begun or found.at_work:
        yield from (row(one, NOT_BEGUN) for one in found.to_work_on if one.piece not in begun)
    for move in found.moves:
        yield Idle(
            move.piece,
            move.vehicle_id,
            move.piece in numbered,
            move.from_stage_id,
            NOT_MOVED,
            move.to_stage_id,
            move.what,
            move.since,
            _days(seen, move.since),
        )


def _at_gate(standing: Standing, seen: Ahead) -> Iterator[Idle]:
    for vehicle in standing.vehicles.values():
        if vehicle.phase is Phase.AT_GATE:
            since = vehicle.arrived_at
            yield Idle(
                f"vehicle {vehicle.vehicle_id}",
                vehicle.vehicle_id,
                True,
                "gate",
                "gate",
                "",
                "let in",
                since,
                _days(seen, since),
            )


def _days(seen: Ahead, since: datetime | None) -> float:
    return seen.clock.days_between(since, seen.now) if since else 0.0
