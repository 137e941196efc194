"""The form of a kind of event, made from its class: each field with its meaning and its sort."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from datetime import date, datetime
from enum import EnumType
from functools import cache
from itertools import islice
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

from pacewright.events.reference import event_fields
from pacewright.events.registry import KINDS
from pacewright.events.scan import MARK, code_of
from pacewright.events.standing import Phase, Standing, UnitStanding
from pacewright.events.things import Condition, Event, Piece, Unit
from pacewright.events.written import write_event
from pacewright.office.signing import SECOND, SIGNS
from pacewright.works import Works

MOST_KNOWN = 2000
"""Codes offered for one field; with more, a page would be slow on a tablet."""

_SORTS: dict[Any, str] = {
    datetime: "moment",
    date: "day",
    float: "number",
    int: "whole",
    bool: "yesno",
    Piece: "piece",
    Unit: "unit",
}
_BY_NAME = dict.fromkeys(SIGNS, "who") | {SECOND: "second", "photo": "photo"}
_ITEMS = (("operations", "operation_id"), ("unit_kinds", "unit_kind_id"), ("test_items", "item_id"))
TABLES: dict[str, tuple[tuple[str, str], ...]] = {
    "type_id": (("vehicle_types", "type_id"),),
    "depot_id": (("depots", "depot_id"),),
    "stage_id": (("stages", "stage_id"),),
    "trade_id": (("trades", "trade_id"),),
    "shop_id": (("shops", "shop_id"),),
    "unit_kind_id": (("unit_kinds", "unit_kind_id"),),
    "campaign_id": (("campaigns", "campaign_id"),),
    "operation_id": _ITEMS[:1],
    "item_id": _ITEMS,
    "waits_for": (_ITEMS[1], ("stages", "stage_id"), ("trades", "trade_id")),
}
"""Field -> tables (and their key columns) whose rows it names."""


@dataclass(frozen=True, slots=True)
class EventField:
    """One field of an event, as a form or a program is told of it.

    Parameters
    ----------
    meaning : with its unit in brackets.
    needed : it may not be left blank.
    sort : moment, day, number, whole, yesno, choice, piece, pieces, unit, id, who, second, events,
        photo or words.
    choices : the words it may hold, where it is a choice.
    """

    name: str
    meaning: str
    needed: bool
    sort: str
    choices: tuple[str, ...] = ()


@cache
def fields_of(kind: str) -> tuple[EventField, ...]:
    """The fields of a kind of event, in the order of its class.

    Raises
    ------
    KeyError : there is no such kind.
    """
    model = KINDS[kind]
    hints = get_type_hints(model)
    return tuple(
        EventField(name, meaning, needed, *_sort(name, hints[name]))
        for name, meaning, needed in event_fields(model)
    )


def _sort(name: str, hint: Any) -> tuple[str, tuple[str, ...]]:
    if get_origin(hint) in (Union, UnionType):
        hint = next(one for one in get_args(hint) if one is not NoneType)
    if get_origin(hint) is tuple:
        return ("pieces" if get_args(hint)[0] is Piece else "events"), ()
    if isinstance(hint, EnumType):
        words: list[Any] = list(hint)
        return "choice", tuple(str(one.value) for one in words)
    if name in _BY_NAME:
        return _BY_NAME[name], ()
    if hint is str:
        return ("id" if name.endswith("_id") or name == "waits_for" else "words"), ()
    return _SORTS.get(hint, "words"), ()


def cells_of(event: Event) -> dict[str, str]:
    """The fields of an event as they are typed into its form.

    Examples
    --------
    >>> from pacewright.events.stages import Moved
    >>> cells_of(Moved(datetime(2026, 3, 2, 7, 30), Piece("body", "B-11"), "paint", 2))["piece"]
    'body:B-11'
    """
    written = write_event(event)
    return {
        one.name: _typed(getattr(event, one.name), written[one.name])
        for one in fields(event)
        if one.name in written
    }


def _typed(value: Any, written: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, Piece | Unit):
        return code_of(value)
    if isinstance(value, tuple):
        return " ".join(code_of(one) for one in value if isinstance(one, Piece))
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.isoformat(timespec="auto" if value.second else "minutes")
    # A float in full: six digits would make another odometer of it.
    return repr(value).removesuffix(".0") if isinstance(value, float) else str(written)


Offer = tuple[str, str]
"""What may be chosen, and what is said beside it."""


def known_for(kind: str, works: Works, now: Standing) -> dict[str, tuple[Offer, ...]]:
    """What may be chosen in each field that names something, by works and record.

    Returns
    -------
    Field -> ids or codes, each with a word on it; a field with nothing to offer is left out. At
    most ``MOST_KNOWN`` a field.
    """
    found: dict[str, tuple[Offer, ...]] = {}
    for one in fields_of(kind):
        known = tuple(islice(_known(kind, one, works, now), MOST_KNOWN))
        if known:
            found[one.name] = known
    return found


def _known(kind: str, one: EventField, works: Works, now: Standing) -> Iterator[Offer]:
    if one.sort in ("piece", "pieces"):
        return _pieces(now)
    if one.sort == "unit":
        return _units(kind, now)
    if one.name == "vehicle_id":
        return _vehicles(kind, works, now)
    if one.name == "place_id":
        return _places(kind, works, now)
    if one.name == "item_id" and kind == "tested":
        return _rows(works, _ITEMS[2:])
    return _rows(works, TABLES.get(one.name, ()))


def _rows(works: Works, tables: tuple[tuple[str, str], ...]) -> Iterator[Offer]:
    given = set()
    for table, column in tables:
        for row in getattr(works, table):
            name = getattr(row, column)
            if name not in given:
                given.add(name)
                yield name, str(getattr(row, "name", ""))


def _pieces(now: Standing) -> Iterator[Offer]:
    for _, one in sorted(now.pieces.items()):
        if one.stands:
            place = f"{one.stage_id} {one.position}" if one.stage_id else one.place_id
            yield code_of(one.piece), place


def _units(kind: str, now: Standing) -> Iterator[Offer]:
    for unit, one in sorted(now.units.items()):
        if _fits(kind, one):
            yield code_of(unit), f"{one.condition.value}, {one.onto or one.place_id}"


_OFF = {"sent", "received", "reconditioned", "scrapped", "quarantined"}
_ON = {"missed", "robbed"}


def _fits(kind: str, unit: UnitStanding) -> bool:
    if kind in ("issued", "fitted"):
        return unit.onto is None and unit.condition is Condition.SERVICEABLE
    if kind == "cleared":
        return unit.condition is Condition.QUARANTINE
    if kind in _OFF:
        return unit.onto is None and unit.condition is not Condition.SCRAPPED
    if kind in _ON:
        return unit.onto is not None or unit.issued_to is not None
    return kind not in ("unit_entered", "purchased") and unit.condition is not Condition.SCRAPPED


_PHASES = {
    "called": (Phase.IN_SERVICE,),
    "arrived": (Phase.CALLED, Phase.IN_SERVICE),
    "called_off": (Phase.CALLED,),
    "admitted": (Phase.AT_GATE,),
    "turned_back": (Phase.AT_GATE,),
    "promised": (Phase.CALLED, Phase.AT_GATE, Phase.INSIDE),
    "odometer_read": tuple(Phase)[:4],
    "withdrawn": tuple(Phase)[:4],
}
"""Kind -> phases of the vehicles it may be about; others: inside."""


def _vehicles(kind: str, works: Works, now: Standing) -> Iterator[Offer]:
    phases = _PHASES.get(kind, (Phase.INSIDE,))
    told = [one for one in now.vehicles.values() if one.phase in phases]
    for one in sorted(told, key=lambda one: (one.phase is Phase.IN_SERVICE, one.vehicle_id)):
        yield one.vehicle_id, f"{one.type_id}, {one.phase.value}"
    if Phase.IN_SERVICE in phases:
        for row in works.vehicles:
            if row.vehicle_id not in now.vehicles:
                yield row.vehicle_id, f"{row.type_id}, {Phase.IN_SERVICE.value}"


def _places(kind: str, works: Works, now: Standing) -> Iterator[Offer]:
    if kind in ("put_out_of_use", "put_into_use"):
        yield from _rows(works, (("stages", "stage_id"), ("unit_kinds", "unit_kind_id")))
        return
    shops = dict(_rows(works, TABLES["shop_id"]))
    places = {one.place_id for one in now.units.values()}
    places |= {one.place_id for one in now.pieces.values()}
    yield from sorted((shops | {one: shops.get(one, "") for one in places if one}).items())


def coded(kind: str, body: Mapping[str, Any]) -> dict[str, Any]:
    """A written event in which things may also be told by their codes (``"motor:M-7"``)."""
    sorts = {one.name: one.sort for one in fields_of(kind)} if kind in KINDS else {}
    return {
        name: _uncoded(value) if sorts.get(name) in ("piece", "unit", "pieces") else value
        for name, value in body.items()
    }


def _uncoded(value: Any) -> Any:
    if isinstance(value, str) and value.count(MARK) == 1:
        return value.split(MARK)
    if isinstance(value, list) and all(isinstance(one, str) and MARK in one for one in value):
        return [_uncoded(one) for one in value]
    return value
