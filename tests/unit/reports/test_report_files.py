"""Tables, CSV files, workbook and summary made from a plan."""

import csv
import io
import json
from dataclasses import replace
from datetime import date, datetime

import pytest
from python_calamine import CalamineWorkbook

from made_plan import made_plan
from pacewright.reports.csvfile import csv_bytes
from pacewright.reports.summary import summary
from pacewright.reports.table import Kind, Table, TableColumn
from pacewright.reports.tables import plan_tables
from pacewright.reports.workbook import plan_workbook

TYPES = {
    Kind.TEXT: str,
    Kind.WHOLE: int,
    Kind.NUMBER: (int, float),
    Kind.SHARE: (int, float),
    Kind.DATE: date,
    Kind.YES_NO: bool,
}


def tables() -> dict[str, Table]:
    """The tables of the invented plan by name."""
    return {table.name: table for table in plan_tables(*made_plan())}


def read(data: bytes) -> list[list[str]]:
    """A CSV file as any reader of RFC 4180 sees it."""
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def test_every_paper_of_the_plan_has_its_table() -> None:
    """Nothing a plan holds is left out of the tables, row for row."""
    plan, _ = made_plan()
    found = {name: len(table.rows) for name, table in tables().items()}
    assert found == {
        "decisions": found["decisions"],
        "programme": len(plan.programme.calls),
        "programme_weeks": len(plan.programme.weeks),
        "depot_weeks": len(plan.programme.depot_weeks),
        "unplaced": len(plan.programme.unplaced),
        "reliefs": len(plan.programme.reliefs),
        "due_windows": len(plan.windows),
        "stage_loads": len(plan.line.stages),
        "trade_loads": len(plan.line.trades),
        "plant_loads": len(plan.line.plant),
        "route": len(plan.line.route),
        "unit_slack": len(plan.line.units),
        "type_turns": len(plan.line.turns),
        "floats": len(plan.floats.lines),
        "readiness_curve": len(plan.floats.curve),
        "lateness": sum(len(line.late_days) for line in plan.floats.lines),
        "assumptions": len(plan.assumptions) + 3,
        "methods": 3,
        "columns": sum(len(t.columns) for name, t in tables().items() if name != "columns"),
    }


@pytest.mark.parametrize("name", sorted(tables()))
def test_cells_are_what_their_column_says(name: str) -> None:
    """Each cell is of its column's kind, each column says its meaning, names are single."""
    table = tables()[name]
    names = [column.name for column in table.columns]
    assert len(set(names)) == len(names)
    assert table.title and table.about and all(column.meaning for column in table.columns)
    for row in table.rows:
        assert len(row) == len(names)
        for cell, column in zip(row, table.columns, strict=True):
            assert cell is None or isinstance(cell, TYPES[column.kind]), (name, column.name, cell)


def test_csv_holds_every_row_with_iso_dates() -> None:
    """The programme file read back gives the calls of the plan."""
    plan, _ = made_plan()
    head, *rows = read(csv_bytes(tables()["programme"]))
    assert len(rows) == len(plan.programme.calls)
    first, call = dict(zip(head, rows[0], strict=True)), plan.programme.calls[0]
    assert first["vehicle_id"] == call.vehicle_id
    assert date.fromisoformat(first["day"]) == call.day
    assert float(first["chance_past_limit"]) == call.chance_past_limit


@pytest.mark.parametrize("evil", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1"])
def test_no_text_can_become_a_formula(evil: str) -> None:
    """What a spreadsheet would run is defused in CSV and stays plain text in the workbook."""
    columns = (TableColumn("name", "a name"), TableColumn("n", "a number", "x", Kind.NUMBER))
    table = Table("t", "T", "about", columns, ((evil, -5.0),))
    assert read(csv_bytes(table))[1] == ["'" + evil, "-5.0"]
    plan, _ = made_plan()
    sheet = CalamineWorkbook.from_filelike(io.BytesIO(plan_workbook([table], plan)))
    shown = sheet.get_sheet_by_name("t").to_python(skip_empty_area=False)[2]
    assert str(shown[0]).strip() == evil.strip() and shown[1] == -5.0


def test_blank_for_none_and_for_what_has_no_number() -> None:
    """None and infinite figures are left blank, as no file has a place for them."""
    plan, works = made_plan()
    stage = replace(plan.line.stages[0], able_a_week=float("inf"), wait_hours=float("nan"))
    broken = replace(plan, line=replace(plan.line, stages=(stage,)))
    table = {t.name: t for t in plan_tables(broken, works)}["stage_loads"]
    row = dict(zip(*read(csv_bytes(table)), strict=True))
    assert row["able_a_week"] == "" and row["wait_hours"] == ""
    assert plan_workbook([table], broken)


def test_workbook_has_front_and_one_sheet_a_table() -> None:
    """The workbook opens in an independent reader; dates are dates, heads stand in row 2."""
    plan, works = made_plan()
    made = plan_tables(plan, works)
    book = CalamineWorkbook.from_filelike(io.BytesIO(plan_workbook(made, plan)))
    assert book.sheet_names == ["Front", *(table.name for table in made)]
    for table in made:
        rows = book.get_sheet_by_name(table.name).to_python(skip_empty_area=False)
        assert rows[1] == [column.name for column in table.columns]
        assert len(rows) == len(table.rows) + 2
    programme = book.get_sheet_by_name("programme").to_python(skip_empty_area=False)
    assert programme[2][1] == plan.programme.calls[0].day
    assert not isinstance(programme[2][1], datetime)
    front = book.get_sheet_by_name("Front").to_python(skip_empty_area=False)
    assert front[0][0] == plan.works_name
    assert any("Pace" in str(row[0]) and row[3] for row in front)


def test_same_plan_same_bytes() -> None:
    """Files carry no clock: made twice they are equal byte for byte."""
    plan, works = made_plan()
    made = plan_tables(plan, works)
    assert plan_workbook(made, plan) == plan_workbook(plan_tables(plan, works), plan)
    assert [csv_bytes(t) for t in made] == [csv_bytes(t) for t in plan_tables(plan, works)]


def test_summary_is_strict_json_and_counts_right() -> None:
    """The summary is JSON without NaN, and its figures are those counted from the plan."""
    plan, _ = made_plan()
    figures = summary(plan)
    assert json.loads(json.dumps(figures, allow_nan=False)) == figures
    assert figures["programme"]["vehicles_called"] == len(plan.programme.calls)
    assert figures["programme"]["least_pace_first"] == "2026-11-02"
    assert sum(figures["fleet"].values()) == len(plan.windows)
    assert figures["line"]["stages_by_gear"]["holds_up"] == 1
    broken = replace(plan, line=replace(plan.line, inside_mean=float("inf")))
    assert summary(broken)["line"]["inside_vehicles_mean"] is None


def test_workbook_size_is_modest() -> None:
    """A fleet of 1,900 makes a workbook below one megabyte."""
    plan, works = made_plan()
    assert len(plan_workbook(plan_tables(plan, works), plan)) < 1_000_000
