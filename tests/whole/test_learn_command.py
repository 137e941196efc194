"""`pacewright learn`: what the record teaches, and what a person decides of it."""

import json
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from pacewright.cli.app import app
from pacewright.events.record import FactorDecided
from pacewright.events.stages import Found
from pacewright.ledger.entry import Entry, Manner
from pacewright.office.record import open_record
from small_works import small_works, write_small
from true_record import Truth, told

BD2 = "operations:bd-2:occurrence_share"


def learn(*words: str) -> Result:
    """The command with these words."""
    return CliRunner().invoke(app, ["learn", *words])


@pytest.fixture
def works(tmp_path: Path) -> Path:
    """The small works with 300 findings of a true share of 0.6; the table says 0.35 on 120."""
    folder = write_small(tmp_path / "works")
    events = told(small_works(), Truth(floor_renewal=0.6), 300)
    seen = {"arrived", "admitted"}
    kept = [
        one
        for one in events
        if type(one).__name__.lower() in seen or (isinstance(one, Found) and one.item_id == "bd-2")
    ]
    first, last = kept[0].at, kept[-1].at
    assert last - first > timedelta(days=300)
    with open_record(folder, manner=Manner(ahead=None)) as record:
        answers = record.append([Entry(f"e-{n}", one, "clerk 1") for n, one in enumerate(kept)])
        assert {one.outcome.value for one in answers} == {"kept"}
    return folder


def decisions(works: Path) -> list[FactorDecided]:
    """Decisions on record."""
    with open_record(works, read_only=True) as record:
        return [e for e in record.mended() if isinstance(e, FactorDecided)]


def last_told(works: Path) -> datetime:
    """Moment of the last event on record."""
    with open_record(works, read_only=True) as record:
        return max(event.at for event in record.mended())


def test_it_lists_what_differs(works: Path) -> None:
    """One line differs, with its sample, dates and range; nothing is changed."""
    before = {one: one.read_bytes() for one in works.glob("*.csv")}
    done = learn(str(works))
    assert done.exit_code == 0, done.output
    assert BD2 in done.output and "0.35 on 120" in done.output
    assert "300 vehicles or assemblies inspected" in done.output
    assert {one: one.read_bytes() for one in works.glob("*.csv")} == before
    told_of = json.loads(learn(str(works), "--json").output)["learned"]["proposals"]
    [one] = [line for line in told_of if line["proposal_id"] == BD2]
    assert one["real"] and one["asked"] and one["sample"] == 300


def test_accepting_rewrites_the_cell_and_keeps_the_decision(works: Path) -> None:
    """Share and sample are in the table, all other bytes as they were; it is not asked again."""
    before, last = (works / "operations.csv").read_text(), last_told(works)
    done = learn(str(works), "--accept", BD2, "--by", "planner 1")
    assert done.exit_code == 0, done.output
    old_lines = before.split("\n")
    lines = (works / "operations.csv").read_text().split("\n")
    changed = [(a, b) for a, b in zip(old_lines, lines, strict=True) if a != b]
    [(was, now)] = changed
    assert was == "bd-2,Floor renewal,body,26,body,,,0.35,120,no"
    cells = now.split(",")
    assert cells[8] == "420"
    assert float(cells[7]) == pytest.approx(0.53, abs=0.05)
    [one] = decisions(works)
    assert one.accepted and one.decided_by == "planner 1" and one.old == "0.35"
    assert one.new == cells[7]
    assert one.at == last, "by the works clock, not by that of the machine"
    assert BD2 not in learn(str(works), "--all").output
    again = learn(str(works), "--accept", BD2, "--by", "planner 1")
    assert again.exit_code == 2
    assert "proposes nothing of that name" in again.output


def test_the_moment_of_a_decision_is_told(works: Path) -> None:
    """A later moment is kept; one before what the decision rests on is refused."""
    last = last_told(works)
    early = last - timedelta(minutes=1)
    call = (str(works), "--accept", BD2, "--by", "planner 1", "--at")
    refused = learn(*call, early.isoformat())
    assert refused.exit_code == 2
    assert "rests on that" in refused.output
    assert decisions(works) == []
    later = last + timedelta(minutes=3)
    assert learn(*call, later.isoformat()).exit_code == 0
    [one] = decisions(works)
    assert one.at == later


def test_stars_stand_for_what_is_asked(works: Path) -> None:
    """A pattern takes the asked proposals of it, no others; one that fits nothing is refused."""
    done = learn(str(works), "--accept", "operations:*", "--by", "planner 1", "--json")
    assert json.loads(done.output) == {"status": "done", "accepted": [BD2], "rejected": []}
    again = learn(str(works), "--accept", "operations:*", "--by", "planner 1")
    assert again.exit_code == 2


def test_rejecting_leaves_the_table_and_is_silent_afterwards(works: Path) -> None:
    """The reason is kept; it is listed with --all only, as rejected."""
    before = (works / "operations.csv").read_bytes()
    words = ("--reject", BD2, "--by", "planner 1", "--reason", "one bad batch")
    assert learn(str(works), *words).exit_code == 0
    assert (works / "operations.csv").read_bytes() == before
    assert [one.reason for one in decisions(works)] == ["one bad batch"]
    assert BD2 not in learn(str(works)).output
    assert "rejected on" in learn(str(works), "--all").output


@pytest.mark.parametrize(
    ("words", "told_of"),
    [
        (("--accept", BD2), "No name."),
        (("--reject", BD2, "--by", "x"), "No reason."),
        (("--accept", BD2, "--reject", BD2, "--by", "x", "--reason", "y"), "at once"),
        (("--accept", BD2[:-1], "--by", "x"), f"Is '{BD2}' meant?"),
    ],
)
def test_a_wrong_call_changes_nothing(works: Path, words: tuple[str, ...], told_of: str) -> None:
    """It says what is missing; tables and record stay."""
    before = (works / "operations.csv").read_bytes()
    done = learn(str(works), *words)
    assert done.exit_code == 2
    assert told_of in done.output
    assert (works / "operations.csv").read_bytes() == before
    assert not decisions(works)


def test_the_table_is_as_before_when_the_record_cannot_be_written(
    works: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All or nothing: a record that refuses puts the old bytes back."""
    from pacewright.base.faults import CallError
    from pacewright.office import learning

    def fails(*_: object) -> None:
        raise CallError("the record is read-only")

    monkeypatch.setattr(learning, "_record", fails)
    before = (works / "operations.csv").read_bytes()
    done = learn(str(works), "--accept", BD2, "--by", "planner 1")
    assert done.exit_code == 2
    assert (works / "operations.csv").read_bytes() == before


def test_tables_are_written(works: Path, tmp_path: Path) -> None:
    """--out writes proposals, turn times and lives as CSV, and a summary."""
    out = tmp_path / "learned"
    assert learn(str(works), "--out", str(out)).exit_code == 0
    assert BD2 in (out / "tables" / "proposals.csv").read_text()
    assert json.loads((out / "summary.json").read_text())["events"] == 900
    assert (out / "tables" / "turn_times.csv").exists()


def test_a_works_without_a_record_is_told(tmp_path: Path) -> None:
    """There is nothing to learn from."""
    done = learn(str(write_small(tmp_path / "works")))
    assert done.exit_code == 2
    assert "has no record" in done.output


def test_a_workbook_is_not_rewritten(tmp_path: Path) -> None:
    """It would lose its formats; the remedy is said."""
    book = tmp_path / "works.xlsx"
    book.write_bytes(b"PK")
    done = learn(str(book), "--accept", BD2, "--by", "planner 1")
    assert done.exit_code == 2
    assert "is a workbook" in done.output
