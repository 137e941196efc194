"""A works read from its folder or workbook, with every fault that stands in it."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

from pacewright.base.columns import columns
from pacewright.base.faults import Fault, Finding, NameHint, WorksFaultyError
from pacewright.base.keys import Known
from pacewright.base.settings import Settings
from pacewright.files.folder import Folder
from pacewright.files.rows import TableRead, read_table
from pacewright.files.sheet import Sheet, UnreadableError
from pacewright.files.workbook import Workbook
from pacewright.works import MAY_BE_ABSENT, TABLES, Works
from pacewright.works_checks import findings_in

PASSED_OVER = "_"
"""Files and sheets whose name begins so are the user's own and not read."""
NOT_BARE = frozenset({"vehicle_types", "depots", "vehicles", "shops", "stages"})
"""Tables without which there is nothing to plan: headings alone will not do."""


class Source(Protocol):
    """Where a works is kept: a folder or a workbook."""

    settings_name: str
    names: tuple[str, ...]

    def name_of(self, table: str) -> str: ...
    def file(self, name: str) -> str: ...
    def settings(self) -> Settings: ...
    def setting_row(self, name: str) -> int: ...
    def sheet(self, table: str, headings: tuple[str, ...]) -> Sheet: ...


@dataclass
class _Reading:
    """What has been read so far."""

    settings: Settings | None = None
    tables: dict[str, TableRead] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)


def read_works(path: Path) -> Works:
    """The works kept in a folder (``works.toml`` and CSV tables) or in one XLSX workbook.

    Parameters
    ----------
    path : the folder, or the workbook, whose name ends in ``.xlsx``.

    Raises
    ------
    WorksFaultyError : with every fault, in order of file, row and column.
    """
    try:
        source = _source(path)
    except UnreadableError as error:
        raise WorksFaultyError(error.faults) from error
    with _no_sweeping():
        reading = _Reading(faults=_stray_names(source))
        _read_settings(source, reading)
        for model in TABLES:
            _read_one(source, model, reading)
        settings, tables = reading.settings, reading.tables
        faults = reading.faults + [fault for table in tables.values() for fault in table.faults]
        faults += _cross_faults(source, reading)
    if faults or settings is None:
        raise WorksFaultyError(faults)
    rows = {name: tuple(table.rows) for name, table in tables.items()}
    return Works(settings=settings, **rows)


@contextmanager
def _no_sweeping() -> Iterator[None]:
    """Keep Python from looking through the rows for garbage again and again: a third of the time.

    Rows point at nothing that points back, so none of them can be garbage that needs the sweep.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _source(path: Path) -> Source:
    if path.is_dir():
        return Folder(path)
    if path.suffix.lower() == ".xlsx" and path.exists():
        return Workbook(path)
    found = "is neither a folder nor an .xlsx workbook" if path.exists() else "is not there"
    rule = f"A works is a folder with {Folder.settings_name} and CSV tables, or one .xlsx workbook."
    remedy = "Give the path of that folder or workbook."
    raise UnreadableError(Fault(str(path), 0, "", found, rule, remedy))


def _stray_names(source: Source) -> list[Fault]:
    """Files or sheets that look like tables but are none, each with the name it may stand for."""
    models: tuple[Any, ...] = TABLES
    wanted = [source.settings_name, *(source.name_of(model.TABLE) for model in models)]
    absent = NameHint(name for name in wanted if name not in source.names)
    rule = f"What is kept here is {', '.join(wanted)}."
    remedy = f"Rename it, delete it, or begin its name with {PASSED_OVER} to have it passed over."
    return [
        Fault(source.file(name), 0, "", "holds no known table", rule, remedy + absent(name))
        for name in source.names
        if name not in wanted and not name.startswith(PASSED_OVER)
    ]


def _read_settings(source: Source, reading: _Reading) -> None:
    file = source.file(source.settings_name)
    if source.settings_name not in source.names:
        rule = "It holds name, calendar and plan of the works."
        reading.faults.append(Fault(file, 0, "", "is missing", rule, "Write it."))
        return
    try:
        reading.settings = source.settings()
    except UnreadableError as error:
        reading.faults += error.faults


def _read_one(source: Source, model: Any, reading: _Reading) -> None:
    """Read one table into ``reading``; a table that may be absent is then without rows."""
    table: str = model.TABLE
    name = source.name_of(table)
    file = source.file(name)
    if name not in source.names:
        if table in MAY_BE_ABSENT:
            reading.tables[table] = TableRead(file, keys=set())
        else:
            rule = f"It is needed: {_meaning(model)}"
            reading.faults.append(Fault(file, 0, "", "is missing", rule, "Write the table."))
        return
    try:
        sheet = source.sheet(table, tuple(column.name for column in columns(model)))
    except UnreadableError as error:
        reading.faults += error.faults
        return
    read = reading.tables[table] = read_table(sheet, model)
    if table in NOT_BARE and not read.rows and not read.faults:
        rule, remedy = "It needs one row at least.", "Fill it in below the headings."
        read.faults.append(Fault(file, 0, "", "has headings only", rule, remedy))


def _meaning(model: type) -> str:
    return (model.__doc__ or "").strip().splitlines()[0]


def _cross_faults(source: Source, reading: _Reading) -> list[Fault]:
    """What does not fit together, as far as that can be told beside the faults found already."""
    known = {
        name: Known(table.rows, table.keys, whole=not table.faults)
        for name, table in reading.tables.items()
    }
    return [_located(one, source, reading) for one in findings_in(known, reading.settings)]


def _located(finding: Finding, source: Source, reading: _Reading) -> Fault:
    """The finding with the file and row the user sees."""
    table = reading.tables.get(finding.table)
    if table is None:
        row = source.setting_row(finding.column)
    else:
        row = table.numbers[finding.index] if finding.index is not None else 0
    file = table.file if table else source.file(source.settings_name)
    return Fault(file, row, finding.column, finding.found, finding.rule, finding.remedy)
