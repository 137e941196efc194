"""Events to JSON and back."""

import json
from datetime import date, datetime
from enum import Enum
from typing import Any, get_args, get_origin, get_type_hints

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacewright.events import written
from pacewright.events.kinds import RULES_AND_CHANGES
from pacewright.events.reference import event_fields
from pacewright.events.registry import KIND_OF, KINDS
from pacewright.events.stages import Moved
from pacewright.events.things import Event, Piece, Unit
from pacewright.events.units import Robbed
from pacewright.events.written import (
    UnreadableEventError,
    faults_of,
    from_json,
    read_event,
    to_json,
    write_event,
)

AT = datetime(2026, 3, 2, 7, 30)
IDS = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9._/-]{0,39}", fullmatch=True)
DIGESTS = st.just("") | st.binary(min_size=32, max_size=32).map(bytes.hex)
WORDS = st.text(
    st.characters(exclude_categories=["Cc", "Cs"]), min_size=1, max_size=60
)  # surrogates cannot be written as UTF-8
PLAIN: dict[Any, st.SearchStrategy[Any]] = {
    datetime: st.datetimes(),
    date: st.dates(),
    float: st.floats(0, 1e9),
    int: st.integers(1, 10**6),
    bool: st.booleans(),
    Piece: st.builds(Piece, IDS, IDS),
    Unit: st.builds(Unit, IDS, IDS),
    dict[str, Any]: st.builds(
        lambda piece: write_event(Moved(AT, piece, "x", 1)), st.just(Piece("a", "b"))
    ),
}


def values(hint: Any) -> st.SearchStrategy[Any]:
    """Values that a field with this annotation may have."""
    marks = getattr(hint, "__metadata__", ())
    inner = get_args(hint)[0] if marks else hint
    if type(None) in get_args(inner):
        return st.none() | values(get_args(inner)[0])
    if get_origin(inner) is tuple:
        return st.lists(values(get_args(inner)[0]), min_size=1, max_size=3).map(tuple)
    if inner is str and any("a-f" in str(mark) for mark in marks):
        return DIGESTS
    if inner is str:
        return IDS if any("A-Za-z0-9" in str(mark) for mark in marks) else WORDS
    if isinstance(inner, type) and issubclass(inner, Enum):
        return st.sampled_from(list(inner))
    return PLAIN[inner]


def events(model: type[Event]) -> st.SearchStrategy[Event]:
    """Events of one kind with any fields that its rules allow."""
    hints = get_type_hints(model, include_extras=True)
    return st.builds(model, **{name: values(hints[name]) for name, _, _ in event_fields(model)})


ANY_EVENT = st.sampled_from(list(KINDS.values())).flatmap(events)


@given(ANY_EVENT)
def test_every_event_is_read_back_exactly(event: Event) -> None:
    """Whatever may be told of any kind is written and read back equal, and written again alike."""
    text = to_json(event)
    back = from_json(text)
    assert back == event
    assert type(back) is type(event)
    assert to_json(back) == text
    assert faults_of(event) == ()


def test_every_kind_has_name_fields_rules_and_change() -> None:
    """The registry is whole: names in the past, one class each, each field explained."""
    assert len(KIND_OF) == len(KINDS)
    assert set(RULES_AND_CHANGES) == set(KIND_OF)
    for kind, model in KINDS.items():
        words = kind.split("_")
        assert model.__name__ == "".join(word.title() for word in words)
        assert all(meaning for _, meaning, _ in event_fields(model))


def test_the_written_form_is_pinned() -> None:
    """A line once written is what it was: sorted keys, no blanks, ISO moments (by hand)."""
    line = (
        '{"approved_by":"A","at":"2026-03-02T07:30:00","kind":"robbed","off":["vehicle","11"],'
        '"reason":"","second_approval":"B","to":["vehicle","12"],"unit":["motor","M-1"],'
        '"version":1}'
    )
    event = Robbed(
        AT, Unit("motor", "M-1"), Piece("vehicle", "11"), Piece("vehicle", "12"), "A", "B"
    )
    assert to_json(event) == line
    assert from_json(line) == event


GOOD = {
    "kind": "moved",
    "version": 1,
    "at": "2026-03-02T07:30",
    "piece": ["body", "B-1"],
    "stage_id": "paint",
    "position": 3,
}


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"at": 1772436600}, "without a zone"),
        ({"at": "2026-03-02T07:30+01:00"}, "without a zone"),
        ({"at": "02.03.2026"}, "2026-03-02T07:30"),
        ({"piece": ["body"]}, "piece.1: nothing found. The field is needed"),
        ({"piece": ["body", "B 1"]}, "An id has 1 to 40 letters"),
        ({"piece": ["body", ""]}, "An id has 1 to 40 letters"),
        ({"piece": "body B-1"}, "piece"),
        ({"position": "3"}, "position: '3' found. A whole number is wanted"),
        ({"position": 0}, "position: 0 found. The least is 1"),
        ({"position": 10**7}, "position: 10000000 found. The most is 1e+06"),
        ({"position": True}, "position: True found. A whole number is wanted"),
        ({"position": None}, "position: None found. A whole number is wanted"),
        ({"stage_id": 5}, "stage_id: 5 found. Text is wanted"),
        ({"stage": "paint"}, "There is no such field"),
        ({"version": 2}, "Versions 1 to 1 can be read"),
        ({"version": True}, "Versions 1 to 1 can be read"),
        ({"kind": "movd"}, "Is 'moved' meant?"),
        ({"kind": None}, "names a kind of event"),
        ({"kind": "freed", "cause": "boredom", "freed_by": "a\nb"}, "It is one of 'gate', 'part'"),
        ({"kind": "stored", "place_id": "yard\n"}, "An id has 1 to 40 letters"),
        ({"kind": "withdrawn", "vehicle_id": "11", "reason": "a\nb"}, "One line of text"),
        ({"kind": "released", "vehicle_id": "11", "signed_by": ""}, "It may not be blank"),
        ({"kind": "released", "vehicle_id": "11", "signed_by": "x" * 200}, "at most 120"),
        ({"kind": "odometer_read", "vehicle_id": "11", "odometer": float("nan")}, "odometer"),
        ({"kind": "odometer_read", "vehicle_id": "11", "odometer": "5"}, "A number is wanted"),
        ({"kind": "parted", "vehicle_id": "11", "pieces": []}, "At least one is wanted"),
        ({"kind": "tested", "item_id": "brake", "passed": "yes"}, "true or false"),
        ({"kind": "promised", "vehicle_id": "11", "release_day": "2.3.2026"}, "as 2026-03-02"),
        ({"kind": "promised", "vehicle_id": "11", "release_day": 5}, "as 2026-03-02"),
    ],
)
def test_what_is_no_event_says_why(change: dict[str, Any], told: str) -> None:
    """Each wrong field is told with what was found and what is wanted; nothing is guessed."""
    with pytest.raises(UnreadableEventError, match=r"[.?]$") as caught:
        read_event({**GOOD, **change})
    assert told in str(caught.value)


def test_all_faults_of_an_event_are_told_at_once() -> None:
    """Three wrong fields give three sentences."""
    with pytest.raises(UnreadableEventError) as caught:
        read_event({**GOOD, "at": 5, "position": -1, "colour": "blue"})
    assert len(caught.value.faults) == 3


@pytest.mark.parametrize("text", ["", "{", "[]", '"moved"', "null"])
def test_text_that_is_no_object_is_refused(text: str) -> None:
    """Broken JSON and other JSON than an object are refused, not read as something."""
    with pytest.raises(UnreadableEventError, match="event: not"):
        from_json(text)


def test_an_event_made_wrong_in_python_is_found_out() -> None:
    """Python itself checks nothing; the door does."""
    assert "position: 0 found" in faults_of(Moved(AT, Piece("body", "B-1"), "paint", 0))[0]


def test_an_older_version_is_upgraded_step_by_step(monkeypatch: pytest.MonkeyPatch) -> None:
    """A body of version 1 becomes one of version 3 by the two steps between."""
    monkeypatch.setattr(Moved, "VERSION", 3)
    upgrades = {
        ("moved", 1): lambda body: {**body, "position": body["position"] + 1},
        ("moved", 2): lambda body: {**body, "stage_id": body["stage_id"] + "-2"},
    }
    monkeypatch.setattr(written, "UPGRADES", upgrades)
    assert read_event(GOOD) == Moved(AT, Piece("body", "B-1"), "paint-2", 4)
    assert json.loads(to_json(read_event(GOOD)))["version"] == 3
