"""A table as HTML: one text, made fast, with everything escaped.

End tags that HTML lets one leave out are left out: at 3,000 rows they are a tenth of the page.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from html import escape

from pacewright.reports.address import filled
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.table import Cell, Kind, Table, TableColumn
from pacewright.reports.written import NONE, day, local, moment, number, share

MOST_AT_A_GLANCE = 25
"""Rows above which a table gets a search field."""

HEADS = {
    "vehicle_id": "vehicle",
    "type_id": "type",
    "depot_id": "depot",
    "stage_id": "stage id",
    "unit_kind_id": "unit kind",
    "sentence": "in words",
}
"""Headings for people where blanks for underscores are not enough."""


_SAID_ELSEWHERE = frozenset(
    {
        "number",
        "place",
        "none",
        "share of 1",
        "see unit",
        "as told",
        "in its unit",
        "as the column",
        "as the measure",
    }
)
"""Units that no heading shows: the cell or a column beside it says what is counted."""

_LONG = frozenset({"sentence", "remedy", "reason", "note", "method"})
"""Columns of whole sentences, which need room."""


def html_table(
    table: Table,
    columns: Sequence[str] = (),
    heads: Mapping[str, str] | None = None,
    filters: Sequence[str] = (),
    links: Mapping[str, str] | None = None,
) -> Drawing:
    """The table, or some of its columns, under a heading that says meaning and unit.

    Parameters
    ----------
    columns : names of the columns shown, in order; empty: all.
    heads : name -> heading for people, before HEADS; else the name with blanks for underscores.
    filters : columns that get a choice of their values (by the script of the page, when it runs).
    links : column of text -> address its cells lead to, ``{}`` standing for the cell.
    """
    given = frozenset(heads or ())
    heads = HEADS | dict(heads or {})
    names = [column.name for column in table.columns]
    picks = [names.index(name) for name in columns or names]
    shown = [table.columns[pick] for pick in picks]
    if not table.rows:
        return Drawing('<p class="none">None.</p>')
    cell = _linking(links) if links else _cell
    search = " data-search" if len(table.rows) > MOST_AT_A_GLANCE else ""
    head = "".join(
        _head(c, heads.get(c.name, c.name.replace("_", " ")), c.name not in given, filters)
        for c in shown
    )
    rows = [
        "<tr>" + "".join([cell(row[pick], c) for pick, c in zip(picks, shown, strict=True)])
        for row in table.rows
    ]
    return Drawing(
        f'<div class="scroll" tabindex="0"><table class="data" data-name="{table.name}"{search}>'
        f"<caption>{escape(table.title)}. {escape(local(table.about))}</caption>"
        f"<thead><tr>{head}</thead><tbody>{chr(10).join(rows)}</tbody></table></div>"
    )


def _head(column: TableColumn, name: str, plain: bool, filters: Sequence[str]) -> str:
    says = column.meaning + (f" [{column.unit}]" if column.unit else "")
    look = ' class="n"' if column.kind in (Kind.WHOLE, Kind.NUMBER, Kind.SHARE) else ""
    if column.name in _LONG:
        look = ' class="t"'
    choice = " data-choice" if column.name in filters else ""
    # A heading written for its page says its unit by itself; a title alone is not seen by touch.
    shown = plain and column.unit not in ("", name) and column.unit not in _SAID_ELSEWHERE
    unit = f" <small>{escape(column.unit)}</small>" if shown else ""
    return f'<th scope="col"{look}{choice} title="{escape(says)}">{escape(name)}{unit}</th>'


def _linking(links: Mapping[str, str]) -> Callable[[Cell, TableColumn], str]:
    def linked(cell: Cell, column: TableColumn) -> str:
        address = links.get(column.name)
        if address is None or cell in (None, ""):
            return _cell(cell, column)
        text = str(cell)
        to = escape(filled(address, text))
        return f'<td><a href="{to}">{escape(text)}</a>'

    return linked


def _cell(cell: Cell, column: TableColumn) -> str:
    kind = column.kind
    if kind is Kind.TEXT:
        return _words(cell, column)
    if cell is None:
        return f"<td class=n>{NONE}" if kind is not Kind.DATE else f"<td>{NONE}"
    if isinstance(cell, bool):
        return "<td>yes" if cell else "<td>no"
    if isinstance(cell, date):
        return f"<td class=d>{moment(cell) if isinstance(cell, datetime) else day(cell)}"
    if kind is Kind.SHARE:
        return f"<td class=n>{share(float(cell), 1)}"
    return f"<td class=n>{number(float(cell), column.digits)}"


def _words(cell: Cell, column: TableColumn) -> str:
    if cell in (None, ""):
        return "<td>"
    if column.exact:
        return f"<td><code>{escape(str(cell))}</code>"
    # A name stays as it is, whatever it looks like; words of people tell days as people do.
    return f"<td>{escape(str(cell) if column.name.endswith('_id') else local(str(cell)))}"
