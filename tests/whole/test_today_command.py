"""`pacewright today` and `pacewright shortages`, from files and a record to the answer."""

import csv
import json
import subprocess
import sys
from datetime import datetime
from pathlib import Path

import pytest
from typer.testing import CliRunner

from control_case import Case, days
from pacewright.cli.app import app
from pacewright.events.gate import Arrived
from pacewright.events.things import Condition, Unit
from pacewright.events.units import UnitEntered
from pacewright.ledger.entry import Entry, Outcome
from pacewright.ledger.store import Ledger
from small_works import write_small

MONDAY = datetime(2026, 3, 9, 7, 0)
RUNNER = CliRunner()


def told() -> Case:
    """Vehicle 101 stands in the fit-out without its motor; 102 is stripped; 105 waits outside."""
    case = Case()
    case.tell(UnitEntered, Unit("valve", "V-9"), Condition.SERVICEABLE, "store")
    first = case.married("101")
    case.day(MONDAY)
    case.passes(first, "marry")
    case.put(first, "fitout")
    case.off(first, "motor", "M-1")
    case.day(MONDAY + days(1))
    second = case.let_in_type("102")
    case.put(second, "strip")
    case.tell(Arrived, "105", "solo", "south")
    return case


@pytest.fixture(scope="module")
def works(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The small works with that record."""
    folder = write_small(tmp_path_factory.mktemp("works"))
    with Ledger.open(folder / "record.sqlite") as record:
        entries = [Entry(f"e-{place}", event, "clerk 1") for place, event in enumerate(told().told)]
        answers = record.append(entries)
    assert {one.outcome for one in answers} == {Outcome.KEPT}, answers
    return folder


def test_today_says_the_day(works: Path) -> None:
    """The answer names what is short and for whom, what waits, and the safety lines."""
    done = RUNNER.invoke(app, ["today", str(works)], env={"COLUMNS": "200"})
    assert done.exit_code == 0, done.output
    assert "Lindmoor Works, 2026-03-10" in done.output
    assert "Traction motor" in done.output
    assert "vehicle 105" in done.output.lower()
    assert "never shortened" in done.output
    assert "Since yesterday" in done.output


def test_today_in_json_and_files_say_the_same(works: Path, tmp_path: Path) -> None:
    """JSON, CSV and page hold the same shortages."""
    out = tmp_path / "day"
    done = RUNNER.invoke(app, ["today", str(works), "--out", str(out), "--json"])
    assert done.exit_code == 0, done.output
    tables = json.loads(done.output)["day"]["tables"]
    with (out / "tables" / "shortages.csv").open(encoding="utf-8-sig") as file:
        rows = list(csv.DictReader(file))
    assert [row["serial"] for row in rows] == [r["serial"] for r in tables["shortages"]["rows"]]
    page = (out / "today.html").read_text(encoding="utf-8")
    for row in tables["shortages"]["rows"]:
        assert row["name"] in page
    assert "http" not in page.split("<main>")[1]
    assert {path.stem for path in (out / "tables").iterdir()} == set(tables)


def test_a_shop_sees_its_own_sheet(works: Path) -> None:
    """The electrical shop sees motors and no valves; an unknown shop is told which there are."""
    done = RUNNER.invoke(app, ["today", str(works), "--shop", "elec", "--json"])
    tables = json.loads(done.output)["day"]["tables"]
    assert {row["unit_kind_id"] for row in tables["units_due"]["rows"]} == {"motor"}
    assert {row["owner"] for row in tables["shortages"]["rows"]} == {"elec"}
    answer = " ".join(json.loads(done.output)["day"]["answer"])
    assert "Traction motor" in answer
    assert "Brake valve" not in answer
    wrong = RUNNER.invoke(app, ["today", str(works), "--shop", "laundry"])
    assert wrong.exit_code == 2
    assert "strip, body, run, elec, paint, test" in wrong.stderr


def test_shortages_alone(works: Path) -> None:
    """Within two days: motor and valves of the vehicle in the fit-out, and no other."""
    done = RUNNER.invoke(app, ["shortages", str(works), "--days", "2", "--json"])
    rows = json.loads(done.output)["shortages"]["rows"]
    assert {(row["unit_kind_id"], row["vehicle_id"]) for row in rows} == {
        ("motor", "101"),
        ("valve", "101"),
    }
    motor = next(row for row in rows if row["unit_kind_id"] == "motor")
    assert (motor["serial"], motor["source"]) == ("M-1", "in repair")
    text = RUNNER.invoke(app, ["shortages", str(works)], env={"COLUMNS": "200"})
    assert "Traction motor" in text.output


def test_an_earlier_moment_can_be_asked_about(works: Path) -> None:
    """On Monday morning no motor was off yet."""
    done = RUNNER.invoke(app, ["shortages", str(works), "--at", "2026-03-09T07:01", "--json"])
    rows = json.loads(done.output)["shortages"]["rows"]
    assert "motor" not in {row["unit_kind_id"] for row in rows}


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        (["today", "--at", "tomorrow"], "'tomorrow' found. A moment of the works clock is wanted."),
        (["shortages", "--at", "2026-03-09T07:01Z"], "A moment of the works clock is wanted."),
        (["promises", "--since", "9 March"], "'9 March' found. A day is wanted."),
        (["today", "--days", "0"], "'--days': 0 is not in the range"),
    ],
    ids=str,
)
def test_a_wrong_value_is_told_in_plain_words(works: Path, words: list[str], wanted: str) -> None:
    """What was found and what is wanted; no pattern, and no variable that there is not."""
    done = RUNNER.invoke(app, [words[0], str(works), *words[1:]])
    assert done.exit_code == 2
    assert wanted in done.stderr
    assert "%" not in done.stderr
    assert "env var" not in done.stderr


def test_without_a_record_there_is_no_day(tmp_path: Path) -> None:
    """A works without a record says what is missing and what to do."""
    done = RUNNER.invoke(app, ["today", str(write_small(tmp_path / "w"))])
    assert done.exit_code == 2
    assert "no record" in done.stderr


def test_with_its_plan_the_day_knows_waits_and_floats(works: Path) -> None:
    """With the plan made first the demand comes from its float list."""
    done = RUNNER.invoke(app, ["today", str(works), "--with-plan", "--json"])
    day = json.loads(done.output)["day"]
    assert any("float list of the plan" in line for line in day["basis"])
    assert any("the line of the plan" in line for line in day["basis"])


def test_the_day_starts_quickly(works: Path) -> None:
    """It loads neither compiler nor solver: none of numba, highspy and the like."""
    code = (
        "import sys; sys.argv = ['pacewright', 'today', sys.argv[1], '--json']\n"
        "from pacewright.cli import main\n"
        "try: main()\n"
        "except SystemExit as end: assert not end.code\n"
        "heavy = ('numba', 'highspy', 'jinja2', 'scipy')\n"
        "print([m for m in heavy if m in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(works)], capture_output=True, text=True, check=True
    )
    assert done.stderr.strip().split("\n")[-1] == "[]"
