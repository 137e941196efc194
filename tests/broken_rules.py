"""For tests of cross-checks: break one rule in the small works, and see that only it is told."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

import pytest

from pacewright import works_checks
from pacewright.base.faults import Finding
from small_works import SETTINGS, Tables, small_works


@dataclass(frozen=True)
class Broken:
    """One row of a table of bad values.

    Parameters
    ----------
    check : the check whose rule is broken.
    put : cells to change: (table, place of the row or -1 for a new one, column -> cell).
    told : (table, place, column) of each finding that must come.
    says : words that must be in what was found.
    settings : (old, new) text of the settings.
    """

    check: Callable[..., Iterator[Finding]]
    put: tuple[tuple[str, int, dict[str, str]], ...]
    told: tuple[tuple[str, int | None, str], ...]
    says: str
    settings: tuple[str, str] = ("", "")
    drop: tuple[tuple[str, int], ...] = ()
    also: frozenset[str] = field(default=frozenset())
    """names of checks whose rule cannot but be broken as well"""

    def __str__(self) -> str:
        return f"{self.check.__name__}: {self.says}"


def works_with(case: Broken) -> Any:
    """The small works with the rule broken."""

    def change(tables: Tables) -> None:
        for table, place, cells in case.put:
            if place < 0:
                tables[table].append(cells)
            else:
                tables[table][place] |= cells
        for table, place in case.drop:
            del tables[table][place]

    return small_works(change, SETTINGS.replace(*case.settings))


def assert_only_it_is_told(case: Broken, monkeypatch: pytest.MonkeyPatch) -> None:
    """The check finds what it must, at its place; no other check finds anything."""
    works = works_with(case)
    every = works_checks.CHECKS
    monkeypatch.setattr(works_checks, "CHECKS", (case.check,))
    found = works_checks.findings(works)
    assert [(one.table, one.index, one.column) for one in found] == list(case.told), found
    assert case.says in " ".join(one.found for one in found)
    assert all(one.rule.endswith(".") and one.remedy.endswith((".", "?")) for one in found)
    rest = tuple(one for one in every if one is not case.check and one.__name__ not in case.also)
    monkeypatch.setattr(works_checks, "CHECKS", rest)
    assert works_checks.findings(works) == ()
