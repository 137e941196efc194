"""The commands as a user calls them: what they write, say and answer."""

import json
import os
import subprocess
import sys
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from pacewright.callin import solve
from pacewright.cli.app import app
from pacewright.invent.works import USUAL_VEHICLES
from pacewright.plans.programme import Programme
from small_works import write_small

RUN = CliRunner()


def call(*words: object) -> Result:
    """Run a command in this process."""
    return RUN.invoke(app, [str(word) for word in words])


@pytest.fixture
def works(tmp_path: Path) -> Path:
    """The small works as a folder."""
    folder = tmp_path / "works"
    write_small(folder)
    return folder


def listing(folder: Path) -> dict[str, bytes]:
    """Every file below a folder with its bytes."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_check_says_what_is_in_it(works: Path) -> None:
    """A good works answers 0 and counts its tables."""
    done = call("check", works)
    assert done.exit_code == 0
    assert "no fault found" in done.stdout
    assert json.loads(call("check", works, "--json").stdout)["rows"]["vehicles"] == 10


def test_plan_writes_page_workbook_tables_and_summary(works: Path, tmp_path: Path) -> None:
    """A plan answers 0 and leaves the report, the workbook, the tables and the summary."""
    out = tmp_path / "plan"
    done = call("plan", works, "--out", out, "--json")
    assert done.exit_code == 0, done.output
    files = listing(out)
    assert {"report.html", "plan.xlsx", "summary.json", "tables/programme.csv"} <= set(files)
    answer = json.loads(done.stdout)
    assert answer["status"] == "done"
    assert answer["summary"] == json.loads(files["summary.json"])


def test_the_same_works_gives_the_same_plan(works: Path, tmp_path: Path) -> None:
    """Two runs give the same tables, byte for byte, but for the one that tells the seconds."""

    def planned(name: str) -> dict[str, bytes]:
        assert call("plan", works, "--out", tmp_path / name).exit_code == 0
        files = listing(tmp_path / name)
        assert "tables/methods.csv" in files
        return {
            one: text
            for one, text in files.items()
            if one.startswith("tables/") and one != "tables/methods.csv"
        }

    assert planned("one") == planned("two")


def test_faults_answer_one_and_write_nothing(works: Path, tmp_path: Path) -> None:
    """A works with faults answers 1, names each with row and column, and writes nothing."""
    table = works / "stages.csv"
    lines = table.read_text().split("\n")
    lines[1] = lines[1].replace(",12,", ",-12,")
    table.write_text("\n".join(lines))
    out = tmp_path / "plan"
    done = call("plan", works, "--out", out, "--json")
    assert done.exit_code == 1
    answer = json.loads(done.stdout)
    assert answer["status"] == "faults"
    assert [(one["file"], one["row"], one["column"]) for one in answer["faults"]] == [
        ("stages.csv", 2, "hours_least")
    ]
    assert not out.exists()
    assert "-12" in call("check", works).stderr


def test_a_missing_works_answers_one(tmp_path: Path) -> None:
    """A path that is not there is a fault of the files, said in one line."""
    done = call("check", tmp_path / "nowhere")
    assert done.exit_code == 1
    assert "nowhere" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    "words", [(), ("plan",), ("plan", "x"), ("paint",), ("example", "x", "--vehicles", "2")]
)
def test_wrong_calls_answer_two(words: tuple[str, ...]) -> None:
    """A call that is not understood answers 2 and says how to call."""
    done = call(*words)
    assert done.exit_code == 2
    assert "Usage" in done.output


def test_an_unknown_kind_of_example_answers_two(tmp_path: Path) -> None:
    """A kind of works that cannot be invented answers 2 and names those that can."""
    done = call("example", tmp_path / "x", "--kind", "airship", "--json")
    assert done.exit_code == 2
    assert "trolleybus" in json.loads(done.stdout)["message"]
    assert not (tmp_path / "x").exists()


def test_an_example_has_as_many_vehicles_as_its_kind_usually_has(tmp_path: Path) -> None:
    """Without a number a tramway gets a tramway's fleet, not a trolleybus works'."""
    done = call("example", tmp_path / "x", "--kind", "tramway", "--json")
    assert json.loads(done.stdout)["rows"]["vehicles"] == USUAL_VEHICLES["tramway"]


def test_a_plan_never_overwrites_what_is_not_a_plan(works: Path, tmp_path: Path) -> None:
    """A folder with other people's files is refused with 2 and left as it was."""
    out = tmp_path / "letters"
    out.mkdir()
    (out / "dear.txt").write_text("keep me")
    done = call("plan", works, "--out", out)
    assert done.exit_code == 2
    assert listing(out) == {"dear.txt": b"keep me"}


def test_no_plan_answers_three(works: Path, tmp_path: Path) -> None:
    """A pace that brings not one whole vehicle leaves no plan: 3, the reason, nothing written."""
    text = (works / "works.toml").read_text()
    slow = text.replace("vehicles_a_week = 1", "vehicles_a_week = 0.02")
    slow = slow.replace("horizon_weeks = 104", "horizon_weeks = 26")
    (works / "works.toml").write_text(slow)
    out = tmp_path / "plan"
    done = call("plan", works, "--out", out, "--json")
    assert done.exit_code == 3, done.output
    answer = json.loads(done.stdout)
    assert answer["status"] == "no plan"
    assert "Raise vehicles_a_week" in answer["message"]
    assert not out.exists()


def test_a_plan_its_judge_refuses_is_not_given_out(
    works: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A programme with one call moved past its limit answers 3, says so, and writes nothing."""
    made = solve.programme

    def spoilt(*asked: Any) -> Programme:
        good = made(*asked)
        first = good.calls[0]
        late = replace(first, day=first.limit + timedelta(days=700))
        return replace(good, calls=(late, *good.calls[1:]))

    monkeypatch.setattr(solve, "programme", spoilt)
    done = call("plan", works, "--out", tmp_path / "plan", "--json")
    assert done.exit_code == 3
    assert "does not pass its judges" in json.loads(done.stdout)["message"]
    assert not (tmp_path / "plan").exists()


@pytest.mark.parametrize("kind", ["trolleybus", "tramway"])
def test_an_example_is_read_and_planned_from_folder_and_workbook(kind: str, tmp_path: Path) -> None:
    """An invented works passes its own checks, and folder and workbook give the same plan."""
    words = ("--vehicles", 40, "--seed", 3, "--kind", kind)
    assert call("example", tmp_path / "w", *words).exit_code == 0
    assert call("example", tmp_path / "w.xlsx", *words, "--workbook").exit_code == 0
    assert call("plan", tmp_path / "w", "--out", tmp_path / "a").exit_code == 0
    done = call("plan", tmp_path / "w.xlsx", "--out", tmp_path / "b")
    assert done.exit_code == 0, done.output
    hashes = [
        json.loads((tmp_path / name / "summary.json").read_text())["works"]["inputs_hash"]
        for name in "ab"
    ]
    assert hashes[0] == hashes[1]


def test_output_is_clean_when_piped(works: Path, tmp_path: Path) -> None:
    """Piped, standard output holds one JSON object and standard error nothing."""
    code = "from pacewright.cli import main; main()"
    words = [sys.executable, "-W", "error", "-c", code, "plan", str(works)]
    done = subprocess.run(
        [*words, "--out", str(tmp_path / "plan"), "--json"],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "COLUMNS": "80"},
    )
    assert json.loads(done.stdout)["status"] == "done"
    assert done.stderr == ""


def test_version() -> None:
    """--version says the name and the version."""
    assert call("--version").stdout.startswith("pacewright ")
