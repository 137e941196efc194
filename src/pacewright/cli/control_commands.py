"""The commands that say what is true now, from the record."""

from pathlib import Path
from typing import Annotated

import typer

from pacewright.cli.moments import At
from pacewright.cli.options import AsJson, Database, WorksPath

WithPlan = Annotated[
    bool, typer.Option("--with-plan", help="make the plan first: its pace, waits, floats needed")
]


def add_to(app: typer.Typer) -> None:
    """Put these commands into the list of all commands."""
    app.command()(today)
    app.command()(shortages)


def today(  # noqa: PLR0913, PLR0917
    works: WorksPath,
    shop: Annotated[str, typer.Option(help="only this shop's sheet; left out: all")] = "",
    days: Annotated[
        int, typer.Option(min=1, max=120, help="working days ahead looked at for shortages")
    ] = 10,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="DIR", help="folder for page and CSV; left out: none"),
    ] = None,
    at: At = None,
    with_plan: WithPlan = False,
    database: Database = "",
    as_json: AsJson = False,
) -> None:
    """Say the day: what is short, blocked and idle, what moves, what each shop must turn out."""
    from pacewright.cli.today import run
    from pacewright.office.today import Asked

    run(works, Asked(database, at, days, with_plan), shop, out, as_json)


def shortages(
    works: WorksPath,
    days: Annotated[int, typer.Option(min=1, max=120, help="working days ahead looked at")] = 10,
    at: At = None,
    with_plan: WithPlan = False,
    database: Database = "",
    as_json: AsJson = False,
) -> None:
    """List the units short for vehicles due to rebuild, ranked by the vehicle-days they cost."""
    from pacewright.cli.today import run_shortages
    from pacewright.office.today import Asked

    run_shortages(works, Asked(database, at, days, with_plan), as_json)
