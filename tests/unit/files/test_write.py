"""What is written is read again as the same works, and runs nothing in a spreadsheet."""

import csv
import tomllib
from dataclasses import replace
from pathlib import Path
from zipfile import ZipFile

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter

from pacewright.base.settings import Settings
from pacewright.files import read_works, whole, write_workbook, write_works
from pacewright.files.write import settings_toml
from pacewright.works import Works
from small_works import Tables, small_works


def odd(tables: Tables) -> None:
    """Names with commas, quotes, backslashes, accents; numbers with many digits."""
    tables["depots"][0]["name"] = 'Nord, "Höhe" \\ 1/2 ' r"\n"
    tables["depots"][1]["name"] = "南 depot 🚋"
    tables["depots"][0]["travel_days"] = "0.1234567890123456"
    tables["unit_kinds"][0]["unit_cost"] = "1e9"
    tables["unit_kinds"][1]["turn_sd_days"] = "1e-7"


WORKS = {"small": small_works(), "odd": small_works(odd)}
WORKS["bare"] = replace(
    small_works(), floats=(), plant=(), plant_loads=(), campaigns=(), test_items=()
)


@pytest.mark.parametrize("works", WORKS.values(), ids=WORKS)
def test_a_folder_is_read_again_as_the_same_works(works: Works, tmp_path: Path) -> None:
    """Folder written, folder read: every row and setting equal."""
    write_works(works, tmp_path / "w")
    assert read_works(tmp_path / "w") == works


@pytest.mark.parametrize("works", WORKS.values(), ids=WORKS)
def test_a_workbook_is_read_again_as_the_same_works(works: Works, tmp_path: Path) -> None:
    """Workbook written, workbook read: every row and setting equal."""
    write_workbook(works, tmp_path / "w.xlsx")
    assert read_works(tmp_path / "w.xlsx") == works


def test_the_same_works_gives_the_same_bytes(tmp_path: Path) -> None:
    """Nothing of the hour or the machine gets into what is written."""
    for name in ("a", "b"):
        write_works(small_works(), tmp_path / name)
        write_workbook(small_works(), tmp_path / f"{name}.xlsx")
    for path in (tmp_path / "a").iterdir():
        assert path.read_bytes() == (tmp_path / "b" / path.name).read_bytes()
    assert (tmp_path / "a.xlsx").read_bytes() == (tmp_path / "b.xlsx").read_bytes()
    with ZipFile(tmp_path / "a.xlsx") as book:
        assert b">2026-03-02T00:00:00Z<" in book.read("docProps/core.xml")


def test_no_cell_written_is_a_formula(tmp_path: Path) -> None:
    """OWASP, "CSV Injection" (from memory): a cell is run when it begins with = + - @."""
    write_works(small_works(odd), tmp_path / "w")
    for path in (tmp_path / "w").glob("*.csv"):
        with path.open(encoding="utf-8", newline="") as file:
            cells = [cell for row in csv.reader(file) for cell in row]
        assert not [cell for cell in cells if cell[:1] in tuple("=+-@\t\r") and cell]


def test_tables_without_rows_are_left_out_if_they_may_be(tmp_path: Path) -> None:
    """An empty table that may be absent is not written; one that is needed is."""
    write_works(WORKS["bare"], tmp_path / "w")
    assert not (tmp_path / "w" / "floats.csv").exists()
    assert (tmp_path / "w" / "fits.csv").exists()


def test_a_table_too_long_for_a_sheet_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is cut off at the end of a sheet."""
    monkeypatch.setattr("pacewright.files.write.SHEET_ROWS", 10)
    with pytest.raises(whole.NotOursError, match="vehicles has 10 rows"):
        write_workbook(small_works(), tmp_path / "w.xlsx")
    assert list(tmp_path.iterdir()) == []


NAMES = st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=40).filter(
    lambda name: name.strip() and name.strip()[0] not in "=+-@#"
)


@given(
    name=NAMES,
    shares=st.tuples(*[st.floats(0.001, 0.999)] * 2),
    pace=st.floats(0.02, 1e9),
    weeks=st.integers(1, 520),
)
def test_settings_survive_toml(
    name: str, shares: tuple[float, float], pace: float, weeks: int
) -> None:
    """The standard library's TOML reader gives back every setting exactly."""
    settings = small_works().settings
    plan = replace(
        settings.plan,
        readiness_target=shares[0],
        guard=shares[1],
        horizon_weeks=weeks,
        pace=(replace(settings.plan.pace[0], vehicles_a_week=pace),),
        inside_limit=weeks,
    )
    settings = replace(settings, name=name, plan=plan)
    again = TypeAdapter(Settings).validate_python(tomllib.loads(settings_toml(settings)))
    assert again == settings
