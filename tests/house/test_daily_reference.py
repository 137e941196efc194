"""docs/daily.md is fresh and leaves out no sheet and no column."""

from pathlib import Path
from typing import Any

import pytest

from pacewright.base.columns import columns
from pacewright.files.daily import SHEETS
from pacewright.files.daily_reference import renewed

PAGE = (Path(__file__).parents[2] / "docs" / "daily.md").read_text(encoding="utf-8")


def test_the_page_is_fresh() -> None:
    """The list in the page is what the sheets say of themselves (make docs)."""
    assert renewed(PAGE) == PAGE


@pytest.mark.parametrize("model", SHEETS, ids=lambda model: model.TABLE)
def test_every_column_of_every_sheet_is_told(model: Any) -> None:
    """Each sheet has its part and each column its line with its meaning."""
    part = PAGE.split(f"\n## {model.TABLE}\n", 1)[1].split("\n## ", 1)[0]
    lines = [line for line in part.split("\n") if line.startswith("| `")]
    known = columns(model)
    assert [line.split("`")[1] for line in lines] == [one.name for one in known]
    for line, one in zip(lines, known, strict=True):
        assert one.meaning in line
