"""The command by which the planner learns from the record."""

from pathlib import Path
from typing import Annotated

import typer

from pacewright.cli.moments import At
from pacewright.cli.options import AsJson, Database


def add_to(app: typer.Typer) -> None:
    """Put the command into the list of all commands."""
    app.command()(learn)


def learn(  # noqa: PLR0913, PLR0917
    works: Annotated[Path, typer.Argument(metavar="WORKS", help="works folder or workbook")],
    accept: Annotated[
        list[str] | None,
        typer.Option(
            "--accept", metavar="ID", help="write it into its table; * stands for any text"
        ),
    ] = None,
    reject: Annotated[
        list[str] | None,
        typer.Option("--reject", metavar="ID", help="leave it; told again on twice the evidence"),
    ] = None,
    by: Annotated[str, typer.Option("--by", metavar="NAME", help="who decides")] = "",
    reason: Annotated[str, typer.Option(help="why; needed to reject")] = "",
    every: Annotated[
        bool, typer.Option("--all", help="also what does not differ, and what was rejected")
    ] = False,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="DIR", help="folder for CSV tables and summary.json"),
    ] = None,
    at: At = None,
    database: Database = "",
    as_json: AsJson = False,
) -> None:
    """Learn factors, turn times and hours from the record; a person accepts or rejects each."""
    from pacewright.cli.learn import run
    from pacewright.office.learning import Decision

    decision = Decision(tuple(accept or ()), tuple(reject or ()), by, reason, at)
    run(works, decision, database, (every, out), as_json)
