"""``pacewright record``: show, verify, backup, restore; and where the record of a works is."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from pacewright.cli.app import app
from pacewright.office.errors import CallError
from pacewright.office.record import VARIABLE, has_record, open_record, record_address
from record_entries import Clock, arrival, correction, entries, entry, manner, story


@pytest.fixture
def works(tmp_path: Path) -> Path:
    """A works folder with a record."""
    folder = tmp_path / "works"
    folder.mkdir()
    clock = Clock()
    with open_record(folder, manner=manner(clock)) as ledger:
        ledger.append(entries(story().told))
        clock.tick(-5)
        ledger.append([entry("x", correction("e12"))])
    return folder


def called(*words: object) -> tuple[int, str]:
    """Exit code and what was said."""
    done = CliRunner().invoke(app, ["record", *map(str, words)])
    return done.exit_code, done.stdout + done.stderr


def test_show_tells_entries_newest_first(works: Path) -> None:
    """Place, moment, kind, fields, who and id stand in a line each."""
    code, said = called("show", works, "--about", "motor:N-12")
    assert code == 0
    lines = said.strip().split("\n")
    assert [one.split()[0] for one in lines] == ["13", "12", "11"]
    assert "2026-03-02T07:12  fitted  unit=motor:N-12  onto=vehicle:12  (clerk 1 desk" in lines[1]
    code, said = called("show", works, "--limit", 2, "--oldest-first", "--json")
    told = json.loads(said)["entries"]
    assert [one["place"] for one in told] == [1, 2]
    assert told[0]["event"]["kind"] == "arrived"
    assert (
        called("show", works, "--since", "2026-03-02T07:11", "--kind", "fitted")[1].count("\n") == 1
    )
    assert "No such entry" in called("show", works, "--by", "nobody")[1]
    assert called("show", works, "--since", "yesterday")[0] == 2
    code, said = called("show", works, "--about", "N-12", "--kind", "fited")
    assert code == 2, "a filter that cannot hold is refused, not answered with nothing"
    assert "--about: 'N-12' found" in said
    assert "Is 'fitted' meant?" in said


def test_verify_says_the_head_and_asks_for_it_later(works: Path) -> None:
    """A noted head is asked for; one that is not there is a fault with code 1."""
    code, said = called("verify", works, "--json")
    told = json.loads(said)
    assert (code, told["events"], told["faults"]) == (0, 13, [])
    assert called("verify", works, "--head", told["head"][:20])[0] == 0
    code, said = called("verify", works)
    assert "13 events: none changed" in said
    assert "Clocks set back: 1" in said
    code, said = called("verify", works, "--head", "13:00000000")
    assert code == 1
    assert "another history" in said
    assert json.loads(called("verify", works, "--head", "14:00000000", "--json")[1])["faults"]
    assert called("verify", works, "--head", "nonsense")[0] == 2
    assert called("verify", works, "--drop-snapshots")[0] == 0


def test_backup_and_restore(works: Path, tmp_path: Path) -> None:
    """A backup goes where nothing is, and back where no record is."""
    kept = tmp_path / "backup.sqlite"
    assert called("backup", works, kept)[0] == 0
    assert called("backup", works, kept)[0] == 2
    code, said = called("restore", works, kept)
    assert code == 2
    assert "never written over" in said
    (works / "record.sqlite").unlink()
    assert called("restore", works, kept)[0] == 0
    with open_record(works) as ledger:
        assert ledger.head().place == 13


def test_where_the_record_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In the folder, beside a workbook, or where option or environment say; the option wins."""
    monkeypatch.delenv(VARIABLE, raising=False)
    book = tmp_path / "north.xlsx"
    book.touch()
    assert record_address(tmp_path) == str(tmp_path / "record.sqlite")
    assert record_address(book) == str(tmp_path / "north.record.sqlite")
    monkeypatch.setenv(VARIABLE, "postgresql://elsewhere/works")
    assert record_address(tmp_path) == "postgresql://elsewhere/works"
    assert record_address(tmp_path, "mine.sqlite") == "mine.sqlite"


def test_has_record(tmp_path: Path) -> None:
    """A record counts once it holds an event; asking makes none."""
    assert not has_record(tmp_path)
    assert not list(tmp_path.iterdir())
    with open_record(tmp_path) as ledger:
        assert not has_record(tmp_path)
        ledger.append([entry("a", arrival("11"))])
    assert has_record(tmp_path)


def test_a_works_that_is_not_there_has_no_record(tmp_path: Path) -> None:
    """A mistyped path makes no folder and no record."""
    with pytest.raises(CallError, match="no such works"):
        open_record(tmp_path / "nowhere")
    code, said = called("verify", tmp_path)
    assert code == 2
    assert "there is no record" in said
