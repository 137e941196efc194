"""The outside cases of ``data/life-release-cases.json``, by id, and the lives of their files."""

import csv
import json
from pathlib import Path
from typing import Any

from pacewright.life.censored import Lives

DATA = Path(__file__).parent / "data"
_ROWS = json.loads((DATA / "life-release-cases.json").read_text())
CASES: dict[str, dict[str, Any]] = {row["id"]: row for row in _ROWS}


def rows(name: str) -> list[dict[str, str]]:
    """The rows of a data file of the cases."""
    with (DATA / Path(name).name).open(newline="") as file:
        return list(csv.DictReader(file))


def lives(name: str, length: str, ended: dict[str, set[str]]) -> Lives:
    """The lives of a data file: its length column, and the cells that say a life ended."""
    column, marks = next(iter(ended.items()))
    lengths, ends = [], []
    for row in rows(name):
        for _ in range(int(float(row.get("count") or 1))):
            lengths.append(float(row[length]))
            ends.append(row[column] in marks)
    return Lives.of(lengths, ends)
