"""`pacewright simulate` as a user calls it: what it writes, says, refuses, how it is stopped."""

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
import pacewright.cli.simulate as command

@contextmanager
def waiting():
    yield lambda step, share: print(step, file=sys.stderr, flush=True)

command.waiting = waiting
from pacewright.cli import main
main()
"""
"""The command, with its progress told line by line although no terminal is there."""
FEW = ("--replications", 3, "--weeks", 20, "--threads", 1)


def call(*words: object) -> Result:
    """Run a command in this process."""
    return RUN.invoke(app, [str(word) for word in words])


@pytest.fixture
def works(tmp_path: Path) -> Path:
    """The small works as a folder."""
    folder = tmp_path / "works"
    write_small(folder)
    return folder


def test_it_writes_the_report_with_what_came_of_the_plan(works: Path, tmp_path: Path) -> None:
    """The report folder of a plan and, in its summary, the forecast with seed and replications."""
    out = tmp_path / "run"
    done = call("simulate", works, "--out", out, *FEW, "--seed", 5, "--json")
    assert done.exit_code == 0, done.output
    answer = json.loads(done.stdout)
    assert answer["summary"] == json.loads((out / "summary.json").read_text())
    found = answer["summary"]["forecast"]
    assert (found["replications"], found["seed"], found["interrupted"]) == (3, 5, False)
    assert (out / "report.html").stat().st_size > 10_000


def test_without_a_folder_it_only_answers(works: Path, tmp_path: Path) -> None:
    """Nothing is written; every headline figure has its interval."""
    before = sorted(tmp_path.rglob("*"))
    done = call("simulate", works, *FEW)
    assert done.exit_code == 0, done.output
    assert "run through 3 times" in done.stdout
    assert done.stdout.count("±") >= 5
    assert sorted(tmp_path.rglob("*")) == before


def test_the_same_call_gives_the_same_figures(works: Path) -> None:
    """Twice the same but for the seconds; with another seed not."""

    def figures(seed: int) -> object:
        done = call("simulate", works, *FEW, "--seed", seed, "--json")
        return json.loads(done.stdout)["summary"]["forecast"]["figures"]

    assert figures(2) == figures(2)
    assert figures(2) != figures(3)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--of", "speed"), "--of speed: no such figure"),
        (("--from", "yesterday"), "--from yesterday: no such start. Choose one of: now, empty"),
        (("--cluster", "tcp://127.0.0.1:9"), "--threads and --cluster: the first is for this"),
    ],
)
def test_a_wrong_call_is_told_with_what_would_be_right(
    works: Path, words: tuple[str, ...], said: str
) -> None:
    """Exit 2, the option, what was found and what may stand there."""
    done = call("simulate", works, *FEW, *words)
    assert done.exit_code == 2
    assert said in done.stderr


def test_a_run_too_short_for_any_release_has_blanks_and_no_made_up_figures(
    works: Path, tmp_path: Path
) -> None:
    """One week from empty: nothing is out, so turn time and promises have no figure at all."""
    out = tmp_path / "run"
    words = ("--from", "empty", "--weeks", 1, "--replications", 2, "--out", out, "--json")
    done = call("simulate", works, *words)
    assert done.exit_code == 0, done.output
    figures = json.loads(done.stdout)["summary"]["forecast"]["figures"]
    assert figures["output_a_week"]["mean"] == 0
    assert figures["turn_days_mean"]["mean"] is None
    assert figures["promise_chance"]["mean"] is None
    page = re.sub(
        r"<(script|style).*?</\1>|<[^>]*>", " ", (out / "report.html").read_text(), flags=re.S
    )
    assert not re.search(r"\b(nan|inf)\b", page)


def test_another_pace_is_held_against_a_line_at_that_pace(works: Path) -> None:
    """At half a vehicle a week the pace of the forecast, and of the line beside it, is that."""
    done = call("simulate", works, *FEW, "--from", "empty", "--pace", 0.5, "--json")
    summary = json.loads(done.stdout)["summary"]
    assert summary["line"]["pace_vehicles_a_week"] == pytest.approx(0.5)
    assert summary["forecast"]["pace_vehicles_a_week"] == pytest.approx(0.5)


def test_ctrl_c_leaves_a_whole_report(works: Path, tmp_path: Path) -> None:
    """A real interrupt in the midst of very many runs: exit 0, and it says on how many it rests."""
    out = tmp_path / "run"
    words = ["simulate", str(works), "--out", str(out), "--replications", "1000000"]
    process = subprocess.Popen(
        [sys.executable, "-c", TELLING, *words, "--weeks", "8"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stderr is not None
    done = 0
    while done < 4:
        told = process.stderr.readline()
        assert told, "ended before it could be stopped"
        done = int(told.split()[1]) if told.startswith("replication") else 0
    process.send_signal(signal.SIGINT)
    stdout, stderr = process.communicate(timeout=60)
    assert process.returncode == 0, stderr
    assert "stopped before the end; the figures rest on these" in stdout
    found = json.loads((out / "summary.json").read_text())["forecast"]
    assert found["interrupted"] is True
    assert f"run through {found['replications']} times" in stdout
