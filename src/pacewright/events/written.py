"""Events to JSON and back, exactly; whatever cannot be read says why."""

import json
from collections.abc import Callable, Mapping
from typing import Any, get_args

from pydantic import TypeAdapter, ValidationError

from pacewright.base.columns import Id, Rule
from pacewright.base.faults import NameHint
from pacewright.events.registry import KIND_OF, KINDS
from pacewright.events.things import Event

Body = dict[str, Any]
_ID_RULE = next(mark for mark in get_args(Id) if isinstance(mark, Rule))


def _as_it_was(body: Body) -> Body:
    return body


UPGRADES: dict[tuple[str, int], Callable[[Body], Body]] = {
    ("work_started", 1): _as_it_was,  # 2: operation_id, which may be left out
    ("piece_entered", 1): _as_it_was,  # 2: type_id, which may be left out
    ("found", 1): _as_it_was,  # 2: photo, which may be left out
    ("unit_found", 1): _as_it_was,  # 2: photo, which may be left out
}
"""(kind, version) -> the body of that version made into one of the next version."""


class UnreadableEventError(ValueError):
    """What stands there is no event; ``faults`` says all that is wrong, a sentence each."""

    def __init__(self, faults: list[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(faults))


_ADAPTERS: dict[type[Event], TypeAdapter[Any]] = {}


def _adapter(model: type[Event]) -> TypeAdapter[Any]:
    # Built when first asked for: all of them take a quarter of a second.
    if model not in _ADAPTERS:
        _ADAPTERS[model] = TypeAdapter(model)
    return _ADAPTERS[model]


def write_event(event: Event) -> Body:
    """An event as plain values: its kind, its version and every field.

    Returns
    -------
    A mapping that JSON can hold; moments and days as ISO 8601 text.
    """
    model = type(event)
    body: Body = _adapter(model).dump_python(event, mode="json")
    return {"kind": KIND_OF[model], "version": model.VERSION, **body}


def to_json(event: Event) -> str:
    """An event as one line of JSON, the same for equal events (keys sorted, no blanks)."""
    return json.dumps(write_event(event), sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def read_event(written: Mapping[str, Any]) -> Event:
    """The event that ``write_event`` wrote, of its present or an earlier version.

    Raises
    ------
    UnreadableEventError : unknown kind or version; a field is unknown, missing or wrong.
    """
    kind = written.get("kind")
    model = KINDS.get(kind) if isinstance(kind, str) else None
    if model is None:
        hint = NameHint(KINDS)(kind) if isinstance(kind, str) else ""
        raise UnreadableEventError(
            [f"kind: {kind!r} found. It names a kind of event. Correct it.{hint}"]
        )
    body = {name: cell for name, cell in written.items() if name not in ("kind", "version")}
    body = _upgraded(str(kind), written.get("version"), body, model.VERSION)
    try:
        event: Event = _adapter(model).validate_python(body)
    except ValidationError as error:
        raise UnreadableEventError(_sentences(str(kind), error)) from None
    return event


def from_json(text: str) -> Event:
    """The event that ``to_json`` wrote.

    Raises
    ------
    UnreadableEventError : the text is no JSON object, or no event.
    """
    try:
        written = json.loads(text)
    except ValueError as error:
        raise UnreadableEventError([f"event: not JSON ({error}). Send it again."]) from None
    if not isinstance(written, dict):
        raise UnreadableEventError(["event: not a JSON object. Send kind, version and fields."])
    return read_event(written)


def faults_of(event: Event) -> tuple[str, ...]:
    """What is wrong with the fields of an event made in Python; empty when nothing is."""
    try:
        read_event(write_event(event))
    except UnreadableEventError as error:
        return error.faults
    return ()


def _upgraded(kind: str, version: Any, body: Body, present: int) -> Body:
    if type(version) is not int or not 1 <= version <= present:
        raise UnreadableEventError(
            [
                f"{kind}, version: {version!r} found. Versions 1 to {present} can be read. "
                "Correct it, or use a newer Pacewright."
            ]
        )
    for step in range(version, present):
        body = UPGRADES[kind, step](body)
    return body


_WANTED: dict[str, str] = {
    "missing": "The field is needed. Give it.",
    "unexpected_keyword_argument": "There is no such field. Leave it out or correct its name.",
    "int_type": "A whole number is wanted. Write it without quotes.",
    "float_type": "A number is wanted. Write it without quotes.",
    "bool_type": "true or false is wanted. Correct it.",
    "string_type": "Text is wanted. Put it in quotes.",
    "tuple_type": "A list is wanted. Correct it.",
    "dict_type": "A written event is wanted. Correct it.",
    "greater_than_equal": "The least is {ge:g}. Correct it.",
    "less_than_equal": "The most is {le:g}. Correct it.",
    "finite_number": "A finite number is wanted. Correct it.",
    "string_too_short": "It may not be blank. Fill it in.",
    "string_too_long": "It has at most {max_length} characters. Shorten it.",
    "too_short": "At least one is wanted. Fill it in.",
    "enum": "It is one of {expected}. Correct it.",
    "value_error": "{error}. Correct it.",
}
"""Sort of fault -> rule and remedy; the library's own words would mean nothing to a clerk."""


def _sentences(kind: str, error: ValidationError) -> list[str]:
    found = []
    for one in error.errors(include_url=False):
        field = ".".join(str(part) for part in one["loc"])
        what = "nothing" if one["type"] == "missing" else repr(one["input"])
        found.append(f"{kind}, {field}: {what} found. {_wanted(one['type'], one)}")
    return found


def _wanted(sort: str, fault: Mapping[str, Any]) -> str:
    context = fault.get("ctx", {})
    if sort == "string_pattern_mismatch":
        if "a-f" in context["pattern"]:
            return "The SHA-256 of a kept photo is wanted, 64 hexadecimal digits. Send it first."
        if "A-Z" not in context["pattern"]:
            return "One line of text is wanted. Take out line ends and control characters."
        return f"{_ID_RULE.rule} {_ID_RULE.remedy}"
    if sort not in _WANTED:
        return f"{fault['msg']}. Correct it."
    return _WANTED[sort].format(**context)
