"""docs/files.md is fresh and leaves out no table, column, setting or check."""

from pathlib import Path
from typing import Any

import pytest

from pacewright.base.columns import columns
from pacewright.files.reference import KINDS, reference
from pacewright.files.settings import settings_known
from pacewright.works import TABLES
from pacewright.works_checks import CHECKS

PAGE = (Path(__file__).parents[2] / "docs" / "files.md").read_text(encoding="utf-8")


def part(heading: str) -> str:
    """What stands under a heading of the page."""
    return PAGE.split(f"\n## {heading}\n", 1)[1].split("\n## ", 1)[0]


def test_the_page_is_fresh() -> None:
    """The committed page is what the tables say of themselves (make docs)."""
    assert reference() == PAGE


@pytest.mark.parametrize("model", TABLES, ids=lambda model: model.TABLE)
def test_every_column_of_every_table_is_told(model: Any) -> None:
    """Each table has its part, and in it each column with its meaning, in file order."""
    lines = [line for line in part(f"{model.TABLE}.csv").split("\n") if line.startswith("| `")]
    known = columns(model)
    assert [line.split("`")[1] for line in lines] == [one.name for one in known]
    for line, one in zip(lines, known, strict=True):
        assert one.meaning in line
        assert line.endswith("| needed |") == one.required
        if one.refers:
            assert f"(#{one.refers.table}csv)" in line


def test_every_setting_and_kind_of_cell_is_told() -> None:
    """Each setting and each kind of cell has a line."""
    for one in settings_known():
        assert f"| `{one.name}` | {one.meaning} |" in part("The settings: works.toml")
    for words in KINDS.values():
        assert f"| {words} | " in part("Kinds of cell")


def test_every_check_is_told() -> None:
    """Each cross-check says its rule in one sentence, and the page repeats it."""
    told = part("What is checked between the cells")
    for check in CHECKS:
        sentence = " ".join((check.__doc__ or "").split())
        assert sentence.endswith(".")
        assert f"- {sentence}" in told
