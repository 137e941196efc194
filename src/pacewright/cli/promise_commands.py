"""The commands about promises: what is forecast, who gets which unit, what robbing costs."""

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from pacewright.cli.moments import DAY, At, day
from pacewright.cli.options import AsJson, Database, Threads, WorksPath


def add_to(app: typer.Typer) -> None:
    """Put these commands into the list of all commands."""
    app.command()(promises)
    app.command()(allot)
    app.command()(rob)


def promises(  # noqa: PLR0913, PLR0917
    works: WorksPath,
    vehicle: Annotated[str, typer.Option(metavar="ID", help="only this vehicle")] = "",
    since: Annotated[
        date | None,
        typer.Option(
            parser=day, metavar=DAY, help="changes since this day; left out: a day before"
        ),
    ] = None,
    changes: Annotated[bool, typer.Option(help="whether changes are told")] = True,
    runs: Annotated[int, typer.Option(min=20, max=100_000, help="runs of the works")] = 200,
    seed: Annotated[int, typer.Option(min=0, help="same seed, same forecast")] = 1,
    at: At = None,
    threads: Threads = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="DIR", help="folder for the tables")
    ] = None,
    database: Database = "",
    as_json: AsJson = False,
) -> None:
    """When each vehicle will be released by the record, beside its first and current promise."""
    from pacewright.cli.promises import run
    from pacewright.office.promising import PromisesAsked

    asked = PromisesAsked(database, since, changes, runs, seed, at, threads)
    run(works, vehicle, asked, out, as_json)


def allot(  # noqa: PLR0913, PLR0917
    works: WorksPath,
    days: Annotated[
        float, typer.Option(min=0, max=250, help="working days ahead whose needs are weighed")
    ] = 15.0,
    issue_days: Annotated[
        float, typer.Option(min=0, max=250, help="of those, days ahead for which units are issued")
    ] = 3.0,
    book: Annotated[bool, typer.Option("--book", help="book the issues proposed")] = False,
    by: Annotated[str, typer.Option("--by", metavar="NAME", help="who books them")] = "",
    at: At = None,
    database: Database = "",
    as_json: AsJson = False,
) -> None:
    """Propose which unit and which assembly each vehicle gets, best for the promises."""
    from pacewright.cli.allot import run
    from pacewright.cli.answer import answering
    from pacewright.office.allotting import AllotAsked
    from pacewright.office.errors import CallError

    if book != bool(by):
        with answering(as_json):
            raise CallError(
                "--book and --by NAME: what is booked is booked by somebody. Give both or neither."
            )
    run(works, AllotAsked(database, at, days, issue_days, by), as_json)


def rob(  # noqa: PLR0913, PLR0917
    works: WorksPath,
    unit: Annotated[str, typer.Option(metavar="CODE", help="unit, as motor:M-7")] = "",
    off: Annotated[str, typer.Option(metavar="CODE", help="what it is on, as vehicle:1043")] = "",
    to: Annotated[str, typer.Option(metavar="CODE", help="what it is for, as vehicle:1050")] = "",
    approve: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME", help="who approves; twice, by two people; none: only cost"),
    ] = None,
    reason: Annotated[str, typer.Option(metavar="WORDS", help="why; needed to book")] = "",
    by: Annotated[
        str, typer.Option(metavar="NAME", help="who writes it down; left out: the first approver")
    ] = "",
    register: Annotated[bool, typer.Option("--register", help="list every robbing")] = False,
    runs: Annotated[int, typer.Option(min=20, max=100_000, help="runs with and without it")] = 200,
    seed: Annotated[int, typer.Option(min=0, help="same seed, same cost")] = 1,
    threads: Threads = None,
    database: Database = "",
    as_json: AsJson = False,
) -> None:
    """Price taking a unit off one vehicle for another; book it on two approvals; the register."""
    from pacewright.cli.answer import answering
    from pacewright.cli.rob import run, run_register
    from pacewright.office.errors import CallError
    from pacewright.office.robbing import RobAsked

    if register:
        run_register(works, database, as_json)
        return
    if not (unit and off and to):
        with answering(as_json):
            raise CallError(
                "rob: --unit, --off and --to are needed, by their codes; --register lists what "
                "was robbed. Give them."
            )
    asked = RobAsked(unit, off, to, tuple(approve or ()), reason, by, database, runs, seed, threads)
    run(works, asked, as_json)
