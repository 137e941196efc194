"""The command that opens the pages."""

from typing import Annotated

import typer

from pacewright.cli.options import Database, WorksPath


def serve(  # noqa: PLR0913, PLR0917
    works: WorksPath,
    database: Database = "",
    host: Annotated[
        str, typer.Option(help="address to listen on; 0.0.0.0: every network of this machine")
    ] = "127.0.0.1",
    port: Annotated[int, typer.Option(min=1, max=65535, help="port to listen on")] = 8400,
    name: Annotated[
        list[str] | None, typer.Option(help="name under which others reach it; may be repeated")
    ] = None,
    certificate: Annotated[
        str, typer.Option(metavar="FILE", help="certificate for an encrypted connection")
    ] = "",
    key: Annotated[str, typer.Option(metavar="FILE", help="its key")] = "",
    language: Annotated[
        str, typer.Option(metavar="CODE", help="language of every page; left out: the browser's")
    ] = "",
    read_only: Annotated[bool, typer.Option("--read-only", help="show only, book nothing")] = False,
    from_record: Annotated[
        bool,
        typer.Option(
            "--from-record",
            help="works clock goes on from the last event, for examples and past records",
        ),
    ] = False,
) -> None:
    """Open the works and its record as pages for everyone on the works' network."""
    from pacewright.cli.serve import run
    from pacewright.web.serve import Place

    place = Place(host, port, tuple(name or ()), certificate, key, language)
    run(works, database, place, read_only, from_record)


def add_to(app: typer.Typer) -> None:
    """Add the command to the list."""
    app.command()(serve)
