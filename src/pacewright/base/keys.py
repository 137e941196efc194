"""Keys and references, checked for every table alike from what its columns say of themselves."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pacewright.base.columns import columns
from pacewright.base.faults import Finding, NameHint


@dataclass(frozen=True)
class Known:
    """What is known of one table while the works is being read.

    Parameters
    ----------
    rows : its sound rows.
    keys : first key column of all its rows, also of faulty ones; None when that cannot be told.
    whole : True when no row is missing, so that other tables may be held against it.
    """

    rows: Sequence[Any]
    keys: set[str] | None
    whole: bool = True


def twice_given(models: Sequence[Any], known: Mapping[str, Known]) -> Iterator[Finding]:
    """No two rows of a table have the same key."""
    for model in _present(models, known):
        name, key = model.TABLE, model.KEY
        first: dict[Any, int] = {}
        for index, row in enumerate(known[name].rows):
            value = tuple(getattr(row, column) for column in key)
            if first.setdefault(value, index) == index:
                continue
            shown = ", ".join(str(part) for part in value if part is not None)
            yield Finding(
                name,
                index,
                key[-1],
                f"{shown} stands in an earlier row too",
                f"No two rows have the same {' and '.join(key)}.",
                "Delete one row, or correct its key.",
            )


def unknown_names(models: Sequence[Any], known: Mapping[str, Known]) -> Iterator[Finding]:
    """A name that stands for a row of another table is a name that table has."""
    for model in _present(models, known):
        for column in columns(model):
            if column.refers is None or column.refers.table not in known:
                continue
            names = known[column.refers.table].keys
            if names is not None:
                rows = known[model.TABLE].rows
                yield from _unknown_in(rows, model.TABLE, column.name, column.refers.table, names)


def _unknown_in(
    rows: Sequence[Any], table: str, column: str, other: str, names: set[str]
) -> Iterator[Finding]:
    hint = NameHint(sorted(names))
    for index, row in enumerate(rows):
        cell = getattr(row, column)
        for name in cell if isinstance(cell, tuple) else (cell,):
            if name is None or name in names:
                continue
            yield Finding(
                table,
                index,
                column,
                f"'{name}' is not in {other}",
                f"{column} names a row of {other}.",
                f"Correct it, or add it to {other}." + hint(name),
            )


def _present(models: Sequence[Any], known: Mapping[str, Known]) -> Iterator[Any]:
    return (model for model in models if model.TABLE in known)
