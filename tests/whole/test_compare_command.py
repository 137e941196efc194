"""`pacewright compare` as a user calls it."""

import csv
import json
import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from pacewright.cli.app import app
from small_works import write_small

RUN = CliRunner()
TELLING = """
import sys
from contextlib import contextmanager
import pacewright.cli.compare as command

@contextmanager
def waiting():
    yield lambda step, share: print(step, file=sys.stderr, flush=True)

command.waiting = waiting
from pacewright.cli import main
main()
"""
"""The command, with its progress told line by line although no terminal is there."""
FEW = ("--replications", 4, "--weeks", 30, "--threads", 1)
FEWER = """
name = "Half the <people> in the body shop"
[[people]]
shop_id = "body"
trade_id = "body"
people = 2
"""


def call(*words: object) -> Result:
    """Run a command in this process."""
    return RUN.invoke(app, [str(word) for word in words])


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The small works and two changes of it."""
    write_small(tmp_path / "works")
    (tmp_path / "fewer.toml").write_text(FEWER)
    (tmp_path / "nothing.toml").write_text('name = "Nothing"\n')
    return tmp_path


def test_it_writes_page_tables_and_summary(folder: Path) -> None:
    """All agree with each other, and what a user wrote is escaped."""
    out = folder / "out"
    changes = folder / "fewer.toml", folder / "nothing.toml"
    done = call("compare", folder / "works", *changes, "--out", out, *FEW, "--json")
    assert done.exit_code == 0, done.output
    summary = json.loads(done.stdout)["summary"]
    assert summary == json.loads((out / "summary.json").read_text())
    assert list(summary["changes"]) == ["Half the <people> in the body shop", "Nothing"]
    nothing = summary["changes"]["Nothing"]["figures"]
    assert nothing["output_a_week"]["difference"] == 0
    assert nothing["output_a_week"]["verdict"] == "same"
    page = (out / "comparison.html").read_text()
    assert "Half the &lt;people&gt; in the body shop" in page
    assert "<people>" not in page
    assert "people body body: people 6 -&gt; 2" in page
    text = re.sub(r"<(script|style).*?</\1>|<[^>]*>", " ", page, flags=re.S)
    assert not re.search(r"\b(nan|inf)\b", text)
    with (out / "tables" / "differences.csv").open(encoding="utf-8-sig") as file:
        rows = list(csv.DictReader(file))
    mine = next(r for r in rows if r["change"] == "Nothing" and r["figure"] == "turn_days_mean")
    assert float(mine["base"]) == pytest.approx(nothing["turn_days_mean"]["base"])


def test_it_answers_without_a_folder(folder: Path) -> None:
    """Each change by name, each figure with its verdict."""
    done = call("compare", folder / "works", folder / "nothing.toml", *FEW)
    assert done.exit_code == 0, done.output
    assert "4 replications each" in done.stdout
    assert "output: no difference at all (same)" in done.stdout


def test_the_same_call_gives_the_same_figures(folder: Path) -> None:
    """On one thread and on two; with another seed not."""

    def figures(seed: int, threads: int) -> object:
        few = ("--replications", 4, "--weeks", 30, "--threads", threads, "--seed", seed)
        done = call("compare", folder / "works", folder / "fewer.toml", *few, "--json")
        return json.loads(done.stdout)["summary"]["changes"]

    assert figures(2, 1) == figures(2, 2)
    assert figures(2, 1) != figures(3, 1)


def test_faults_of_a_change_are_told(folder: Path) -> None:
    """Exit 1 with the path in the file; nothing is run or written."""
    (folder / "bad.toml").write_text('[[people]]\nshop_id = "body"\ntrade_id = "bdy"\npeople = 1\n')
    done = call("compare", folder / "works", folder / "bad.toml", "--out", folder / "out", *FEW)
    assert done.exit_code == 1
    assert "bad.toml, people.1: body bdy is not in people" in done.stderr
    assert not (folder / "out").exists()


def test_shared_chances_save_runs_on_the_example() -> None:
    """Three more electricians at the trolleybus works: far fewer runs than with chances apart."""
    examples = Path(__file__).parents[2] / "examples"
    change = examples / "changes" / "more-electricians.toml"
    few = ("--replications", 8, "--weeks", 40, "--threads", 1)
    done = call("compare", examples / "trolleybus", change, *few, "--json")
    assert done.exit_code == 0, done.output
    (found,) = json.loads(done.stdout)["summary"]["changes"].values()
    assert len(found["differs"]) == 1
    assert found["differs"][0].startswith("people final electrician: people ")
    assert found["figures"]["turn_days_mean"]["times_fewer"] > 4


def test_ctrl_c_leaves_whole_figures_and_says_on_how_many_they_rest(folder: Path) -> None:
    """A real interrupt while the last side runs: exit 0, all sides over the same replications."""
    out = folder / "out"
    words = ["compare", str(folder / "works"), str(folder / "fewer.toml"), "--out", str(out)]
    # With a precision out of reach all sides run on together, ten at first.
    words += ["--replications", "100000", "--precision", "0.000001", "--weeks", "30"]
    words += ["--of", "turn_days_mean"]
    process = subprocess.Popen(
        [sys.executable, "-c", TELLING, *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stderr is not None
    rounds = 0
    while rounds < 25:
        told = process.stderr.readline()
        assert told, "ended before it could be stopped"
        rounds += "Half the <people>" in told and "replication" in told
    process.send_signal(signal.SIGINT)
    stdout, stderr = process.communicate(timeout=60)
    assert process.returncode == 0, stderr
    assert "stopped before the end" in stdout
    found = json.loads((out / "summary.json").read_text())
    assert found["interrupted"] is True
    assert f"{found['replications']} replications each" in stdout
    figures = found["changes"]["Half the <people> in the body shop"]["figures"]
    assert figures["output_a_week"]["replications"] == found["replications"] >= 10
    assert "Stopped before its end" in (out / "comparison.html").read_text()
