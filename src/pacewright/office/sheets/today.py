"""Today: what moves next, what is held and why, what each shop must turn out, what changed."""

from collections.abc import Mapping
from dataclasses import replace

from pacewright.office.desk import Desk
from pacewright.office.sheets.today_made import DayPaper
from pacewright.office.sheets.today_paper import day_paper
from pacewright.reports.sheet import Figure, Part, Sheet
from pacewright.reports.table import Table
from pacewright.reports.today import today_sheet
from pacewright.reports.written import some

LINKS = {
    "vehicle_id": "/vehicles/{}",
    "unit_kind_id": "/parts/{}",
    "shop_id": "/shops/{}",
    "owner": "/shops/{}",
}
"""Where the cells of a day's tables lead; the same on every page."""

ORDER = (
    "moves",
    "blocked",
    "shortages",
    "units_due",
    "pieces_due",
    "changes",
    "entry",
    "idle_by_cause",
    "idle",
    "hours",
    "ahead",
)
"""Parts of the page, in the order of a planner's morning."""

_SHOWN = {
    "shortages": ("rank", "name", "piece", "vehicle_id", "needed", "expected", "late_days",
                  "source", "owner", "vehicle_days", "chance"),
    "units_due": ("shop_id", "unit_kind_id", "name", "advice", "due_today", "due_span", "turn_out",
                  "to_repair", "serviceable", "runs_out"),
}  # fmt: skip

_DUE = {
    "units_due": ("due_today", "due_span", "turn_out"),
    "pieces_due": ("due_today", "due_span"),
}
"""Parts of which this page shows only rows with a count in one of these columns."""

MOST_SHORT = 10
"""Shortages on this page; all are on their own."""


def today(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """The day at a glance.

    Raises
    ------
    ValueError : never; every asker gets the same day.
    """
    paper = day_paper(desk)
    if not paper.today.seen.vehicles and not paper.standing.vehicles:
        return _empty(paper)
    whole = today_sheet(paper.today)
    return replace(
        whole,
        question="What moves next, what is held and why, and what must each shop turn out?",
        figures=_figures(whole.figures, paper),
        parts=tuple(_part(whole, key) for key in ORDER),
        up_to=paper.place,
        basis=(*paper.basis, *whole.basis[1:]),
    )


def _part(whole: Sheet, key: str) -> Part:
    part = whole.part(key)
    assert part is not None
    shown = replace(part, links=LINKS, columns=_SHOWN.get(key, part.columns))
    if part.table is not None and key in _DUE:
        return _only_due(shown, part.table, _DUE[key])
    if key != "shortages" or part.table is None:
        return shown
    return replace(
        shown,
        heading="What is short, the dearest first",
        how=f"{part.how} The {MOST_SHORT} dearest; all of them stand on the page Shortages.",
        table=first_rows(part.table, MOST_SHORT),
    )


def _only_due(part: Part, found: Table, columns: tuple[str, ...]) -> Part:
    names = [one.name for one in found.columns]
    places = [names.index(one) for one in columns]
    rows = tuple(row for row in found.rows if any(row[place] for place in places))
    left = len(found.rows) - len(rows)
    how = part.how + f" Left out: {left} with nothing due; they stand on the pages of the shops."
    return replace(part, how=how, table=replace(found, rows=rows), empty="Nothing is due.")


def first_rows(table: Table, most: int) -> Table:
    """The table with its first rows only."""
    return replace(table, rows=table.rows[:most])


def _figures(figures: tuple[Figure, ...], paper: DayPaper) -> tuple[Figure, ...]:
    moves = len(paper.today.found.moves)
    can_move = Figure(
        "Can move now",
        str(moves),
        "moves",
        "Its stage is done, the next has a free position, and nothing holds it. A person decides; "
        "book what was done.",
    )
    return (figures[0], can_move, *figures[2:])


def _empty(paper: DayPaper) -> Sheet:
    known = some(len(paper.works.vehicles), "vehicle")
    return Sheet(
        key="today",
        title="Today",
        question="What moves next, what is held and why, and what must each shop turn out?",
        answer=(
            f"The record is empty: it knows no vehicle yet, though the tables know {known}. Book "
            "what happens at the gate and on the floor, or import what was kept so far; this page "
            "fills from the first arrival on.",
        ),
        parts=(),
        up_to=paper.place,
        basis=paper.basis,
    )
