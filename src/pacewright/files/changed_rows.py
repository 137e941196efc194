"""Rows of the tables as a change file has them: changed, added, removed."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from pacewright.base.columns import columns
from pacewright.base.faults import Fault, NameHint
from pacewright.files.rows import read_row, shown
from pacewright.files.write import cell_text
from pacewright.works import TABLES, Works

VERBS = ("add", "remove")
"""What a row of a change file may say of itself beside its columns."""


@dataclass
class ChangedTable:
    """One table with the change in it.

    Parameters
    ----------
    rows : key -> row, in the order of the table; added rows last.
    places : key -> path of the part of the change file that speaks of it.
    differs : what differs, one line each.
    faults : all that is wrong with the parts.
    """

    model: Any
    file: str
    rows: dict[tuple[str, ...], Any]
    places: dict[tuple[str, ...], str] = field(default_factory=dict)
    differs: list[str] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)


def changed_table(works: Works, table: str, parts: Any, file: str) -> ChangedTable:
    """The table ``table`` of the works with the parts ``[[table]]`` of a change file in it."""
    model = next(one for one in MODELS if table == one.TABLE)
    rows = {_key(model, row): row for row in getattr(works, table)}
    made = ChangedTable(model, file, rows)
    if not isinstance(parts, list) or not all(isinstance(part, dict) for part in parts):
        rule = f"Each row is a part of its own, under [[{table}]]."
        made.faults.append(Fault(file, 0, table, "is no list of rows", rule, "Write it so."))
        return made
    for place, part in enumerate(parts, start=1):
        _take(made, f"{table}.{place}", dict(part))
    return made


MODELS: tuple[Any, ...] = TABLES


def _key(model: Any, row: Any) -> tuple[str, ...]:
    return tuple(cell_text(getattr(row, name)) for name in model.KEY)


def _take(made: ChangedTable, path: str, part: dict[str, Any]) -> None:
    """Put one part into the table, or say what is wrong with it."""
    model = made.model
    faults = [*_unknown(made, path, part), *_keyless(made, path, part)]
    verbs = {verb: str(part.pop(verb)) in ("true", "yes") for verb in VERBS if verb in part}
    key = tuple(cell_text(part.get(name)) for name in model.KEY)
    if not faults:
        faults = list(_misplaced(made, path, key, part, verbs))
    made.faults += faults
    if faults:
        return
    made.places[key] = path
    called = f"{model.TABLE} {' '.join(one for one in key if one)}"
    if verbs.get("remove"):
        del made.rows[key]
        made.differs.append(f"{called}: removed")
        return
    old = made.rows.get(key)
    cells = {} if old is None else _cells(old, model)
    changed = {name: cell for name, cell in part.items() if old is None or name not in model.KEY}
    cells = {name: cell for name, cell in (cells | changed).items() if cell not in ("", None)}
    row, wrong = read_row(cells, model, made.file)
    made.faults += [replace(one, column=f"{path}.{one.column}") for one in wrong]
    if row is None:
        return
    made.rows[key] = row
    made.differs += [f"{called}: added"] if old is None else _differences(called, old, row, model)


def _cells(row: Any, model: Any) -> dict[str, Any]:
    found = {one.name: getattr(row, one.name) for one in columns(model)}
    return {name: cell_text(v) if isinstance(v, bool) else v for name, v in found.items()}


def _differences(called: str, old: Any, new: Any, model: Any) -> Iterator[str]:
    for column in columns(model):
        was, now = (cell_text(getattr(row, column.name)) for row in (old, new))
        if was != now:
            yield f"{called}: {column.name} {was or 'blank'} -> {now or 'blank'}"


def _unknown(made: ChangedTable, path: str, part: dict[str, Any]) -> Iterator[Fault]:
    known = [*(one.name for one in columns(made.model)), *VERBS]
    hint = NameHint(known)
    for name, cell in part.items():
        if name not in known:
            rule = f"The columns are {', '.join(known)}."
            remedy = "Correct or delete it." + hint(name)
            yield Fault(made.file, 0, f"{path}.{name}", "is not a column", rule, remedy)
        elif name in VERBS and str(cell) not in ("true", "false", "yes", "no"):
            rule, remedy = f"{name} is true or false.", "Write true, or leave it out."
            yield Fault(made.file, 0, f"{path}.{name}", shown(cell), rule, remedy)


def _keyless(made: ChangedTable, path: str, part: dict[str, Any]) -> Iterator[Fault]:
    needed = {one.name for one in columns(made.model) if one.required}
    for name in made.model.KEY:
        if name in needed and name not in part:
            rule = f"A row is named by {' and '.join(made.model.KEY)}."
            yield Fault(made.file, 0, f"{path}.{name}", "is missing", rule, "Write it.")


def _misplaced(
    made: ChangedTable,
    path: str,
    key: tuple[str, ...],
    part: dict[str, Any],
    verbs: dict[str, bool],
) -> Iterator[Fault]:
    """Rows that are there already, or not there, or spoken of twice."""
    named, there = " ".join(one for one in key if one), key in made.rows
    add, remove = verbs.get("add", False), verbs.get("remove", False)
    more = [name for name in part if name not in made.model.KEY]
    found = rule = remedy = ""
    if key in made.places:
        found, rule = f"{named} stands in {made.places[key]} too", "A row is changed once."
        remedy = "Put both into one."
    elif add and there:
        found, rule = f"{named} is there already", "Only what is not there can be added."
        remedy = "Leave add out to change it."
    elif not add and not there:
        found, rule = f"{named} is not in {made.model.TABLE}", "A row that is changed is there."
        near = NameHint(" ".join(one for one in known if one) for known in made.rows)(named)
        remedy = f"Correct the name, or write add = true and every column.{near}"
    elif remove and (more or add):
        found, rule = f"{named} is removed and changed", "A row is removed or changed."
        remedy = "Leave one of them out."
    elif not more and not verbs:
        found, rule = f"{named} has no other column", "A row says what differs in it."
        remedy = "Write the columns that differ, or remove = true."
    if found:
        yield Fault(made.file, 0, path, found, rule, remedy)


def table_names() -> Sequence[str]:
    """Every table a change file may speak of."""
    return [one.TABLE for one in MODELS]
