"""`pacewright grow` as a user calls it."""

import csv
import json
from pathlib import Path

from typer.testing import CliRunner, Result

from pacewright.cli.app import app
from small_works import write_small

RUN = CliRunner()


def call(*words: object) -> Result:
    """Run a command in this process."""
    return RUN.invoke(app, [str(word) for word in words])


def test_it_writes_a_change_file_that_compare_reads(tmp_path: Path) -> None:
    """Path, summary and change file agree, and the change file goes into compare as it is."""
    works, out = write_small(tmp_path / "works"), tmp_path / "out"
    words = ("--pace", 1.2, "--turn-days", 40, "--promise", 0.5, "--replications", 3)
    done = call("grow", works, *words, "--most-steps", 2, "--out", out, "--json")
    assert done.exit_code == 0, done.output
    summary = json.loads(done.stdout)["summary"]
    assert summary == json.loads((out / "summary.json").read_text())
    with (out / "tables" / "path.csv").open(encoding="utf-8-sig") as file:
        assert len(list(csv.DictReader(file))) == len(summary["steps"])
    few = ("--replications", 2, "--weeks", 10, "--threads", 1, "--json")
    done = call("compare", works, out / "change.toml", *few)
    assert done.exit_code == 0, done.output
    (found,) = json.loads(done.stdout)["summary"]["changes"].values()
    assert any(line.startswith("plan.pace") for line in found["differs"])


def test_without_a_folder_it_says_the_path(tmp_path: Path) -> None:
    """Where it stands, and what fresh chances say of it."""
    works = write_small(tmp_path / "works")
    words = ("--pace", 0.5, "--turn-days", 60, "--promise", 0.5, "--replications", 3)
    done = call("grow", works, *words)
    assert done.exit_code == 0, done.output
    assert "As it is:" in done.stdout
    assert "With fresh chances" in done.stdout


def test_one_price_alone_is_a_wrong_call(tmp_path: Path) -> None:
    """Exit 2, and what to give."""
    works = write_small(tmp_path / "works")
    done = call("grow", works, "--pace", 1, "--turn-days", 30, "--person-cost", 5)
    assert done.exit_code == 2
    assert "a price without these two" in done.stderr
