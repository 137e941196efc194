"""The commands about the record itself."""

from pathlib import Path
from typing import Annotated

import typer

from pacewright.cli.options import AsJson, Database, WorksPath

record = typer.Typer(
    help="See the record of the works, go through it, back it up and restore it.",
    no_args_is_help=True,
    rich_markup_mode=None,
)


def add_to(app: typer.Typer) -> None:
    """Put these commands into the list of all commands."""
    app.add_typer(record, name="record")


@record.command()
def show(  # noqa: PLR0913, PLR0917
    works: WorksPath,
    about: Annotated[
        str, typer.Option(metavar="CODE", help="vehicle:1043, body:B-11, motor:M-7, place:paint")
    ] = "",
    kind: Annotated[str, typer.Option(help="kind of event")] = "",
    by: Annotated[str, typer.Option(metavar="NAME", help="who wrote it down")] = "",
    since: Annotated[
        str, typer.Option(metavar="MOMENT", help="happened then or later: 2026-03-02T07:30")
    ] = "",
    limit: Annotated[int, typer.Option(min=1, help="entries shown")] = 20,
    oldest_first: Annotated[bool, typer.Option("--oldest-first", help="from the start")] = False,
    database: Database = "",
    as_json: AsJson = False,
) -> None:
    """Show entries of the record, the newest first: what happened, who wrote it down, and when."""
    from pacewright.cli.record import Shown, run_show

    shown = Shown(about, kind, by, since, limit, oldest_first)
    run_show(works, shown, database, as_json)


@record.command()
def verify(
    works: WorksPath,
    head: Annotated[
        str, typer.Option(metavar="PLACE:DIGEST", help="head noted earlier: must still be there")
    ] = "",
    drop_snapshots: Annotated[
        bool, typer.Option("--drop-snapshots", help="first take the snapshots away, and fold anew")
    ] = False,
    database: Database = "",
    as_json: AsJson = False,
) -> None:
    """Go through the whole record: nothing changed, nothing missing, everything possible."""
    from pacewright.cli.record import run_verify

    run_verify(works, head, drop_snapshots, database, as_json)


@record.command()
def backup(
    works: WorksPath,
    file: Annotated[Path, typer.Argument(metavar="FILE", help="file to write; it must not exist")],
    database: Database = "",
    as_json: AsJson = False,
) -> None:
    """Copy the record to one file while it is in use, and go through the copy."""
    from pacewright.cli.record import run_backup

    run_backup(works, file, database, as_json)


@record.command()
def restore(
    works: WorksPath,
    file: Annotated[Path, typer.Argument(metavar="FILE", help="the backup")],
    database: Database = "",
    as_json: AsJson = False,
) -> None:
    """Put a backup where the works has no record yet, in a file or in PostgreSQL."""
    from pacewright.cli.record import run_restore

    run_restore(works, file, database, as_json)
