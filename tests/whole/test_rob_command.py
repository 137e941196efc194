"""`pacewright rob`, from files and a record to the register."""

import json
from datetime import timedelta
from pathlib import Path

import pytest
from typer.testing import CliRunner

from control_case import Case
from pacewright.cli.app import app
from pacewright.events.gate import Promised
from pacewright.events.stages import Held
from pacewright.events.things import Cause, Piece, Unit
from pacewright.events.units import Fitted, Purchased, SeenOn
from pacewright.ledger.entry import Entry, Outcome
from pacewright.ledger.store import Ledger
from small_works import write_small

RUNNER = CliRunner()
MOTOR = ["--unit", "motor:M-good", "--off", "vehicle:101", "--to", "vehicle:102", "--runs", "30"]
APPROVED = ["--approve", "F. Foreman", "--approve", "P. Planner", "--reason", "102 is due"]


def story() -> Case:
    """101 has got a good motor and waits; 102 lacks one and is promised soon."""
    case = Case()
    for number in ("101", "102"):
        whole = case.married(number)
        case.put(whole, "fitout", int(number[-1]))
        case.off(whole, "motor", f"M-{number}")
        case.tell(Promised, number, (case.at() + timedelta(days=25)).date())
    case.tell(Purchased, Unit("motor", "M-good"), "store")
    case.tell(Fitted, Unit("motor", "M-good"), Piece("vehicle", "101"))
    return case


def written(case: Case, folder: Path) -> Path:
    """The small works with the record of a story."""
    works = write_small(folder / "works")
    with Ledger.open(works / "record.sqlite") as record:
        answers = record.append([Entry(f"e{n}", one, "clerk 1") for n, one in enumerate(case.told)])
    assert {one.outcome for one in answers} == {Outcome.KEPT}, [a.reasons for a in answers]
    return works


def rob(works: Path, *words: str) -> tuple[int, dict[str, object]]:
    """Exit code and answer."""
    done = RUNNER.invoke(app, ["rob", str(works), *MOTOR, *words, "--json"])
    answer: dict[str, object] = json.loads(done.output)
    return done.exit_code, answer


def test_the_cost_is_said_first_and_nothing_is_booked(tmp_path: Path) -> None:
    """The robbed vehicle comes later, the helped one sooner; without approvals the record stays."""
    works = written(story(), tmp_path)
    code, said = rob(works)
    assert code == 0
    assert said["booked"] is None
    robbed, helped = said["robbed"], said["helped"]
    assert isinstance(robbed, dict)
    assert isinstance(helped, dict)
    assert robbed["days_later"] > robbed["half_width"] > 0
    assert helped["days_later"] < -helped["half_width"] < 0
    assert robbed["keeps_after"] <= robbed["keeps_before"]
    assert said["hours"] == pytest.approx(2 * 2.0)
    with Ledger.open(works / "record.sqlite", read_only=True) as record:
        assert not record.standing().robberies


def test_two_people_book_it_and_it_stays_in_the_register(tmp_path: Path) -> None:
    """Booked on two approvals; the register says who, why, and whether it was made good since."""
    works = written(story(), tmp_path)
    code, said = rob(works, *APPROVED)
    assert code == 0
    booked = said["booked"]
    assert isinstance(booked, dict)
    assert booked["outcome"] == "kept"
    listed = RUNNER.invoke(app, ["rob", str(works), "--register", "--json"])
    (row,) = json.loads(listed.output)["robberies"]
    assert (row["robbed_id"], row["helped_id"]) == ("101", "102")
    assert {row["approved_by"], row["second_approval"]} == {"F. Foreman", "P. Planner"}
    assert row["reason"] == "102 is due"
    assert row["made_good"] is None
    with Ledger.open(works / "record.sqlite") as record:
        at = record.standing().robberies[0].at + timedelta(days=4)
        new = Unit("motor", "M-new")
        later = [Purchased(at, new, "store"), Fitted(at, new, Piece("vehicle", "101"))]
        record.append([Entry(f"later-{n}", one, "clerk 1") for n, one in enumerate(later)])
    text = RUNNER.invoke(app, ["rob", str(works), "--register"]).output
    assert f"made good {at:%Y-%m-%d}" in text


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--approve", "F. Foreman", "--reason", "x"], "two, by name, of two people"),
        (["--approve", "F. Foreman", "--approve", "f.  foreman", "--reason", "x"], "of two people"),
        (["--approve", "F. Foreman", "--approve", "P. Planner"], "--reason: not given"),
    ],
)
def test_it_takes_two_people_and_a_reason(tmp_path: Path, words: list[str], said: str) -> None:
    """One person, the same person twice, or no reason: a wrong call, nothing booked."""
    works = written(story(), tmp_path)
    done = RUNNER.invoke(app, ["rob", str(works), *MOTOR, *words])
    assert done.exit_code == 2
    assert said in done.output


@pytest.mark.parametrize("held", ["101", "102"])
def test_a_safety_hold_on_either_vehicle_refuses(tmp_path: Path, held: str) -> None:
    """No approvals set a safety hold aside."""
    case = story()
    case.tell(Held, Piece("vehicle", held), Cause.SAFETY, "", "cracked pillar")
    works = written(case, tmp_path)
    code, said = rob(works, *APPROVED)
    assert code == 1
    assert said["booked"] is None
    refused = said["refused"]
    assert isinstance(refused, list)
    assert any("safety hold" in one for one in refused)


def test_a_must_change_unit_that_has_run_is_refused(tmp_path: Path) -> None:
    """A valve must be changed on every vehicle: one that came in on another does not do."""
    case = story()
    valve = Unit("valve", "V-old")
    case.tell(Purchased, valve, "store")
    case.tell(SeenOn, valve, Piece("vehicle", "101"), "F. Foreman")
    case.off(Piece("vehicle", "102"), "valve", "V-102")
    works = written(case, tmp_path)
    words = ["--unit", "valve:V-old", "--off", "vehicle:101", "--to", "vehicle:102", "--json"]
    done = RUNNER.invoke(app, ["rob", str(works), "--runs", "20", *words])
    assert done.exit_code == 1, done.output
    assert any("must-change" in one for one in json.loads(done.output)["refused"])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "--unit, --off and --to are needed"),
        (["--unit", "M-7", "--off", "vehicle:1", "--to", "vehicle:2"], "--unit M-7: no code"),
        (["--unit", "motor:M-7", "--off", "1", "--to", "vehicle:2"], "--off 1: no code"),
    ],
)
def test_what_is_not_named_is_asked_for(tmp_path: Path, words: list[str], said: str) -> None:
    """Where, found, rule, remedy; exit code 2."""
    works = written(story(), tmp_path)
    done = RUNNER.invoke(app, ["rob", str(works), *words])
    assert done.exit_code == 2
    assert said in done.output
