"""The tables of the works: what they hold, what is wrong with them, and every version kept."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from pacewright.base.columns import Column, columns
from pacewright.base.faults import Fault, WorksFaultyError
from pacewright.files.settings import settings_known
from pacewright.files.write import cell_text
from pacewright.office.desk import Desk
from pacewright.office.differing import flat
from pacewright.office.folder import open_works
from pacewright.office.sheets.asked import whole_asked
from pacewright.office.sheets.today_paper import look
from pacewright.office.works_files import checked_name, table_names, versions
from pacewright.reports.sheet import Figure, Part, Sheet
from pacewright.reports.table import Table, TableColumn, table, text, whole, yes_no
from pacewright.reports.written import some
from pacewright.works import MAY_BE_ABSENT, TABLES, Works

MOST_ROWS = 500
FAULT_SECONDS = 3.0


@dataclass(frozen=True, slots=True)
class TableState:
    """One table at a glance."""

    name: str
    rows: int
    meaning: str
    needed: bool
    there: bool
    changed: str


def model_of(name: str) -> Any:
    """The row model of a table."""
    return next(one for one in TABLES if name == one.TABLE)  # type: ignore[attr-defined]


def meaning_of(name: str) -> str:
    """What a table holds, a sentence."""
    return str(model_of(name).__doc__ or "").strip().splitlines()[0].replace("``", "")


def faults_now(desk: Desk) -> tuple[Fault, ...]:
    """What is wrong with the tables as they lie there now; nothing: they are in use."""

    def found() -> tuple[Fault, ...]:
        try:
            open_works(desk.path)
        except WorksFaultyError as error:
            return error.faults
        return ()

    return desk.paper("table faults", found, (), seconds=FAULT_SECONDS)


def works_sheet(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """Every table, what is wrong with them, what had to be assumed, and the versions kept."""
    faults = faults_now(desk)
    if not faults:
        look(desk)
    _, notes = desk.works_now()
    states = [_state(desk, name) for name in table_names()]
    wrong = f"{some(len(faults), 'fault')} found: the tables before the last change are in use."
    return Sheet(
        key="works",
        title="Works",
        question="What is this works made of, and is anything wrong with its tables?",
        answer=(
            wrong if faults else "The tables are sound and in use.",
            f"{some(sum(one.rows for one in states), 'row')} in {some(len(states), 'table')}; "
            f"{some(len(notes), 'thing')} had to be assumed.",
        ),
        figures=(
            Figure("Faults", str(len(faults)), "faults",
                   "Found in the files as they lie there now; with one or more the tables before "
                   "the change stay in use."),
            Figure("Vehicles", f"{len(desk.works.vehicles):,}", "in the table",
                   "Rows of the table vehicles, withdrawn ones too."),
            Figure("Versions kept", str(len(versions(desk))), "replacements",
                   "Tables replaced through this page; the ones before them are kept."),
        ),
        parts=(
            Part("faults", "Faults", "Every fault found at once: file, row as the spreadsheet "
                 "counts, column, what was found, the rule, the remedy.", faults_table(faults),
                 empty="None. Every table was read and cross-checked."),
            Part("tables", "Tables", "A table leads to its columns and rows, and to where it is "
                 "replaced.", _states(states), links={"name": "/works/{}"}),
            Part("settings", "Settings", "What is set; they are replaced on a page of their own.",
                 settings_table(desk.works),
                 folded=True, drawing=None),
            Part("notes", "What had to be assumed", "What was read and cannot be taken as it is, "
                 "and what the record knows better than the tables.", _notes(notes),
                 empty="Nothing had to be assumed."),
            Part("versions", "Versions kept", "Every replacement through this page, the newest "
                 "first; kept_as leads to the table as it was before it.", versions_table(desk),
                 links={"kept_as": "/works/versions/{}", "table": "/works/{}"},
                 empty="No table was replaced through this page yet."),
        ),
        basis=(f"The files of {desk.path.name}, read and cross-checked.",),
    )  # fmt: skip


def _state(desk: Desk, name: str) -> TableState:
    path = desk.path / f"{name}.csv"
    there = path.is_file()
    at = datetime.fromtimestamp(path.stat().st_mtime, UTC) if there else None
    return TableState(
        name,
        len(getattr(desk.works, name)),
        meaning_of(name),
        name not in MAY_BE_ABSENT,
        there,
        f"{at:%Y-%m-%d %H:%M} UTC" if at else "",
    )


def _states(states: list[TableState]) -> Table:
    return table(
        ("tables", "Tables", "One row a table."),
        (text("name", "table"), text("meaning", "what it holds"),
         whole("rows", "rows in use", "rows"), yes_no("needed", "no: a works may do without it"),
         yes_no("there", "yes: there is a file of it"),
         text("changed", "when the file was last changed")),
        states,
    )  # fmt: skip


def faults_table(faults: tuple[Fault, ...]) -> Table:
    """Every fault, a row each."""
    return table(
        ("faults", "Faults", "One row a fault, in order of file, row and column."),
        (text("file", "file"), whole("row", "row as the spreadsheet counts; 0: the whole file", ""),
         text("column", "column"), text("found", "what was found"), text("rule", "the rule"),
         text("remedy", "what to do")),
        faults,
    )  # fmt: skip


def settings_table(works: Works) -> Table:
    """Every setting with what it means."""
    meanings = {one.name: one.meaning for one in settings_known()}
    told = flat(works.settings)
    return table(
        ("settings", "Settings", "One row a setting."),
        (text("name", "setting", lambda one: one[0]),
         text("value", "what it is", lambda one: cell_text(one[1])),
         text("meaning", "what it means",
              lambda one: meanings.get(".".join("N" if p.isdigit() else p
                                                for p in one[0].split(".")), ""))),
        told,
    )  # fmt: skip


def _notes(notes: tuple[str, ...]) -> Table:
    return table(
        ("notes", "Assumed", "One row a note."),
        (text("sentence", "what had to be assumed", lambda one: one),),
        notes,
    )


def versions_table(desk: Desk, name: str = "") -> Table:
    """Every replacement, of one table or of all."""
    return table(
        ("versions", "Replacements", "One row a replacement."),
        (text("at", "when, UTC"), text("table", "which table"), text("by", "who"),
         text("reason", "why"), text("kept_as", "the table before it; blank: there was none"),
         text("sha256_before", "SHA-256 of the file before", lambda v: v.sha256_before[:16]),
         text("sha256_after", "and after", lambda v: v.sha256_after[:16])),
        [one for one in versions(desk) if name in ("", one.table)],
    )  # fmt: skip


def table_sheet(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """One table: its columns, its rows, its versions.

    Raises
    ------
    NotFoundError : there is no such table.
    ValueError : ``first`` is no row.
    """
    name = checked_name(asked.get("table", ""))
    look(desk)
    first = whole_asked(asked, "first", 1, 1, 10**7)
    find = asked.get("find", "").strip().casefold()
    known = columns(model_of(name))
    rows = [[cell_text(getattr(one, c.name)) for c in known] for one in getattr(desk.works, name)]
    fitting = [row for row in rows if not find or any(find in cell.casefold() for cell in row)]
    shown = fitting[first - 1 : first - 1 + MOST_ROWS]
    return Sheet(
        key="table",
        title=f"Table {name}",
        question=f"What stands in the table {name}?",
        answer=(meaning_of(name), f"{some(len(rows), 'row')}, {some(len(known), 'column')}."),
        parts=(
            Part("rows", "Rows", f"Rows {min(first, len(fitting))} to {first - 1 + len(shown)} of "
                 f"{len(fitting)} that fit. As they are in use; a cell left blank shows what it "
                 "then is.", _rows(name, known, shown), empty="No row fits."),
            Part("columns", "Columns", "What each column means and what stands there.",
                 _columns(known), links={"refers": "/works/{}"}),
            Part("versions", "Versions kept", "Every replacement of it, the newest first.",
                 versions_table(desk, name), links={"kept_as": "/works/versions/{}"},
                 empty="It was not replaced through this page yet."),
        ),
        basis=(f"{name}.csv of {desk.path.name}, read and cross-checked.",),
    )  # fmt: skip


def _rows(name: str, known: tuple[Column, ...], rows: list[list[str]]) -> Table:
    heads = tuple(TableColumn(one.name, one.meaning) for one in known)
    return Table(name, f"Table {name}", "As it is in use.", heads, tuple(map(tuple, rows)))


def _columns(known: tuple[Column, ...]) -> Table:
    return table(
        ("columns", "Columns", "One row a column."),
        (text("name", "heading in the file"), text("meaning", "what a cell says"),
         text("rule", "what stands there", lambda c: c.rule.rule),
         yes_no("required", "yes: never blank"),
         text("refers", "table it names a row of", lambda c: c.refers.table if c.refers else "")),
        known,
    )  # fmt: skip
