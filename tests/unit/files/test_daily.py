"""The clerk's daily sheets, read into events."""

from datetime import date, datetime, time
from pathlib import Path
from typing import Any

import pytest
import xlsxwriter

from pacewright.base.columns import columns
from pacewright.base.faults import Fault, WorksFaultyError
from pacewright.events.registry import KIND_OF, KINDS
from pacewright.events.things import Piece, Unit
from pacewright.events.written import faults_of
from pacewright.files.daily import ORDER, SHEETS, read_daily, sheet_named
from pacewright.files.daily_template import WORKBOOK, templates

DAY = "2026-03-02"
ROWS: dict[str, list[str]] = {
    "calls": ["07:00,101,solo,north,2026-03-09"],
    "arrivals": ["07:00,101,solo,north,440600.5,yes", "07:05,102,solo,,,"],
    "admissions": ["07:00,102"],
    "odometer": ["07:00,101,440600.5"],
    "promises": ["07:00,101,2026-03-27"],
    "moves": [
        "08:00,vehicle:101,,strip,1,",
        "09:00,vehicle:101,strip,,,",
        "10:00,body:B-1,,,,yard",
    ],
    "work": [
        "08:00,vehicle:101,strip,started,fitter,st-1,,",
        "08:30,vehicle:101,strip,ended,fitter,,2.5,",
        "08:40,vehicle:101,strip,failed,,,,crack",
        "08:50,vehicle:101,strip,rectified,,,,",
    ],
    "assemblies": [
        "09:00,101,stripped,",
        "09:10,101,parted,body:B-1 chassis:C-1",
        "09:20,101,married,body:B-1; chassis:C-1",
    ],
    "inspections": [
        "09:00,body:B-1,,bd-1,Pillars (at most 2 mm),repair,3.2,2,mm",
        "09:00,,motor:M-1,mt-2,,scrap,,,",
    ],
    "removals": ["09:00,motor:M-1,vehicle:101,elec", "09:00,valve:V-1,vehicle:101,"],
    "orders": ["09:30,motor,2,2026-05-04,A-1", "09:30,valve,8,2026-04-01,"],
    "receipts": [
        "10:00,motor:M-1,received,elec,",
        "10:01,motor:M-1,made-good,elec,",
        "10:02,motor:M-2,bought,store,",
        "10:03,motor:M-3,counted,store,unserviceable",
        "10:04,motor:M-3,sent,elec,",
    ],
    "rejections": [
        "10:00,motor:M-1,scrapped,I. Inspector,cracked",
        "10:00,motor:M-2,quarantined,I. Inspector,recall",
        "10:01,motor:M-2,cleared,I. Inspector,",
    ],
    "issues": ["11:00,motor:M-2,vehicle:101"],
    "fittings": ["11:00,motor:M-2,vehicle:101"],
    "tests": ["12:00,vehicle:101,brake,yes,5.1,m/s2", "12:00,vehicle:101,doors,no,,"],
    "holds": ["12:00,vehicle:101,part,motor,none left,no,", "12:30,vehicle:101,part,,,yes,"],
    "breakdowns": ["12:00,body,2,out-of-use,crane", "13:00,body,2,in-use,"],
    "modifications": ["12:00,101,doors"],
    "attendance": ["16:00,strip,fitter,3,22.5"],
    "releases": ["15:00,101,I. Inspector"],
}
"""Sound rows of every sheet, without their date."""


def heading(table: str) -> str:
    """The headings of a sheet."""
    model = next(one for one in SHEETS if table == one.TABLE)
    return ",".join(one.name for one in columns(model))


def written(folder: Path, table: str, *rows: str, name: str = "") -> Path:
    """A CSV file of a sheet; each row gets the day in front."""
    path = folder / f"{name or table}.csv"
    lines = [heading(table), *(f"{DAY},{row}" for row in rows)]
    path.write_text("\n".join(lines) + "\n")
    return path


def faults(*paths: Path) -> tuple[Fault, ...]:
    """Every fault of some files."""
    with pytest.raises(WorksFaultyError) as error:
        read_daily(paths)
    return error.value.faults


@pytest.mark.parametrize("model", SHEETS, ids=lambda model: model.TABLE)
def test_every_sheet_tells_events_that_can_be_kept(tmp_path: Path, model: Any) -> None:
    """Each sound row becomes events whose fields are all in order."""
    rows = read_daily([written(tmp_path, model.TABLE, *ROWS[model.TABLE])])
    assert len(rows) >= len(ROWS[model.TABLE])
    for row in rows:
        assert faults_of(row.event) == ()
        assert row.event.at.date() == date(2026, 3, 2)
        assert row.where.startswith(f"{model.TABLE}.csv row ")


def test_rows_say_what_they_mean(tmp_path: Path) -> None:
    """Some rows word for word."""
    rows = read_daily([written(tmp_path, "arrivals", *ROWS["arrivals"])])
    assert [KIND_OF[type(one.event)] for one in rows] == [
        "odometer_read",
        "arrived",
        "admitted",
        "arrived",
    ]
    (removed, sent, valve) = read_daily([written(tmp_path, "removals", *ROWS["removals"])])[:3]
    assert removed.event.unit == Unit("motor", "M-1")  # type: ignore[attr-defined]
    assert removed.event.off == Piece("vehicle", "101")  # type: ignore[attr-defined]
    assert {KIND_OF[type(one.event)] for one in (sent, valve)} == {"sent", "removed"}
    married = read_daily([written(tmp_path, "assemblies", *ROWS["assemblies"])])[-1]
    assert married.event.pieces == (Piece("body", "B-1"), Piece("chassis", "C-1"))  # type: ignore[attr-defined]


def test_a_row_of_the_form_left_blank_tells_nothing(tmp_path: Path) -> None:
    """What was not looked at is not passed, and stops nothing."""
    rows = ["09:00,body:B-1,,bd-1,Pillars,,,,", "09:00,body:B-1,,bd-2,Floor,use,,,"]
    (row,) = read_daily([written(tmp_path, "inspections", *rows)])
    assert row.event.item_id == "bd-2"  # type: ignore[attr-defined]


def test_all_files_are_put_in_order_of_time(tmp_path: Path) -> None:
    """Files and rows in any order; within a minute things end before others begin."""
    moves = written(tmp_path, "moves", "08:00,vehicle:101,strip,marry,1,", name="moves-b")
    work = written(
        tmp_path,
        "work",
        "08:00,vehicle:101,marry,started,fitter,,,",
        "08:00,vehicle:101,strip,ended,fitter,,1,",
        "07:00,vehicle:101,strip,started,fitter,,,",
    )
    told = [KIND_OF[type(one.event)] for one in read_daily([moves, work])]
    assert told == ["work_started", "work_ended", "stage_finished", "moved", "work_started"]


def test_every_kind_a_sheet_can_tell_has_its_place_in_the_order(tmp_path: Path) -> None:
    """No event of any sheet is left without its rank."""
    files = [written(tmp_path, table, *rows) for table, rows in ROWS.items()]
    told = {KIND_OF[type(one.event)] for one in read_daily(files)}
    assert told <= set(ORDER) <= set(KINDS)
    assert len(set(ORDER)) == len(ORDER)
    assert set(ORDER) - told == set()


@pytest.mark.parametrize(
    ("table", "row", "column", "found"),
    [
        ("moves", "8:00,vehicle:101,,strip,1,", "time", "'8:00'"),
        ("moves", "08:00,101,,strip,1,", "piece", "'101'"),
        ("moves", "08:00,vehicle:1:1,,strip,1,", "piece", "'vehicle:1:1'"),
        ("moves", "08:00,vehicle:_1,,strip,1,", "piece", "'_1'"),
        ("moves", "08:00,vehicle:101,,strip,,", "position", "is blank"),
        ("moves", "08:00,vehicle:101,,,2,", "to_stage_id", "is blank"),
        ("moves", "08:00,vehicle:101,,strip,0,", "position", "'0'"),
        ("moves", "08:00,vehicle:101,,strip,1,yard", "to_place_id", "yard beside stage strip"),
        ("moves", "08:00,vehicle:101,,,,", "to_stage_id", "all else"),
        ("work", "08:00,vehicle:101,strip,begun,fitter,,,", "what", "'begun'"),
        ("work", "08:00,vehicle:101,strip,ended,,,,", "trade_id", "is blank where work ended"),
        ("work", '08:00,vehicle:101,strip,ended,fitter,,"2,5",', "man_hours", "'2,5'"),
        ("assemblies", "09:00,101,parted,", "pieces", "is blank where it was parted"),
        ("assemblies", "09:00,101,stripped,body:B-1", "pieces", "is filled"),
        ("assemblies", "09:00,101,parted,body:B-1 C-1", "pieces", "'body:B-1 C-1'"),
        ("inspections", "09:00,,,bd-1,,repair,,,", "unit", "both blank"),
        ("inspections", "09:00,body:B,motor:M,bd-1,,repair,,,", "unit", "both filled"),
        ("inspections", "09:00,body:B,,bd-1,,fine,,,", "verdict", "'fine'"),
        ("inspections", "09:00,body:B,,bd-1,,,3.5,,", "verdict", "is blank beside a measurement"),
        ("receipts", "09:00,motor:M,counted,store,", "condition", "is blank where it was counted"),
        ("receipts", "09:00,motor:M,bought,store,quarantine", "condition", "is filled"),
        ("rejections", "09:00,motor:M,quarantined,A. Able,", "reason", "is blank"),
        ("rejections", "09:00,motor:M,scrapped,,worn", "decided_by", "is blank"),
        ("tests", "09:00,vehicle:1,brake,maybe,,", "passed", "'maybe'"),
        ("holds", "09:00,vehicle:1,weather,,,,", "cause", "'weather'"),
        ("holds", "09:00,vehicle:1,part,,,,A. Able", "ended", "is no"),
        ("calls", "09:00,1,solo,north,2.3.2026", "due_in", "'2.3.2026'"),
        ("releases", "09:00,101,", "signed_by", "is blank"),
    ],
)
def test_a_faulty_cell_is_told_with_its_place(
    tmp_path: Path, table: str, row: str, column: str, found: str
) -> None:
    """File, row, column, what stands there, rule and remedy; and no other fault."""
    sound = ROWS[table][0]
    (fault,) = faults(written(tmp_path, table, sound, row))
    assert (fault.file, fault.row, fault.column) == (f"{table}.csv", 3, column)
    assert found in fault.found
    assert fault.rule.endswith(".")
    assert fault.remedy.endswith((".", "?"))


def test_faults_of_all_files_are_told_together(tmp_path: Path) -> None:
    """One faulty file does not hide another, and nothing is read by halves."""
    one = written(tmp_path, "moves", "08:00,101,,strip,1,")
    two = written(tmp_path, "tests", "9:00,vehicle:1,brake,yes,,")
    three = tmp_path / "moved.csv"
    three.write_text("date\n")
    four = tmp_path / "day.ods"
    four.write_text("x")
    told = faults(one, two, three, four, tmp_path / "fittings.csv")
    assert [one.file for one in told] == [
        "day.ods",
        "fittings.csv",
        "moved.csv",
        "moves.csv",
        "tests.csv",
    ]
    assert "Is 'moves' meant?" in told[2].remedy


def test_a_file_that_is_not_there_is_said_not_to_be(tmp_path: Path) -> None:
    """Whatever its name: first that there is none, and no word on how sheets are named."""
    for name in ("moves.csv", "day.csv", "day.xlsx"):
        assert [one.found for one in faults(tmp_path / name)] == ["there is no such file"], name


def test_a_sheet_is_known_by_the_start_of_its_name() -> None:
    """Anything may follow after a mark; another word is another word."""
    for name in ("moves", "Moves", "moves-2026-03-02", "moves 2", "moves_late"):
        assert sheet_named(name).TABLE == "moves", name  # type: ignore[union-attr]
    for name in ("move", "movesx", "remove", ""):
        assert sheet_named(name) is None


def test_a_workbook_holds_a_sheet_each(tmp_path: Path) -> None:
    """Real date and time cells are read, sheets with a dash passed over, faults name the sheet."""
    path = tmp_path / "day.xlsx"
    book = xlsxwriter.Workbook(str(path))
    day, clock = (
        book.add_format({"num_format": "yyyy-mm-dd"}),
        book.add_format({"num_format": "hh:mm"}),
    )
    for name, last in (("fittings", "vehicle:101"), ("_notes", "x"), ("issues", "101")):
        sheet = book.add_worksheet(name)
        sheet.write_row(0, 0, heading(name if name != "_notes" else "issues").split(","))
        sheet.write_datetime(1, 0, datetime(2026, 3, 2), day)
        sheet.write_datetime(1, 1, time(11, 0), clock)  # type: ignore[arg-type]
        sheet.write_row(1, 2, ["motor:M-2", last])
    book.close()
    (fault,) = faults(path)
    assert (fault.file, fault.row, fault.column) == ("day.xlsx sheet issues", 2, "to")


def test_templates_are_empty_sheets_that_read_as_nothing(tmp_path: Path) -> None:
    """Every file written can be handed in as it is, and tells nothing."""
    files = templates()
    assert len(files) == len(SHEETS) + 1
    paths = []
    for name, content in files.items():
        paths.append(tmp_path / name)
        paths[-1].write_bytes(content)
    assert WORKBOOK in files
    assert read_daily(paths) == []
