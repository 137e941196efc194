"""The reference of the daily sheets, made from the sheets themselves, for docs/daily.md.

``python -m pacewright.files.daily_reference docs/daily.md`` puts it in place anew.
"""

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pacewright.base.columns import columns
from pacewright.files.daily import ORDER, SHEETS
from pacewright.files.write import cell_text

START = "<!-- made by pacewright.files.daily_reference: start -->"
END = "<!-- made by pacewright.files.daily_reference: end -->"


def reference() -> str:
    """The part of the page that lists every sheet and column, in Markdown."""
    lines = [START]
    for model in SHEETS:
        lines += _sheet(model)
    lines += ["\n## What comes first in the same minute\n", ", ".join(f"`{one}`" for one in ORDER)]
    return "\n".join([*lines, END])


def _sheet(model: Any) -> Iterator[str]:
    yield f"\n## {model.TABLE}\n"
    yield " ".join((model.__doc__ or "").split()) + "\n"
    yield "| column | meaning | rule | blank or left out |\n|---|---|---|---|"
    for column in columns(model):
        default = cell_text(column.default)
        left_out = "needed" if column.required else (f"`{default}`" if default else "may be")
        bound = f" At most {column.most:.15g}." if column.most is not None else ""
        yield f"| `{column.name}` | {column.meaning} | {column.rule.rule}{bound} | {left_out} |"


def renewed(page: str) -> str:
    """The page with this part made anew."""
    before, rest = page.split(START, 1)
    return before + reference() + rest.split(END, 1)[1]


if __name__ == "__main__":
    place = Path(sys.argv[1])
    place.write_text(renewed(place.read_text(encoding="utf-8")), encoding="utf-8")
