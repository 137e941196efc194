"""Whatever is done to the files, reading gives a works or its faults, never anything else."""

import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path
from zipfile import ZipFile

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pacewright.base.faults import WorksFaultyError
from pacewright.files import read_works, write_workbook
from pacewright.works import Works
from pacewright.works_checks import notes
from small_works import SETTINGS, small_tables, small_works, write_small

EXTREMES = ["", "-1", "0", "9", "1e308", "1e-9", "nan", "10000000", "1950-01-01", "2026-02-30"]
WORDS = ["1,5", "yes", "=1+1", "#N/A", "vehicle", "body", "solo", "strip", "strip strip"]
CELLS = st.one_of(
    st.sampled_from([*EXTREMES, *WORDS]),
    st.text(max_size=12),
    st.integers(-(10**12), 10**12).map(str),
    st.floats().map(str),
    st.dates().map(str),
)
PLACES = [
    (table, row, column)
    for table, rows in small_tables().items()
    for row in range(len(rows))
    for column in rows[0]
]
FEW = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def is_told(path: Path) -> None:
    """Read; a fault must say all of itself, and a works must be able to tell what hangs on it."""
    try:
        works = read_works(path)
        assert isinstance(works, Works)
        assert works.calendar.days
        assert works.horizon_end() > works.settings.plan.start
        assert all(route.stages for route in works.routes.values())
        assert all(hours > 0 for hours in works.shop_hours_a_day.values())
        assert isinstance(notes(works), tuple)
    except WorksFaultyError as error:
        assert error.faults
        for one in error.faults:
            assert one.file
            assert one.found
            assert one.rule
            assert one.remedy


@pytest.fixture(scope="module")
def good() -> Iterator[Path]:
    """The small works as folder and workbook, spoilt and mended again by each case."""
    with tempfile.TemporaryDirectory() as name:
        write_small(Path(name) / "works")
        write_workbook(small_works(), Path(name) / "works.xlsx")
        yield Path(name)


@FEW
@given(st.lists(st.tuples(st.sampled_from(PLACES), CELLS), min_size=1, max_size=6))
def test_any_cell_may_hold_anything(edits: list[tuple[tuple[str, int, str], str]]) -> None:
    """Cells replaced by anything: other cells' contents, extremes, nonsense."""

    def change(tables: dict[str, list[dict[str, str]]]) -> None:
        for (table, row, column), cell in edits:
            tables[table][row][column] = cell

    with tempfile.TemporaryDirectory() as name:
        is_told(write_small(Path(name), change))


@FEW
@given(st.data())
def test_any_byte_of_a_table_may_change(good: Path, data: st.DataObject) -> None:
    """Bytes of one file cut out, put in or replaced."""
    files = sorted((good / "works").iterdir())
    path = data.draw(st.sampled_from(files))
    whole = path.read_bytes()
    start = data.draw(st.integers(0, len(whole)))
    end = data.draw(st.integers(start, min(len(whole), start + 40)))
    path.write_bytes(whole[:start] + data.draw(st.binary(max_size=6)) + whole[end:])
    try:
        is_told(good / "works")
    finally:
        path.write_bytes(whole)


@FEW
@given(st.data())
def test_any_byte_of_a_workbook_may_change(good: Path, data: st.DataObject) -> None:
    """Bytes of the archive replaced or cut off."""
    whole = (good / "works.xlsx").read_bytes()
    start = data.draw(st.integers(0, len(whole) - 1))
    cut = data.draw(st.booleans())
    spoilt = whole[:start] if cut else whole[:start] + data.draw(st.binary(min_size=1, max_size=4))
    spoilt = spoilt if cut else spoilt + whole[len(spoilt) :]
    path = good / "spoilt.xlsx"
    path.write_bytes(spoilt)
    is_told(path)


@FEW
@given(st.data())
def test_any_byte_inside_a_workbook_may_change(good: Path, data: st.DataObject) -> None:
    """Bytes of one part of the workbook replaced, and packed again without a flaw."""
    path = good / "repacked.xlsx"
    with ZipFile(good / "works.xlsx") as old, ZipFile(path, "w") as new:
        spoilt = data.draw(
            st.sampled_from([n for n in old.namelist() if "drawing" not in n.lower()])
        )
        for name in old.namelist():
            part = old.read(name)
            if name == spoilt:
                start = data.draw(st.integers(0, len(part)))
                end = data.draw(st.integers(start, min(len(part), start + 8)))
                part = part[:start] + data.draw(st.binary(max_size=3)) + part[end:]
            new.writestr(name, part)
    is_told(path)


@FEW
@given(st.text("[]{}\"'=.,#\n 0123456789-:abTZ\\", max_size=60), st.integers(0, 600))
def test_any_text_may_stand_in_the_settings(text: str, place: int) -> None:
    """Text put anywhere into works.toml."""
    with tempfile.TemporaryDirectory() as name:
        is_told(write_small(Path(name), None, SETTINGS[:place] + text + SETTINGS[place:]))


def test_the_good_copy_was_mended(good: Path) -> None:
    """The cases above left the good works as it was."""
    assert read_works(good / "works") == read_works(good / "works.xlsx") == small_works()
    shutil.rmtree(good / "works")
