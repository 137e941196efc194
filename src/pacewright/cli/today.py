"""``pacewright today`` and ``pacewright shortages``."""

import sys
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from pacewright.cli.answer import answering, say
from pacewright.cli.waiting import waiting

if TYPE_CHECKING:
    from pacewright.office.today import Asked
    from pacewright.reports.table import Table

SHOWN_ROWS = 15
"""Rows of a table shown in the terminal; the files of --out and --json hold all."""

PAPER_COLUMNS = 160
"""Width of a table that goes into a file or a pipe [characters]."""

_TOLD = {
    "shortages": ("rank", "name", "units", "piece", "fit_stage_id", "needed", "expected",
                  "late_days", "owner", "vehicle_days"),
    "blocked": ("piece", "stage_id", "next_stage_id", "cause", "by", "opens", "opens_on"),
    "moves": ("what", "piece", "from_stage_id", "to_stage_id", "position", "must_by", "promise"),
    "units_due": ("shop_id", "name", "advice", "due_today", "due_span", "turn_out", "to_repair",
                  "serviceable", "runs_out"),
    "pieces_due": ("shop_id", "name", "there", "due_today", "due_span"),
    "hours": ("shop_id", "trade_id", "needed_today", "able_today", "needed_span", "able_span"),
    "schedule": ("shop_id", "stage_id", "piece", "begins", "ends", "under_way", "waits_for"),
    "cover": ("name", "shop_id", "word", "cover_days", "runs_out", "chance_out", "serviceable"),
    "idle_by_cause": ("cause", "vehicles", "vehicle_days", "assemblies", "assembly_days"),
    "entry": ("place", "sort", "work_days", "wait_days"),
    "changes": ("kind", "what", "before", "now", "days"),
}  # fmt: skip
"""Tables shown in the terminal, and their columns; a shop's sheet shows only what is the shop's."""

_OF_SHOP = ("shortages", "units_due", "pieces_due", "hours", "schedule", "cover")


def run(path: Path, asked: "Asked", shop_id: str, out: Path | None, as_json: bool) -> None:
    """Say the day of a works; with ``out`` also as page and CSV files."""
    from pacewright.office.today import day_data, today, write_today
    from pacewright.reports.today import CAUTION, answer
    from pacewright.reports.today_tables import today_tables

    with answering(as_json):
        with waiting() as progress:
            one = today(path, asked, shop_id, progress)
            if out is not None:
                progress("writing the page", 0.0)
                write_today(one, out, shop_id)
        if as_json:
            say({"day": day_data(one, shop_id)}, "", True)
            return
        heads = [f"{one.works_name}, {_moment(one.now)}{f', shop {shop_id}' if shop_id else ''}"]
        names = _OF_SHOP if shop_id else tuple(_TOLD)
        tables = [each for each in today_tables(one, shop_id) if each.name in names]
        print("\n".join([*heads, *answer(one, shop_id), ""]))
        show([each for each in tables if each.rows])
        print("\n".join(CAUTION))
        if out is not None:
            print(f"Page: {out / 'today.html'}")


def run_shortages(path: Path, asked: "Asked", as_json: bool) -> None:
    """Say the shortage list."""
    from pacewright.office.today import shortage_list
    from pacewright.reports.sheet import table_data
    from pacewright.reports.today_tables import shortage_table

    with answering(as_json):
        with waiting() as progress:
            seen, rows = shortage_list(path, asked, progress)
        table = shortage_table(seen, rows)
        if as_json:
            say({"now": seen.now.isoformat(), "shortages": table_data(table)}, "", True)
        elif not rows:
            print(f"{_moment(seen.now)}: nothing is short for the next {asked.days} working days.")
        else:
            print(f"{_moment(seen.now)}, next {asked.days} working days")
            show([table], len(rows))


def show(tables: "Sequence[Table]", rows: int = SHOWN_ROWS) -> None:
    """Print tables for people: their chosen columns, the first rows."""
    from rich import box
    from rich.console import Console
    from rich.table import Table as Printed

    from pacewright.reports.cell_text import cell_text
    from pacewright.reports.table import Kind

    # Into a file or a pipe there is no screen to fit: a page of paper, turned, takes this much.
    width = None if sys.stdout.isatty() else PAPER_COLUMNS
    console = Console(highlight=False, soft_wrap=False, markup=False, width=width)
    right = {Kind.WHOLE, Kind.NUMBER, Kind.SHARE}
    for one in tables:
        names = _TOLD.get(one.name) or tuple(column.name for column in one.columns)
        index = {column.name: place for place, column in enumerate(one.columns)}
        picks = [index[name] for name in names]
        printed = Printed(title=one.title, title_justify="left", box=box.SIMPLE, pad_edge=False)
        for pick in picks:
            column = one.columns[pick]
            words = column.name.removesuffix("_id").replace("_", " ")
            printed.add_column(words, justify="right" if column.kind in right else "left")
        for row in one.rows[:rows]:
            printed.add_row(*(cell_text(row[pick], one.columns[pick]) for pick in picks))
        console.print(printed)
        if len(one.rows) > rows:
            console.print(f"... and {len(one.rows) - rows:,} more; --out or --json holds all.\n")


def _moment(now: datetime) -> str:
    return f"{now:%Y-%m-%d %H:%M}"
