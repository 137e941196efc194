"""``pacewright import``: the clerk's daily sheets, past the door into the record."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from pacewright.cli.app import app
from pacewright.files.daily import SHEETS
from pacewright.office.record import open_record
from small_works import write_small

FILES = {
    "arrivals": """\
date,time,vehicle_id,type_id,depot_id,odometer,let_in
2024-03-02,07:00,101,solo,north,440600,yes
2024-03-02,07:05,102,solo,north,437100,
""",
    "moves-monday": """\
date,time,piece,finished_stage_id,to_stage_id,position
2024-03-02,10:00,vehicle:101,strip,,
2024-03-02,07:30,vehicle:101,,strip,1
2024-03-02,11:00,body:B-101,,body,1
2024-03-02,11:30,body:B-101,,bpaint,1
""",
    "assemblies": """\
date,time,vehicle_id,what,pieces
2024-03-02,10:00,101,parted,body:B-101 chassis:C-101
""",
    "removals": """\
date,time,unit,off,sent_to
2024-03-02,08:00,motor:M-1,vehicle:101,elec
2024-03-02,08:00,moter:M-2,vehicle:101,
""",
}


@pytest.fixture
def day(tmp_path: Path) -> list[str]:
    """The small works and a day's sheets, two rows of which the door must refuse."""
    works = write_small(tmp_path / "works")
    paths = [str(works)]
    for name, text in FILES.items():
        path = tmp_path / f"{name}.csv"
        path.write_text(text)
        paths.append(str(path))
    return paths


def called(*words: str) -> tuple[int, str]:
    """Exit code and everything said."""
    done = CliRunner().invoke(app, ["import", *words])
    return done.exit_code, done.output


def test_good_rows_are_kept_refused_ones_told_and_nothing_twice(day: list[str]) -> None:
    """Each refused row with file, row and reasons; the second time all is known."""
    code, said = called(*day, "--by", "clerk 2")
    assert code == 1
    assert "Events kept: 11; known already: 0; refused: 2." in said
    assert "removals.csv row 3, removed: unit: 'moter' is not in unit_kinds" in said
    assert "Is 'motor' meant?" in said
    assert "moves-monday.csv row 5, moved: body B-101" in said
    assert "not finished in this visit: body" in said
    code, said = called(*day, "--by", "clerk 3", "--json")
    told = json.loads(said)
    assert (code, told["status"], told["kept"], told["known"]) == (1, "refused", 0, 11)
    assert {one["where"] for one in told["refused"]} == {
        "removals.csv row 3",
        "moves-monday.csv row 5",
    }
    with open_record(Path(day[0])) as ledger:
        kept = [*ledger.entries()]
        assert ledger.standing().vehicles["101"].parted
    assert len(kept) == 11
    assert {one.entry.recorded_by for one in kept} == {"clerk 2"}
    assert "arrivals.csv row 2" in {one.entry.reference for one in kept}


def test_a_trial_and_all_or_none_keep_nothing(day: list[str]) -> None:
    """A dry run judges the whole day; together, one refused row keeps all out."""
    code, said = called(*day, "--by", "clerk 2", "--dry-run")
    assert (code, "Events would be kept: 11;" in said) == (1, True)
    code, said = called(*day, "--by", "clerk 2", "--together")
    assert (code, "Events kept: 0;" in said) == (1, True)
    with open_record(Path(day[0])) as ledger:
        assert ledger.standing().events == 0


def test_a_good_day_ends_with_nought(day: list[str]) -> None:
    """Nothing refused, nothing said on the error channel."""
    code, said = called(day[0], day[1], "--by", "clerk 2")
    assert (code, said.strip()) == (0, "Events kept: 5; known already: 0; refused: 0.")


def test_faulty_files_are_told_and_nothing_is_kept(day: list[str], tmp_path: Path) -> None:
    """Every fault of the cells, exit code 1, and not even the sound files are taken."""
    bad = tmp_path / "tests.csv"
    bad.write_text("date,time,piece,item_id,passed\n2024-03-02,9:00,101,brake,maybe\n")
    code, said = called(*day, str(bad), "--by", "clerk 2")
    assert (code, "3 faults found" in said) == (1, True)
    with open_record(Path(day[0])) as ledger:
        assert ledger.standing().events == 0


def test_templates_and_wrong_calls(tmp_path: Path, day: list[str]) -> None:
    """Empty sheets are written whole; a call without its parts says what is needed."""
    code, said = called("--template", str(tmp_path / "day"))
    sheets = list((tmp_path / "day").glob("*.csv"))
    assert {one.stem for one in sheets} == {one.TABLE for one in SHEETS}
    # The workbook holds all of them once more.
    assert (code, f"{len(sheets) + 1} empty files" in said) == (0, True)
    assert (tmp_path / "day" / "daily.xlsx").exists()
    (tmp_path / "day" / "moves.csv").write_text("mine")
    code, said = called("--template", str(tmp_path / "day"))
    assert (code, "was changed after it was written" in said) == (2, True)
    code, said = called(day[0], day[1])
    assert (code, "--by NAME" in said) == (2, True)
