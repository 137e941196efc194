"""``pacewright scope``: from inspection form to scope and back."""

import csv
import io
import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from pacewright.cli.app import app
from pacewright.office.inspecting import limits_said
from small_works import Tables, write_small


@pytest.fixture
def works(tmp_path: Path) -> str:
    """The small works with vehicle 101 inside; pillars have an inspection limit."""

    def change(tables: Tables) -> None:
        for row in tables["operations"]:
            row |= {"inspect_most": "", "inspect_unit": ""}
        tables["operations"][1] |= {"inspect_most": "2", "inspect_unit": "mm"}

    folder = str(write_small(tmp_path / "works", change))
    for words in (
        ["arrived", "vehicle_id=101", "type_id=solo", "at=2024-03-02T07:00"],
        ["admitted", "vehicle_id=101", "at=2024-03-02T07:10"],
    ):
        code, said = called("book", folder, *words, "--by", "gate")
        assert code == 0, said
    return folder


def called(*words: str) -> tuple[int, str]:
    """Exit code and everything said."""
    done = CliRunner().invoke(app, list(words))
    return done.exit_code, done.output


def test_the_form_filled_in_and_imported_makes_the_scope(works: str, tmp_path: Path) -> None:
    """Every row fits the daily sheet; pillars at 3.1 mm are to be repaired: 44 h for 35.2."""
    code, said = called("scope", works, "101", "--form", "--at", "2024-03-02T08:00")
    assert code == 0, said
    rows = list(csv.DictReader(io.StringIO(said)))
    pillars = next(row for row in rows if row["item_id"] == "bd-1")
    assert pillars["item"] == "Pillar and panel repair (at most 2 mm)"
    assert (pillars["limit"], pillars["reading_unit"], pillars["verdict"]) == ("2", "mm", "")
    assert next(row for row in rows if row["item_id"] == "valve")["verdict"] == "replace"
    pillars |= {"measurement": "3.1", "verdict": "repair"}
    filled = tmp_path / "inspections-101.csv"
    with filled.open("w", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    code, said = called("import", works, str(filled), "--by", "inspector 1")
    assert (code, "refused: 0" in said) == (0, True), said
    code, said = called("scope", works, "vehicle:101", "--json")
    told = json.loads(said)
    assert told["total"]["grown_hours"] == pytest.approx(44 - 35.2)
    assert told["scope_class"] == "standard"
    code, said = called("scope", works, "101")
    assert code == 0
    assert "standard scope, 242.5 man-hours, standard 233.7 (+8.8 h, +4%)" in said
    assert "bd-1 Pillar and panel repair" in said


def test_all_vehicles_inside_are_listed_the_most_grown_first(works: str) -> None:
    """Two vehicles inside, one with a floor to renew (26 h for 9.1)."""
    for words in (
        ["arrived", "vehicle_id=102", "type_id=solo", "at=2024-03-02T07:00"],
        ["admitted", "vehicle_id=102", "at=2024-03-02T07:10"],
        ["found", "piece=vehicle:102", "item_id=bd-2", "verdict=repair", "at=2024-03-02T09:00"],
    ):
        assert called("book", works, *words, "--by", "inspector 1")[0] == 0
    code, said = called("scope", works, "--json")
    told = json.loads(said)["scopes"]
    assert [one["vehicle_id"] for one in told] == ["102", "101"]
    assert told[0]["grown_hours"] == pytest.approx(26 - 9.1)
    code, said = called("scope", works)
    assert (code, "they never decide an individual part" in said) == (0, True)
    code, said = called("scope", works, "102")
    assert (code, "heavy scope" in said, "4 valve" in said) == (0, True, True)


def test_limits_are_said_beside_the_name() -> None:
    """Two limits, one on either side, none."""
    assert limits_said(2.0, 4.0, "mm") == " (2 to 4 mm)"
    assert limits_said(2.0, None, "mm") == " (at least 2 mm)"
    assert limits_said(None, 4.5, "mm") == " (at most 4.5 mm)"
    assert limits_said(None, None, "") == ""


def test_what_has_no_scope_is_told(works: str, tmp_path: Path) -> None:
    """No record, not inside, no moment: a wrong call with what to do."""
    for words, found in (
        ((works, "102"), "the record does not know it"),
        ((works, "101", "--form", "--at", "8 o'clock"), "--at 8 o'clock"),
        ((works, "--form"), "--form: no vehicle"),
        ((str(write_small(tmp_path / "bare")), "101"), "no record yet"),
    ):
        code, said = called("scope", *words)
        assert (code, found in said) == (2, True), said
