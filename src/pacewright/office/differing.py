"""What differs between two states of a works: settings and rows, in words."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from typing import Any

from pacewright.base.columns import columns
from pacewright.files.write import cell_text
from pacewright.works import TABLES, Works

NEW, GONE, CHANGED = "new", "gone", "changed"


@dataclass(frozen=True, slots=True)
class Difference:
    """One row, or one setting, that is not the same.

    Parameters
    ----------
    table : its table; ``settings`` for a setting.
    row : key of the row, its parts with a blank between; of a setting its name.
    how : ``new``, ``gone`` or ``changed``.
    what : of a changed one each column with its cell before and after.
    """

    table: str
    row: str
    how: str
    what: str


def differences(before: Works, after: Works) -> tuple[Difference, ...]:
    """Every setting and row that differs, settings first, tables in their order.

    Returns
    -------
    A row is known again by its key; the order of rows counts for nothing.
    """
    return (
        *_settings(dict(flat(before.settings)), dict(flat(after.settings))),
        *(
            one
            for model in TABLES
            for one in _rows(model, getattr(before, _name(model)), getattr(after, _name(model)))
        ),
    )


def flat(value: Any, name: str = "") -> list[tuple[str, Any]]:
    """Settings one by one, under names with dots; where there are several they are numbered."""
    if hasattr(value, "__dataclass_fields__"):
        named = [(getattr(value, one.name), f"{name}.{one.name}") for one in fields(value)]
        return [row for part, said in named for row in flat(part, said.strip("."))]
    if isinstance(value, tuple):
        return [row for place, one in enumerate(value, 1) for row in flat(one, f"{name}.{place}")]
    return [(name, value)]


def _settings(before: dict[str, Any], after: dict[str, Any]) -> Iterator[Difference]:
    for name in dict.fromkeys([*before, *after]):
        was, now = _said(before.get(name)), _said(after.get(name))
        if name not in after:
            yield Difference("settings", name, GONE, f"was {was}")
        elif name not in before:
            yield Difference("settings", name, NEW, now)
        elif before[name] != after[name]:
            yield Difference("settings", name, CHANGED, f"{was} -> {now}")


def _rows(model: Any, before: Sequence[Any], after: Sequence[Any]) -> Iterator[Difference]:
    table = _name(model)
    was = {_key(model, row): row for row in before}
    now = {_key(model, row): row for row in after}
    for key in dict.fromkeys([*was, *now]):
        if key not in now:
            yield Difference(table, key, GONE, "")
        elif key not in was:
            yield Difference(table, key, NEW, "")
        elif was[key] != now[key]:
            yield Difference(table, key, CHANGED, "; ".join(_cells(model, was[key], now[key])))


def _cells(model: Any, before: Any, after: Any) -> Iterator[str]:
    for column in columns(model):
        was, now = getattr(before, column.name), getattr(after, column.name)
        if was != now:
            yield f"{column.name}: {_said(was)} -> {_said(now)}"


def _key(model: Any, row: Any) -> str:
    return " ".join(cell_text(getattr(row, name)) for name in model.KEY)


def _name(model: Any) -> str:
    return str(model.TABLE)


def _said(cell: Any) -> str:
    return cell_text(cell) or "blank"
