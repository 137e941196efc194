"""The scope of one vehicle by strip inspection: hours by trade beside the standard."""

from collections.abc import Sequence

from pacewright.control.scope import scope_of
from pacewright.office.sheets.today_made import DayPaper
from pacewright.plans.scope import Scope, ScopeWork
from pacewright.reports.drawings.beside_bars import BesideRow, BesideWords, beside_bars
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.sheet import Part
from pacewright.reports.table import Table, number, table, text
from pacewright.reports.written import number as said_number
from pacewright.reports.written import share as said_share

HOW = (
    "Standard hours of each operation times the pieces that need it: what inspection found needed "
    "counts in full, what it passed counts nothing, what it has not looked at counts by its share, "
    "must-change counts in full. The standard is the same with nothing found. Growth is the one "
    "less the other. Standard hours are a planning figure, not for ranking people."
)
_GROWN_SHARE = 0.1
"""Growth over the standard from which a trade is marked."""


def scope_if_any(paper: DayPaper, vehicle_id: str) -> Scope | None:
    """The scope of a vehicle; None: it has no standard, as its type is not in the tables."""
    known = paper.standing.vehicles[vehicle_id]
    if known.type_id not in {one.type_id for one in paper.works.vehicle_types}:
        return None
    return scope_of(paper.works, paper.standing, vehicle_id)


def scope_parts(paper: DayPaper, scope: Scope) -> tuple[Part, ...]:
    """Hours by trade, and the work that differs from the standard."""
    names = {one.trade_id: one.name for one in paper.works.trades}
    return (
        Part("scope", "Scope by trade",
             HOW + f" Looked at so far: {said_share(scope.looked_at_share)} of the standard hours.",
             trade_table(scope, names), drawing=_drawing(scope, names), folded=True,
             empty="Its type has no work in the tables."),
        Part("scope_work", "Work that differs from the standard",
             "Operations whose hours are not those of the standard, the largest difference first; "
             "all of the scope stands in the strip inspection and in REST.",
             work_table([one for one in scope.work if abs(one.hours - one.standard_hours) > 1e-9]),
             columns=("name", "place_id", "trade_id", "basis", "looked_at", "pieces", "hours",
                      "standard_hours", "grown_hours"), folded=True,
             empty="Nothing found so far changes the standard."),
    )  # fmt: skip


def trade_table(scope: Scope, names: dict[str, str]) -> Table:
    """Hours by trade."""
    return table(
        ("scope", "Scope by trade", "The scope beside the standard of its type."),
        (text("trade_id", "trade", lambda r: r[0]),
         text("name", "its name", lambda r: names.get(r[0], "")),
         number("hours", "scope", "man-hours", lambda r: r[1].hours),
         number("standard_hours", "standard", "man-hours", lambda r: r[1].standard_hours),
         number("grown_hours", "scope less standard", "man-hours", lambda r: r[1].grown_hours)),
        sorted(scope.by_trade.items(), key=lambda one: -one[1].hours),
    )  # fmt: skip


def work_table(rows: Sequence[ScopeWork]) -> Table:
    """Operations as rows, the largest difference first."""
    return table(
        ("scope_work", "Work that differs from the standard", "One row an operation."),
        (text("operation_id", "operation"), text("name", "its name"),
         text("place_id", "stage or unit kind it is done at"), text("trade_id", "trade"),
         text("basis", "must-change, found, or by share"),
         number("looked_at", "pieces or units looked at", "pieces"),
         number("pieces", "pieces or units it may be needed on", "pieces"),
         number("hours", "in the scope", "man-hours"),
         number("standard_hours", "in the standard", "man-hours"),
         number("grown_hours", "scope less standard", "man-hours",
                lambda r: r.hours - r.standard_hours)),
        sorted(rows, key=lambda one: -abs(one.hours - one.standard_hours)),
    )  # fmt: skip


def _drawing(scope: Scope, names: dict[str, str]) -> Drawing | None:
    rows = [
        BesideRow(
            names.get(trade_id, trade_id),
            one.hours,
            one.standard_hours,
            one.grown_hours > _GROWN_SHARE * one.standard_hours,
        )
        for trade_id, one in sorted(scope.by_trade.items(), key=lambda item: -item[1].hours)
    ]
    if not rows:
        return None
    over = f"more than {said_number(100 * _GROWN_SHARE, 0)} % over the standard"
    return beside_bars(
        "scopebars", BesideWords("Scope by trade", "scope", "standard", over, "man-hours"), rows
    )
