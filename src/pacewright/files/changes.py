"""A change file read against the works it changes, with every fault that stands in it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from pacewright.base.columns import columns
from pacewright.base.faults import Fault, Finding, NameHint, WorksFaultyError
from pacewright.base.settings import Settings
from pacewright.files.changed_rows import ChangedTable, changed_table, table_names
from pacewright.files.rows import read_row, shown
from pacewright.files.settings import load_toml, settings_of
from pacewright.files.sheet import UnreadableError
from pacewright.files.write import cell_text
from pacewright.plans.change import Absence, Change, Lost
from pacewright.works import Works
from pacewright.works_checks import findings

FIXED = ("today", "start", "horizon_weeks")
"""Settings of the plan that no change may touch: both sides must cover the same weeks."""
SETTINGS = ("calendar", "plan")
BEFALLS: dict[str, Any] = {"absence": Absence, "lost": Lost}


@dataclass
class _Reading:
    """What is known so far of the change."""

    file: str
    works: Works
    tables: dict[str, ChangedTable] = field(default_factory=dict)
    differs: list[str] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    befalls: dict[str, list[Any]] = field(default_factory=lambda: {"absence": [], "lost": []})


def read_change(path: Path, works: Works) -> Change:
    """The works with a change in it.

    Parameters
    ----------
    path : TOML file that names only what differs.
    works : the works as it is; it passed its checks.

    Raises
    ------
    WorksFaultyError : with every fault, each under its path in the file (``people.2.trade_id``
        is the column of the second [[people]]).
    """
    try:
        given = load_toml(path, "A change file is TOML text.")
    except UnreadableError as error:
        raise WorksFaultyError(error.faults) from error
    reading = _Reading(path.name, works)
    name = _name(given, path, reading)
    _strangers(given, reading)
    settings = _settings(given, reading)
    for table in table_names():
        if table in given:
            made = reading.tables[table] = changed_table(works, table, given[table], path.name)
            reading.faults += made.faults
            reading.differs += made.differs
    rows = {table: tuple(made.rows.values()) for table, made in reading.tables.items()}
    changed = replace(works, settings=settings, **rows)
    for part in BEFALLS:
        _read_befalls(part, given.get(part, []), changed, reading)
    if not reading.faults:
        reading.faults += [_located(one, changed, reading) for one in findings(changed)]
    if reading.faults:
        raise WorksFaultyError(reading.faults)
    absences, losses = (tuple(reading.befalls[part]) for part in BEFALLS)
    return Change(name, changed, tuple(reading.differs), absences, losses)


def _name(given: dict[str, Any], path: Path, reading: _Reading) -> str:
    name = given.get("name", path.stem)
    if isinstance(name, str) and 0 < len(name.strip()) <= 120:
        return name.strip()
    rule, remedy = "A change has a name of 1 to 120 characters.", "Name it, or leave name out."
    reading.faults.append(Fault(path.name, 0, "name", shown(name), rule, remedy))
    return path.stem


def _strangers(given: dict[str, Any], reading: _Reading) -> None:
    known = ["name", *SETTINGS, *BEFALLS, *table_names()]
    hint = NameHint(known)
    for name in given:
        if name not in known:
            rule = f"What may stand here is {', '.join(known)}."
            remedy = "Correct or delete it." + hint(name)
            reading.faults.append(
                Fault(reading.file, 0, name, "is no part of a works", rule, remedy)
            )


def _settings(given: dict[str, Any], reading: _Reading) -> Settings:
    """The settings with the change in them; as they were where it is faulty."""
    tree = _tree(reading.works.settings)
    for part in SETTINGS:
        changed = given.get(part, {})
        if not isinstance(changed, dict):
            rule, remedy = f"Its settings stand under [{part}].", "Write it so."
            reading.faults.append(Fault(reading.file, 0, part, "is no part", rule, remedy))
            continue
        for name in FIXED if part == "plan" else ():
            if name in changed:
                rule = "Both sides of a comparison cover the same weeks."
                remedy = "Leave it out; change it in the works itself."
                found = shown(changed[name])
                reading.faults.append(Fault(reading.file, 0, f"plan.{name}", found, rule, remedy))
        kept = {name: value for name, value in changed.items() if name not in FIXED}
        tree[part] = {k: v for k, v in (tree[part] | kept).items() if v != ""}
    try:
        settings = settings_of(tree, reading.file, {})
    except UnreadableError as error:
        reading.faults += error.faults
        return reading.works.settings
    for part in SETTINGS:
        old, new = getattr(reading.works.settings, part), getattr(settings, part)
        for name in old.__pydantic_fields__:
            was, now = (_written(getattr(one, name)) for one in (old, new))
            if was != now:
                reading.differs.append(f"{part}.{name}: {was or 'blank'} -> {now or 'blank'}")
    return settings


def _tree(value: Any) -> Any:
    """Settings as TOML would have given them; what is left out is left out."""
    if hasattr(value, "__pydantic_fields__"):
        found = {name: getattr(value, name) for name in value.__pydantic_fields__}
        return {name: _tree(one) for name, one in found.items() if one is not None}
    if isinstance(value, tuple):
        return [_tree(one) for one in value]
    return cell_text(value) if isinstance(value, bool) else value


def _written(value: Any) -> str:
    """A setting in one line."""
    if isinstance(value, tuple):
        return "; ".join(_written(one) for one in value)
    if hasattr(value, "__pydantic_fields__"):
        return " ".join(cell_text(getattr(value, name)) for name in value.__pydantic_fields__)
    return cell_text(value)


def _read_befalls(part: str, given: Any, works: Works, reading: _Reading) -> None:
    """Read the parts [[absence]] or [[lost]]."""
    if not isinstance(given, list) or not all(isinstance(one, dict) for one in given):
        rule = f"Each stands under [[{part}]]."
        reading.faults.append(Fault(reading.file, 0, part, "is no list", rule, "Write it so."))
        return
    model = BEFALLS[part]
    known = [one.name for one in columns(model)]
    for place, cells in enumerate(given, start=1):
        path = f"{part}.{place}"
        strange = [name for name in cells if name not in known]
        for name in strange:
            rule = f"What may stand here is {', '.join(known)}."
            remedy = "Correct or delete it." + NameHint(known)(name)
            at = f"{path}.{name}"
            reading.faults.append(Fault(reading.file, 0, at, "is not known here", rule, remedy))
        kept = {k: v for k, v in cells.items() if k in known and v != ""}
        row, wrong = read_row(kept, model, reading.file)
        faults = [replace(one, column=f"{path}.{one.column}") for one in wrong]
        if row is not None:
            faults += _unfit(path, row, works, reading.file)
            reading.befalls[part].append(row)
            reading.differs.append(_told(part, row))
        reading.faults += faults


def _model(row: Any) -> type:
    found: type = type(row)
    return found


def _told(part: str, row: Any) -> str:
    rest = [
        f"{one.name} {cell_text(value)}"
        for one in columns(_model(row))[2:]
        if (value := getattr(row, one.name)) is not None
    ]
    return f"{part} {row.first} to {row.last}: {', '.join(rest)}"


def _unfit(path: str, row: Any, works: Works, file: str) -> Iterator[Fault]:
    """What is wrong between the cells of an absence or a loss, and with the works."""
    if row.last < row.first:
        rule, remedy = "It ends on or after its first day.", "Change one of them."
        yield Fault(file, 0, f"{path}.last", f"{row.last} is before {row.first}", rule, remedy)
    if row.last < works.settings.plan.start:
        rule, remedy = "It falls into the weeks that are run.", "Give a later day."
        found = f"{row.last} is before the plan's start {works.settings.plan.start}"
        yield Fault(file, 0, f"{path}.last", found, rule, remedy)
    for column in columns(_model(row)):
        value = getattr(row, column.name)
        if column.refers is None or value is None:
            continue
        names = [getattr(one, column.name) for one in getattr(works, column.refers.table)]
        if value not in names:
            rule = f"A {column.name} stands in {column.refers.table}."
            remedy = "Correct it." + NameHint(names)(value)
            yield Fault(file, 0, f"{path}.{column.name}", shown(value), rule, remedy)
    if isinstance(row, Lost):
        yield from _unlosable(path, row, works, file)


def _unlosable(path: str, row: Lost, works: Works, file: str) -> Iterator[Fault]:
    if (row.stage_id is None) == (row.unit_kind_id is None):
        rule, remedy = "A loss names a stage or a unit kind.", "Give one of the two."
        yield Fault(file, 0, path, "names both or neither", rule, remedy)
        return
    have: dict[str | None, int | None] = (
        {one.stage_id: one.positions for one in works.stages}
        if row.stage_id
        else {one.unit_kind_id: one.benches for one in works.unit_kinds}
    )
    name = row.stage_id or row.unit_kind_id
    if name in have and (have[name] or 0) < row.how_many:
        rule = "Only positions, or benches, that are there can be lost."
        remedy = "Lower it; or give benches and bench_hours of the kind."
        found = f"{row.how_many} of the {have[name] or 0} of {name}"
        yield Fault(file, 0, f"{path}.how_many", found, rule, remedy)


def _located(finding: Finding, works: Works, reading: _Reading) -> Fault:
    """A fault of the changed works, under the part of the file that speaks of the row."""
    column = finding.column
    if finding.table in reading.tables and finding.index is not None:
        made = reading.tables[finding.table]
        key = list(made.rows)[finding.index]
        path = made.places.get(key, f"{finding.table} {' '.join(one for one in key if one)}")
        column = f"{path}.{column}" if column else path
    elif finding.table != "works.toml":
        column = f"{finding.table} {_row_key(works, finding)}.{column}".rstrip(".")
    return Fault(reading.file, 0, column, finding.found, finding.rule, finding.remedy)


def _row_key(works: Works, finding: Finding) -> str:
    rows: Sequence[Any] = getattr(works, finding.table)
    if finding.index is None:
        return ""
    row = rows[finding.index]
    return " ".join(cell_text(getattr(row, name)) for name in row.KEY)
