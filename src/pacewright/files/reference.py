"""The reference of the works folder, made from the tables and settings themselves.

``python -m pacewright.files.reference > docs/files.md`` writes it anew.
"""

import sys
from collections.abc import Iterator
from importlib.resources import files
from typing import Any

from pacewright.base import columns as cells
from pacewright.base.columns import Column, Rule, columns
from pacewright.base.hazards import MEANINGS, Hazards
from pacewright.base.keys import twice_given, unknown_names
from pacewright.files.read import NOT_BARE
from pacewright.files.settings import settings_known
from pacewright.files.write import cell_text
from pacewright.works import MAY_BE_ABSENT, TABLES
from pacewright.works_checks import CHECKS

KINDS = {
    "Id": "id",
    "Ids": "ids",
    "Name": "name",
    "Text": "text",
    "Day": "date",
    "Clock": "clock time",
    "Number": "number from 0",
    "Positive": "number above 0",
    "Signed": "number",
    "Share": "share",
    "Count": "whole number from 0",
    "CountOne": "whole number from 1",
    "YesNo": "yes or no",
}
"""Kinds of cell in ``base.columns`` -> the words the tables below use for them."""


def reference() -> str:
    """The whole page, in Markdown."""
    start = (files("pacewright.files") / "reference.md").read_text(encoding="utf-8")
    words, _, limits = start.partition("<!-- tables -->\n")
    parts = [words.rstrip(), *_kinds(), *_hazards(), *_settings()]
    models: tuple[Any, ...] = TABLES
    for model in models:
        parts += _table(model)
    return "\n".join([*parts, *_checks(), "", limits.lstrip()])


def _kind_words() -> dict[Rule, str]:
    marks = {KINDS[name]: getattr(cells, name).__metadata__ for name in KINDS}
    marks["hazards"] = Hazards.__metadata__  # type: ignore[attr-defined]
    return {mark: words for words, found in marks.items() for mark in found if type(mark) is Rule}


def _hazards() -> Iterator[str]:
    yield "\n### Hazards\n"
    yield (
        "What can hurt people at a stage, on a unit or at an operation: all three count together. "
        "As soon as one row of the works declares any, only what is declared is printed on cards, "
        "forms, labels and pages, and a blank cell means that none is declared beyond the general "
        "line. Which dangers an overhaul of vehicles holds is common practice, no source; the sign "
        "is the number of a warning sign in ISO 7010, from memory, for whoever hangs signs: W001 "
        "is the general one. A word here makes nothing safe: local rules and licensed people do.\n"
    )
    yield "| word | what it means | sign |\n|---|---|---|"
    for word, (meaning, sign) in MEANINGS.items():
        yield f"| `{word}` | {meaning} | {sign} |"


def _kinds() -> Iterator[str]:
    yield "\n## Kinds of cell\n"
    yield "| kind | rule |\n|---|---|"
    for rule, words in _kind_words().items():
        yield f"| {words} | {rule.rule} |"


def _stands(rule: Rule) -> str:
    """What stands in a cell: the word for its kind, or a rule of its own."""
    return _kind_words().get(rule, rule.rule)


def _settings() -> Iterator[str]:
    yield "\n## The settings: works.toml\n"
    yield (
        "`N` stands for 1, 2, 3 ... In `works.toml` such parts are written one below the other, "
        "as `[[calendar.shifts]]`, or in brackets, as `holidays = [2026-12-25, 2026-12-28]`. "
        "In the sheet `works` of a workbook the name stands in the column `setting` just as here, "
        "with the number in place of `N`, and what it is to be in the column `value`.\n"
    )
    yield "| setting | meaning | what stands there | left out |\n|---|---|---|---|"
    for one in settings_known():
        left_out = f"`{cell_text(one.default)}`".replace("``", "none")
        stands = _stands(one.rule)
        yield (
            f"| `{one.name}` | {one.meaning} | {stands} "
            f"| {'needed' if one.required else left_out} |"
        )


def _table(model: Any) -> Iterator[str]:
    name = model.TABLE
    yield f"\n## {name}.csv\n"
    yield " ".join((model.__doc__ or "").split()) + "\n"
    presence = "May be left out" if name in MAY_BE_ABSENT else "Needed"
    rows = "one row at least" if name in NOT_BARE else "may hold headings only"
    key = " and ".join(f"`{column}`" for column in model.KEY)
    yield f"{presence}; {rows}. No two rows have the same {key}.\n"
    yield "| column | meaning | what stands there | blank or left out |\n|---|---|---|---|"
    for column in columns(model):
        left_out = f"`{cell_text(column.default)}`".replace("``", "as the meaning says")
        yield (
            f"| `{column.name}` | {column.meaning} "
            f"| {_stands(column.rule)}{_bound(column)}{_refers(column)} "
            f"| {'needed' if column.required else left_out} |"
        )


def _bound(column: Column) -> str:
    return f" to {column.most:.15g}" if column.most is not None else ""


def _refers(column: Column) -> str:
    if column.refers is None:
        return ""
    return f" of [{column.refers.table}](#{column.refers.table}csv)"


def _checks() -> Iterator[str]:
    yield "\n## What is checked between the cells\n"
    yield (
        "A rule is checked as soon as the tables it needs are sound, so that one faulty table "
        "does not hide the faults of the others.\n"
    )
    for check in (twice_given, unknown_names, *CHECKS):
        yield f"- {' '.join((check.__doc__ or '').split())}"


if __name__ == "__main__":
    sys.stdout.write(reference())
