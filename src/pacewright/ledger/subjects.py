"""What an event is about, as codes by which its history is found again."""

from collections.abc import Callable, Iterable
from dataclasses import fields
from typing import Any, get_args, get_origin, get_type_hints

from pacewright.events.record import Corrected
from pacewright.events.things import Event, Piece, Unit
from pacewright.events.written import UnreadableEventError, read_event

_VEHICLES = ("vehicle_id", "other_vehicle_id")
_PLACES = ("stage_id", "place_id", "shop_id")

Codes = Callable[[Any], Iterable[str]]
_PLANS: dict[type[Event], tuple[tuple[str, Codes], ...]] = {}


def subjects_of(event: Event) -> frozenset[str]:
    """Vehicles, pieces, units, kinds and places an event names.

    Returns
    -------
    ``vehicle:1043``, ``body:B-11``, ``motor:M-7``: what it is and its serial; ``place:paint``: a
    stage, shop, store or site; ``kind:motor``: a unit kind by itself. Of a
    correction: those of what it puts in place.
    """
    if isinstance(event, Corrected):
        return frozenset().union(*(_of_written(body) for body in event.instead))
    model = type(event)
    if model not in _PLANS:
        _PLANS[model] = tuple(_plan(model))
    return frozenset(code for name, codes in _PLANS[model] for code in codes(getattr(event, name)))


def _of_written(body: dict[str, Any]) -> frozenset[str]:
    try:
        return subjects_of(read_event(body))
    except UnreadableEventError:
        return frozenset()


def _plan(model: type[Event]) -> Iterable[tuple[str, Codes]]:
    hints = get_type_hints(model)
    for one in fields(model):
        hint = hints[one.name]
        if one.name in _VEHICLES:
            yield one.name, lambda value: (f"vehicle:{value}",) if value else ()
        elif one.name in _PLACES:
            yield one.name, lambda value: (f"place:{value}",) if value else ()
        elif one.name == "unit_kind_id":
            yield one.name, lambda value: (f"kind:{value}",)
        elif hint in (Piece, Unit):
            yield one.name, lambda value: (f"{value[0]}:{value[1]}",)
        elif get_origin(hint) is tuple and get_args(hint)[0] in (Piece, Unit):
            yield one.name, lambda values: (f"{kind}:{serial}" for kind, serial in values)
