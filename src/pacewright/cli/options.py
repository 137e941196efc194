"""Arguments and options that several commands share."""

from pathlib import Path
from typing import Annotated

import typer

WorksPath = Annotated[
    Path, typer.Argument(metavar="WORKS", help="works folder (works.toml and CSV) or workbook")
]
Database = Annotated[
    str,
    typer.Option(
        "--database",
        metavar="ADDRESS",
        help="where the record is kept; left out: record.sqlite of the works",
    ),
]
DryRun = Annotated[bool, typer.Option("--dry-run", help="only say what would be kept")]
AsJson = Annotated[bool, typer.Option("--json", help="answer in JSON on standard output")]
