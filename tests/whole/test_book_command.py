"""``pacewright book``: one event by command, past the door."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from pacewright.cli.app import app
from pacewright.events.registry import KINDS
from pacewright.office.record import open_record
from small_works import write_small

ARRIVED = ["arrived", "vehicle_id=vehicle:101", "type_id=solo", "at=2024-03-02T07:00"]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The small works."""
    return write_small(tmp_path_factory.mktemp("book") / "works")


def called(*words: str) -> tuple[int, str]:
    """Exit code and everything said."""
    done = CliRunner().invoke(app, ["book", *words])
    return done.exit_code, done.output


def test_an_event_is_kept_once_and_corrected(folder: Path) -> None:
    """Kept, then known, then another stands in its place; the record says so."""
    by = ["--by", "clerk 2", "--reference", "docket 7"]
    code, said = called(str(folder), *ARRIVED, *by)
    assert (code, "arrived: kept at place 1" in said) == (0, True)
    first = said.rsplit(" ", 1)[1].strip().rstrip(".")
    code, said = called(str(folder), *ARRIVED, *by)
    assert (code, "arrived: known at place 1" in said) == (0, True)
    later = [*ARRIVED[:3], "at=2024-03-02T06:45"]
    code, said = called(
        str(folder), *later, *by, "--instead-of", first, "--reason", "clock read wrong"
    )
    assert code == 0, said
    with open_record(folder) as ledger:
        assert ledger.standing().vehicles["101"].arrived_at.isoformat() == "2024-03-02T06:45:00"  # type: ignore[union-attr]
        kept = [*ledger.entries()]
    assert [one.entry.reference for one in kept] == ["docket 7"] * 2


def test_a_refused_event_says_why_and_changes_nothing(folder: Path) -> None:
    """Exit code 1, every reason, in JSON too; a trial run keeps nothing either."""
    wrong = ["arrived", "vehicle_id=1O2", "type_id=solo", "at=2024-03-02T07:00", "--by", "c"]
    code, said = called(str(folder), *wrong, "--json")
    told = json.loads(said)
    assert (code, told["status"], told["outcome"], told["place"]) == (1, "refused", "refused", None)
    assert "Is '102' meant?" in told["reasons"][0]
    right = ["arrived", "vehicle_id=103", "type_id=solo", "at=2024-03-02T07:00", "--by", "c"]
    code, said = called(str(folder), *right, "--dry-run")
    assert (code, "would be kept" in said) == (0, True)
    with open_record(folder) as ledger:
        assert "103" not in ledger.standing().vehicles


def test_what_never_happened_is_made_void(folder: Path) -> None:
    """As the page of daily sheets tells it: nothing stands in its place; told anew it is kept."""
    words = ["called", "vehicle_id=105", "type_id=solo", "depot_id=south", "due_in=2024-04-02"]
    words += ["at=2024-03-02T08:00", "--by", "c"]
    _, said = called(str(folder), *words, "--json")
    event_id = json.loads(said)["event_id"]
    void = ["corrected", f"mends={event_id}", "instead=[]", "reason=never happened", "--by", "c"]
    code, said = called(str(folder), *void)
    assert code == 0, said
    with open_record(folder) as ledger:
        assert "105" not in ledger.standing().vehicles
    assert called(str(folder), *words)[1].startswith("called: known")
    assert called(str(folder), *words, "--id", "again-1")[0] == 0
    with open_record(folder) as ledger:
        assert "105" in ledger.standing().vehicles


def test_what_is_no_event_is_a_wrong_call(folder: Path) -> None:
    """Exit code 2 with every fault."""
    code, said = called(str(folder), "moved", "piece=101", "position", "--by", "c")
    assert (code, "a field is written FIELD=VALUE" in said) == (2, True)
    code, said = called(str(folder), "moved", "piece=101", "piece=102", "--by", "c")
    assert (code, "piece: given twice" in said) == (2, True)
    code, said = called(str(folder), "moved", "piece=101", "stage_id=strip", "--by", "c")
    assert code == 2
    assert "Scan the label" in said
    assert "position: nothing found" in said
    code, said = called(str(folder), "moved")
    assert (code, "--by NAME" in said) == (2, True)
    code, said = called(str(folder / "nowhere"), *ARRIVED, "--by", "c")
    assert code == 1


def test_left_out_it_happens_now(folder: Path) -> None:
    """The time is the works clock's, to the minute."""
    code, said = called(str(folder), "odometer_read", "vehicle_id=102", "odometer=9", "--by", "c")
    assert code == 0, said
    with open_record(folder) as ledger:
        at, reading = ledger.standing().vehicles["102"].odometer[-1]
    assert (reading, at.second, at.microsecond) == (9.0, 0, 0)


def test_every_kind_is_listed_with_its_fields() -> None:
    """As text and in JSON."""
    code, said = called("--kinds")
    assert code == 0
    assert all(f"\n{kind}: " in said for kind in KINDS)
    code, said = called("--kinds", "--json")
    told = json.loads(said)["kinds"]
    assert [one["kind"] for one in told] == list(KINDS)
    moved = next(one for one in told if one["kind"] == "moved")
    assert [one["field"] for one in moved["fields"] if one["needed"]] == [
        "piece",
        "stage_id",
        "position",
    ]
