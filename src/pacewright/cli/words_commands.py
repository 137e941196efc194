"""The command for other languages."""

from pathlib import Path
from typing import Annotated

import typer

from pacewright.cli.options import AsJson


def words(
    works: Annotated[Path, typer.Argument(metavar="WORKS", help="works folder or workbook")],
    code: Annotated[
        str, typer.Argument(metavar="CODE", help="language as BCP 47 writes it: de, fr, pt-BR")
    ],
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="only say how far the language is")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Write languages/CODE.po beside the works: every text to translate; what was said is kept."""
    from pacewright.cli.words import run

    run(works, code, dry_run, as_json)


def add_to(app: typer.Typer) -> None:
    """Put this command into the list of all commands."""
    app.command()(words)
