"""Who writes what down in an invented works: roles with numbers, no names."""

from zlib import crc32

from pacewright.events.gate import Promised, Released, VehicleEvent
from pacewright.events.record import Attended, Corrected, Overridden
from pacewright.events.stages import (
    Failed,
    Found,
    Freed,
    Held,
    PieceEvent,
    PlaceEvent,
    Rectified,
    Tested,
    WorkEnded,
    WorkStarted,
)
from pacewright.events.things import Cause, Event
from pacewright.events.units import AgeTold, Ordered, Robbed, UnitEvent, UnitFound

_ROLES: tuple[tuple[tuple[type[Event], ...], str, int], ...] = (
    ((Found, Tested, Failed, Rectified, Released, UnitFound, AgeTold), "inspector", 5),
    ((WorkStarted, WorkEnded), "foreman", 6),
    ((Promised, Robbed, Overridden), "planner", 2),
    ((Attended,), "timekeeper", 2),
    ((Ordered,), "buyer", 2),
    ((Held, Corrected), "clerk", 4),
    ((UnitEvent,), "storekeeper", 4),
    ((PieceEvent, PlaceEvent), "shunter", 4),
    ((VehicleEvent,), "gate clerk", 2),
)


def writer_of(event: Event) -> str:
    """The role that writes such an event down, and which of them."""
    role, many = _role_of(type(event))
    if isinstance(event, Freed) and event.cause is Cause.SAFETY:
        role, many = "inspector", 5
    return f"{role} {1 + crc32(f'{event.at.date()} {role}'.encode()) % many}"


_KNOWN: dict[type[Event], tuple[str, int]] = {}


def _role_of(model: type[Event]) -> tuple[str, int]:
    if model not in _KNOWN:
        _KNOWN[model] = _first_role(model)
    return _KNOWN[model]


def _first_role(model: type[Event]) -> tuple[str, int]:
    for models, role, many in _ROLES:
        if issubclass(model, models):
            return role, many
    return "clerk", 4
