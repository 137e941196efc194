"""The kinds of cell, and what a table says of its columns."""

from datetime import date

import pytest
from pydantic import TypeAdapter, ValidationError

from pacewright.base.columns import Day, Id, Ids, Number, Share, YesNo, columns
from pacewright.shops.tables import Stage
from pacewright.works import TABLES

GOOD = [
    (Id, "V-101/a", "V-101/a"),
    (Ids, "a b;c", ("a", "b", "c")),
    (Day, "2026-03-01", date(2026, 3, 1)),
    (Number, "7.5", 7.5),
    (Share, "0.35", 0.35),
    (YesNo, "yes", True),
    (YesNo, "no", False),
]
BAD = [
    (Id, "two words"),
    (Id, ""),
    (Id, "x" * 41),
    (Ids, "good bäd"),
    (Day, "01.03.2026"),
    (Day, "03/01/2026"),
    (Day, "20260301"),
    (Day, 20260301),
    (Day, "2026-02-30"),
    (Number, "7,5"),
    (Number, "-1"),
    (Number, "nan"),
    (Number, "inf"),
    (Number, "1 000"),
    (Share, "35"),
    (YesNo, "perhaps"),
]


@pytest.mark.parametrize(("kind", "cell", "value"), GOOD)
def test_good_cells_are_read(kind: object, cell: str, value: object) -> None:
    """A cell that keeps the rule is read as what it means."""
    assert TypeAdapter(kind).validate_python(cell) == value


@pytest.mark.parametrize(("kind", "cell"), BAD)
def test_bad_cells_are_refused(kind: object, cell: object) -> None:
    """A cell that breaks the rule is refused, not guessed at."""
    with pytest.raises(ValidationError):
        TypeAdapter(kind).validate_python(cell)


@pytest.mark.parametrize("table", TABLES, ids=lambda t: t.TABLE)
def test_every_column_says_its_rule_and_meaning(table: type) -> None:
    """Each column of each table has a meaning, a rule and a remedy, and its key exists."""
    found = columns(table)
    names = [one.name for one in found]
    assert set(table.KEY) <= set(names)  # type: ignore[attr-defined]
    for one in found:
        assert one.meaning and one.rule.rule.endswith(".") and one.rule.remedy.endswith(".")


def test_references_point_to_a_key() -> None:
    """A column that refers to another table names that table's key."""
    keys = {table.TABLE: table.KEY for table in TABLES}  # type: ignore[attr-defined]
    seen = 0
    for table in TABLES:
        for one in columns(table):
            if one.refers:
                assert (one.refers.column,) == keys[one.refers.table]
                seen += 1
    assert seen > 20


def test_defaults_and_needs_are_told_apart() -> None:
    """Only columns without a default are required."""
    by_name = {one.name: one for one in columns(Stage)}
    assert by_name["positions"].required
    assert not by_name["follows"].required
    assert by_name["batch_size"].default == 1
