"""What changed between two moments: yesterday's standing against today's."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import isfinite

from pacewright.control.ahead import Ahead
from pacewright.control.shortages import Shortage
from pacewright.events.standing import Phase, Standing, VehicleStanding

MOVED_DAYS = 0.5
"""A ready day that moves by less is no change."""


class ChangeKind(StrEnum):
    """What sort of change; gravest first."""

    LATER = "ready later"
    NEW_SHORTAGE = "new shortage"
    HELD = "held"
    EARLIER = "ready earlier"
    SHORTAGE_OVER = "shortage over"
    FREED = "freed"
    RELEASED = "released"
    LET_IN = "let in"
    ARRIVED = "arrived"
    MOVED_ON = "moved on"


@dataclass(frozen=True, slots=True)
class Change:
    """One change.

    Parameters
    ----------
    what : vehicle, or unit kind for a vehicle.
    before, now : how it was and how it is, in words.
    days : working days by which a ready day moved, later positive; else 0.
    """

    kind: ChangeKind
    what: str
    before: str
    now: str
    days: float = 0.0


@dataclass(frozen=True)
class Then:
    """All of one moment that is compared."""

    standing: Standing
    seen: Ahead
    short: Sequence[Shortage]


def changes(before: Then, now: Then) -> tuple[Change, ...]:
    """Every change, gravest sort first, then the greatest.

    A ready day counts as moved when it lies ``MOVED_DAYS`` working days from where it lay: that a
    day has passed is no change.
    """
    order = list(ChangeKind)
    found = [*_vehicles(before, now), *_shortages(before.short, now.short)]
    return tuple(sorted(found, key=lambda one: (order.index(one.kind), -abs(one.days), one.what)))


def _vehicles(before: Then, now: Then) -> Iterator[Change]:
    for vehicle_id, vehicle in sorted(now.standing.vehicles.items()):
        old = before.standing.vehicles.get(vehicle_id)
        name = f"vehicle {vehicle_id}"
        was = old.phase if old else Phase.IN_SERVICE
        if was is not vehicle.phase or _released_between(old, vehicle):
            yield from _phase(name, old, vehicle)
        elif vehicle.phase is Phase.INSIDE:
            yield from _inside(name, vehicle_id, before, now)


def _released_between(old: VehicleStanding | None, vehicle: VehicleStanding) -> bool:
    return len(vehicle.visits) > (len(old.visits) if old else 0)


def _phase(name: str, old: VehicleStanding | None, vehicle: VehicleStanding) -> Iterator[Change]:
    was = str(old.phase) if old else "not on the books"
    kinds = {Phase.INSIDE: ChangeKind.LET_IN, Phase.AT_GATE: ChangeKind.ARRIVED}
    if _released_between(old, vehicle):
        yield Change(ChangeKind.RELEASED, name, was, str(vehicle.phase))
    elif vehicle.phase in kinds:
        yield Change(kinds[vehicle.phase], name, was, str(vehicle.phase))


def _inside(name: str, vehicle_id: str, before: Then, now: Then) -> Iterator[Change]:
    old, new = before.standing.stands_at(vehicle_id), now.standing.stands_at(vehicle_id)
    if old.stage_id != new.stage_id:
        yield Change(
            ChangeKind.MOVED_ON,
            name,
            old.stage_id or old.place_id or "nowhere",
            new.stage_id or new.place_id or "nowhere",
        )
    for cause in new.holds.keys() - old.holds.keys():
        yield Change(ChangeKind.HELD, name, "", f"{cause}: {new.holds[cause].reason}".rstrip(": "))
    for cause in old.holds.keys() - new.holds.keys():
        yield Change(ChangeKind.FREED, name, str(cause), "")
    yield from _ready(name, vehicle_id, before.seen, now.seen)


def _ready(name: str, vehicle_id: str, before: Ahead, now: Ahead) -> Iterator[Change]:
    if vehicle_id not in before.vehicles or vehicle_id not in now.vehicles:
        return
    old, new = before.vehicles[vehicle_id].ready_day, now.vehicles[vehicle_id].ready_day
    words = [str(seen.clock.date_of(day) or "no date") for seen, day in ((before, old), (now, new))]
    if isfinite(old) and isfinite(new):
        # Both moments may have clocks of their own, so they are compared on the later one.
        moment = before.clock.end_of(old)
        moved = new - now.clock.day_of(moment) if moment else 0.0
        if abs(moved) >= MOVED_DAYS:
            kind = ChangeKind.LATER if moved > 0 else ChangeKind.EARLIER
            yield Change(kind, name, words[0], words[1], moved)
    elif isfinite(old) != isfinite(new):
        kind = ChangeKind.LATER if isfinite(old) else ChangeKind.EARLIER
        yield Change(kind, name, words[0], words[1])


def _shortages(before: Sequence[Shortage], now: Sequence[Shortage]) -> Iterator[Change]:
    old = {(one.piece, one.unit_kind_id): one for one in before}
    new = {(one.piece, one.unit_kind_id): one for one in now}
    for key in new.keys() - old.keys():
        words = f"{new[key].units:g} short, {new[key].days_late:.1f} days late"
        yield Change(ChangeKind.NEW_SHORTAGE, f"{key[1]} for {key[0]}", "", words)
    for key in old.keys() - new.keys():
        words = f"{old[key].units:g} short"
        yield Change(ChangeKind.SHORTAGE_OVER, f"{key[1]} for {key[0]}", words, "")
