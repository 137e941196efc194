"""`pacewright allot`, from files and a record to the issue booked."""

import json
from datetime import timedelta
from pathlib import Path

import pytest
from typer.testing import CliRunner

from control_case import Case
from pacewright.cli.app import app
from pacewright.events.gate import Promised
from pacewright.events.things import Piece, Unit
from pacewright.ledger.entry import Entry, Outcome
from pacewright.ledger.store import Ledger
from small_works import write_small

RUNNER = CliRunner()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Two vehicles that lack a motor, one motor in store; the second is promised soon."""
    case = Case()
    for number in ("101", "102"):
        whole = case.married(number)
        case.put(whole, "fitout", int(number[-1]))
        case.off(whole, "motor", f"M-{number}")
    case.in_store("motor", "M-new")
    case.tell(Promised, "101", (case.at() + timedelta(days=200)).date())
    case.tell(Promised, "102", (case.at() + timedelta(days=6)).date())
    works = write_small(tmp_path / "works")
    with Ledger.open(works / "record.sqlite") as record:
        answers = record.append([Entry(f"e{n}", one, "clerk 1") for n, one in enumerate(case.told)])
    assert {one.outcome for one in answers} == {Outcome.KEPT}
    return works


def test_it_proposes_and_books_on_demand_only(folder: Path) -> None:
    """Without --book the record stays; with it the unit is issued, once."""
    said = RUNNER.invoke(app, ["allot", str(folder)])
    assert said.exit_code == 0, said.output
    assert "motor:M-new to vehicle:102" in said.output
    assert "Nothing was booked." in said.output
    booked = RUNNER.invoke(app, ["allot", str(folder), "--book", "--by", "storeman 1", "--json"])
    assert booked.exit_code == 0, booked.output
    answer = json.loads(booked.output)
    assert answer["booked"] == [{"unit": "motor:M-new", "outcome": "kept", "reasons": []}]
    assert answer["card"]["bound"] <= answer["card"]["objective"] + 1e-9
    with Ledger.open(folder / "record.sqlite", read_only=True) as record:
        motor = record.standing().units[Unit("motor", "M-new")]
    assert motor.issued_to == Piece("vehicle", "102")
    again = RUNNER.invoke(app, ["allot", str(folder)])
    assert "Issue: nothing" in again.output


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--book"], "--book and --by NAME"),
        (["--book", "--by", "storeman 1", "--at", "2026-03-02T10:00:00"], "--book and --at"),
        (["--database", "nowhere.sqlite"], "no record"),
    ],
)
def test_what_cannot_be_done_says_why(folder: Path, words: list[str], said: str) -> None:
    """Where, found, rule, remedy; exit code 2."""
    done = RUNNER.invoke(app, ["allot", str(folder), *words])
    assert done.exit_code == 2
    assert said in done.output
