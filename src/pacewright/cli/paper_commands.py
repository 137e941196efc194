"""The command that prints papers."""

from pathlib import Path
from typing import Annotated

import typer

from pacewright.cli.moments import At
from pacewright.cli.options import AsJson, Database


def paper(  # noqa: PLR0913, PLR0917
    works: Annotated[
        Path | None, typer.Argument(metavar="WORKS", help="works folder or workbook")
    ] = None,
    sort: Annotated[
        str, typer.Argument(metavar="SORT", help="sort of paper; --sorts lists them")
    ] = "",
    words: Annotated[
        list[str] | None,
        typer.Argument(metavar="NAME=VALUE...", help="what it is about: vehicle=1043 shop=paint"),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE", help="PDF file; left out: named by sort and day"),
    ] = None,
    sorts: Annotated[bool, typer.Option("--sorts", help="list every sort of paper")] = False,
    at: At = None,
    with_plan: Annotated[
        bool, typer.Option("--with-plan", help="make the plan first, for mean waits in dates")
    ] = False,
    database: Database = "",
    as_json: AsJson = False,
) -> None:
    """Print a paper as PDF: cards, forms, labels, dockets, lists, letters, charts."""
    from pacewright.cli.papers import Wish, called_wrongly, run, run_sorts

    if sorts:
        run_sorts(as_json)
        return
    if works is None or not sort:
        called_wrongly(as_json)
        return
    run(works, Wish(sort, words or (), database, at, with_plan), out, as_json)


def add_to(app: typer.Typer) -> None:
    """Put this command into the list of all commands."""
    app.command()(paper)
