"""Codes scanned and text typed, made into events."""

from datetime import date, datetime

import pytest

from pacewright.events.registry import KINDS
from pacewright.events.scan import _readers, code_of, event_from_text, parts_of_code
from pacewright.events.things import Piece, Unit, Verdict
from pacewright.events.written import UnreadableEventError

AT = {"at": "2026-03-02 07:30"}


def test_a_code_is_read_as_it_was_written() -> None:
    """Vehicles, assemblies and units all have one form of label."""
    for thing in (Piece("vehicle", "1043"), Piece("body", "B-11"), Unit("motor", "M/7.2")):
        assert parts_of_code(code_of(thing)) == tuple(thing)


@pytest.mark.parametrize("text", ["", "M-7", "motor:", ":M-7", "motor:M:7", " : "])
def test_what_is_no_code_is_not_guessed(text: str) -> None:
    """A serial alone, or two marks, name nothing."""
    assert parts_of_code(text) is None


def test_every_sort_of_field_is_read() -> None:
    """Codes, numbers, days, yes and no, choices; blank is left out; a label gives a number."""
    arrived = event_from_text("arrived", AT | {"vehicle_id": "vehicle:1043", "type_id": "T1"})
    assert (arrived.at, arrived.vehicle_id) == (datetime(2026, 3, 2, 7, 30), "1043")  # type: ignore[attr-defined]
    found = event_from_text(
        "found",
        AT | {"piece": "body:B-1", "item_id": "x", "verdict": "repair", "measurement": "1.5"},
    )
    assert (found.verdict, found.measurement) == (Verdict.REPAIR, 1.5)  # type: ignore[attr-defined]
    tested = event_from_text(
        "tested", AT | {"piece": "vehicle:1", "item_id": "b", "passed": "Yes", "reading": " "}
    )
    assert (tested.passed, tested.reading) == (True, None)  # type: ignore[attr-defined]
    parted = event_from_text(
        "parted", AT | {"vehicle_id": "1", "pieces": "body:B-1, bogie:G-1 bogie:G-2"}
    )
    assert len(parted.pieces) == 3  # type: ignore[attr-defined]
    promised = event_from_text("promised", AT | {"vehicle_id": "1", "release_day": "2026-04-01"})
    assert promised.release_day == date(2026, 4, 1)  # type: ignore[attr-defined]
    mended = event_from_text("corrected", AT | {"mends": "e-1", "instead": "[]", "reason": "slip"})
    assert mended.instead == ()  # type: ignore[attr-defined]


def test_all_that_is_wrong_is_told_at_once() -> None:
    """Every field, each once, with what stood there and what to do."""
    with pytest.raises(UnreadableEventError) as error:
        event_from_text("moved", {"at": "7:30", "piece": "B-1", "positon": "2", "position": "two"})
    told = error.value.faults
    assert [one.split(":")[0] for one in sorted(told)] == [
        "moved, at",
        "moved, piece",
        "moved, position",
        "moved, positon",
        "moved, stage_id",
    ]
    assert "Is 'position' meant?" in " ".join(told)


@pytest.mark.parametrize(
    ("kind", "field", "text"),
    [
        ("tested", "passed", "maybe"),
        ("tested", "reading", "1_000"),
        ("tested", "reading", "1,5"),
        ("promised", "release_day", "1.4.2026"),
        ("corrected", "instead", "{}"),
        ("corrected", "instead", "nothing"),
        ("moved", "position", "-1"),
        ("moved", "position", "0"),
        ("found", "verdict", "fine"),
    ],
)
def test_nothing_is_guessed(kind: str, field: str, text: str) -> None:
    """Other ways of writing are refused and quoted."""
    with pytest.raises(UnreadableEventError) as error:
        event_from_text(kind, AT | {field: text})
    assert any(one.startswith(f"{kind}, {field}") for one in error.value.faults)


def test_an_unknown_kind_is_told_with_the_nearest() -> None:
    """The kind is the first thing that must be right."""
    with pytest.raises(UnreadableEventError, match="Is 'arrived' meant"):
        event_from_text("arived", {})


def test_every_field_of_every_kind_can_be_typed() -> None:
    """No kind is left out of booking by command."""
    for kind in KINDS:
        assert "at" in _readers(kind)
