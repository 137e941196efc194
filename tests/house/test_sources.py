"""Every file of published figures says where they come from."""

import re
from pathlib import Path

import pytest

PUBLISHED = Path(__file__).parents[1] / "published"
ROWS = re.findall(r"^\| `([^`]+)` \|(.*)\|$", (PUBLISHED / "SOURCES.md").read_text(), re.MULTILINE)
FILES = sorted(
    str(path.relative_to(PUBLISHED))
    for path in PUBLISHED.rglob("*")
    if path.suffix in {".py", ".json", ".csv"}
)


@pytest.mark.parametrize("name", FILES)
def test_file_has_its_row_of_sources(name: str) -> None:
    """One row in SOURCES.md: source, how the figures were had, what is checked, false alarm."""
    rows = [row for file, row in ROWS if file == name]
    assert len(rows) == 1, f"tests/published/SOURCES.md: {name} has {len(rows)} rows; give it one"
    cells = [cell.strip() for cell in rows[0].split("|")]
    assert len(cells) == 4
    assert all(cells)


def test_every_row_is_of_a_file() -> None:
    """No row is left of a file that is gone."""
    assert sorted(file for file, _ in ROWS) == FILES
