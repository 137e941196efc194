"""Scanned codes and typed text made into events: ``vehicle:1043``, ``motor:M-7``, ``07:30``."""

import json
from collections.abc import Callable, Mapping
from dataclasses import fields
from datetime import date, datetime
from functools import cache
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

from pacewright.base.faults import NameHint
from pacewright.events.registry import KINDS
from pacewright.events.things import WHOLE, Event, Piece, Unit
from pacewright.events.written import Body, UnreadableEventError, read_event

MARK = ":"
"""Stands between what a thing is and its serial; no id holds one."""

_YES_NO = {"yes": True, "no": False, "true": True, "false": False}


class _UnreadableTextError(ValueError):
    """What a text should have been."""


def code_of(thing: Piece | Unit) -> str:
    """The code of a vehicle, assembly or unit, as it is printed on its label.

    Examples
    --------
    >>> code_of(Piece("vehicle", "1043")), code_of(Unit("motor", "M-7"))
    ('vehicle:1043', 'motor:M-7')
    """
    return MARK.join(thing)


def parts_of_code(code: str) -> tuple[str, str] | None:
    """What a thing is and its serial; None when the text is no code.

    Examples
    --------
    >>> parts_of_code("body:B-11"), parts_of_code("B-11")
    (('body', 'B-11'), None)
    """
    sort, mark, serial = (part.strip() for part in code.strip().partition(MARK))
    return (sort, serial) if mark and sort and serial and MARK not in serial else None


def event_from_text(kind: str, cells: Mapping[str, str]) -> Event:
    """An event from what was typed or scanned for each of its fields.

    Parameters
    ----------
    kind : name of the kind, as a record keeps it.
    cells : field -> text; a blank text counts as left out.

    Returns
    -------
    The event, every field checked.

    Raises
    ------
    UnreadableEventError : unknown kind, unknown, missing or wrong field; all that is wrong.

    Examples
    --------
    >>> event_from_text("moved", {"at": "2026-03-02 07:30", "piece": "body:B-11",
    ...                           "stage_id": "paint", "position": "2"}).piece
    Piece(assembly_id='body', serial='B-11')
    """
    model = KINDS.get(kind)
    if model is None:
        return read_event({"kind": kind})
    body: Body = {"kind": kind, "version": model.VERSION}
    known = _readers(kind)
    faults: list[str] = []
    wrong: list[str] = []
    for name, text in cells.items():
        if name not in known:
            hint = NameHint(known)(name)
            remedy = f"The fields are {', '.join(known)}. Correct its name.{hint}"
            faults.append(f"{kind}, {name}: no such field. {remedy}")
            continue
        if not text.strip():
            continue
        try:
            body[name] = known[name](text.strip())
        except _UnreadableTextError as error:
            faults.append(f"{kind}, {name}: '{text}' found. {error}")
            wrong.append(f"{kind}, {name}:")
    try:
        event = read_event(body)
    except UnreadableEventError as error:
        faults += [one for one in error.faults if not one.startswith(tuple(wrong))]
    if faults:
        raise UnreadableEventError(faults)
    return event


@cache
def _readers(kind: str) -> dict[str, Callable[[str], Any]]:
    model = KINDS[kind]
    hints = get_type_hints(model)
    return {one.name: _reader(one.name, hints[one.name]) for one in fields(model)}


def _reader(name: str, hint: Any) -> Callable[[str], Any]:
    if get_origin(hint) in (Union, UnionType):
        hint = next(one for one in get_args(hint) if one is not NoneType)
    if get_origin(hint) is tuple:
        return _things if get_args(hint)[0] is Piece else _events
    if name == "vehicle_id":
        return _number
    return _READERS.get(hint, str)


def _moment(text: str) -> datetime:
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        raise _UnreadableTextError(
            "Date and time are written 2026-03-02T07:30. Correct it."
        ) from None


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise _UnreadableTextError("A date is written 2026-03-02. Correct it.") from None


def _amount(text: str) -> float:
    try:
        if "_" in text:
            raise ValueError
        return float(text)
    except ValueError:
        raise _UnreadableTextError(
            "A number has a decimal point and no other mark. Correct it."
        ) from None


def _whole(text: str) -> int:
    if not text.isascii() or not text.isdigit():
        raise _UnreadableTextError("A whole number is wanted. Correct it.")
    return int(text)


def _yes_no(text: str) -> bool:
    if text.casefold() not in _YES_NO:
        raise _UnreadableTextError("Write yes or no.")
    return _YES_NO[text.casefold()]


def _thing(text: str) -> list[str]:
    parts = parts_of_code(text)
    if parts is None:
        raise _UnreadableTextError(
            "A code says what it is and its serial, as vehicle:1043, body:B-11 or motor:M-7. "
            "Scan the label, or write it so."
        )
    return list(parts)


def _things(text: str) -> list[list[str]]:
    return [_thing(one) for one in text.replace(",", " ").split()]


def _number(text: str) -> str:
    # The label of a vehicle is scanned where its number alone would do.
    return text.removeprefix(WHOLE + MARK).strip()


def _events(text: str) -> list[Any]:
    try:
        read = json.loads(text)
    except ValueError:
        read = None
    if not isinstance(read, list):
        raise _UnreadableTextError("A list of written events, in JSON, is wanted. Correct it.")
    return read


_READERS: dict[Any, Callable[[str], Any]] = {
    datetime: _moment,
    date: _day,
    float: _amount,
    int: _whole,
    bool: _yes_no,
    Piece: _thing,
    Unit: _thing,
}
