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
Of = Annotated[str, typer.Option("--of", help="figure the precision is asked of")]
Weeks = Annotated[
    int | None,
    typer.Option("--weeks", min=1, max=520, help="weeks measured; left out: the horizon"),
]
Start = Annotated[
    str, typer.Option("--from", help="now: as it stands today; empty; steady: without its warm-up")
]
Seed = Annotated[int, typer.Option("--seed", min=0, help="same seed, same figures")]
Cluster = Annotated[
    str,
    typer.Option("--cluster", metavar="ADDRESS", help="Dask scheduler; left out: this machine"),
]
Threads = Annotated[
    int | None, typer.Option("--threads", min=1, help="threads; left out: one a processor")
]
