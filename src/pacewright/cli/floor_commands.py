"""The commands by which the floor tells the record what happened."""

from pathlib import Path
from typing import Annotated

import typer

from pacewright.cli.options import AsJson, Database, DryRun, WorksPath


def add_to(app: typer.Typer) -> None:
    """Put these commands into the list of all commands."""
    app.command()(book)
    app.command("import")(import_)
    app.command()(scope)


def book(  # noqa: PLR0913, PLR0917
    works: Annotated[
        Path | None, typer.Argument(metavar="WORKS", help="works folder or workbook")
    ] = None,
    kind: Annotated[
        str, typer.Argument(metavar="KIND", help="kind of event; --kinds lists them")
    ] = "",
    words: Annotated[
        list[str] | None,
        typer.Argument(metavar="FIELD=VALUE...", help="what happened, to what, where and when"),
    ] = None,
    by: Annotated[str, typer.Option("--by", metavar="NAME", help="who writes it down")] = "",
    device: Annotated[str, typer.Option(help="what it is written with")] = "",
    reference: Annotated[str, typer.Option(help="job card, docket or order it comes from")] = "",
    event_id: Annotated[
        str, typer.Option("--id", help="id of the event; left out: made from what it says")
    ] = "",
    mends: Annotated[
        str, typer.Option("--instead-of", metavar="ID", help="event that it corrects")
    ] = "",
    reason: Annotated[str, typer.Option(help="why the event is corrected")] = "",
    kinds: Annotated[bool, typer.Option("--kinds", help="list every kind and its fields")] = False,
    database: Database = "",
    dry_run: DryRun = False,
    as_json: AsJson = False,
) -> None:
    """Book one event into the record: who did what, when, to which piece or unit (scanned code)."""
    from pacewright.cli.book import Record, called_wrongly, run, run_kinds

    if kinds:
        run_kinds(as_json)
        return
    if works is None or not kind or not by:
        called_wrongly(as_json)
        return
    from pacewright.office.booking import By

    record = Record(database, event_id, mends, reason, dry_run=dry_run)
    run(works, kind, words or [], By(by, device, reference), record, as_json)


def import_(  # noqa: PLR0913, PLR0917
    works: Annotated[
        Path | None, typer.Argument(metavar="WORKS", help="works folder or workbook")
    ] = None,
    files: Annotated[
        list[Path] | None,
        typer.Argument(metavar="FILE...", help="daily sheets: CSV files or XLSX workbooks"),
    ] = None,
    by: Annotated[str, typer.Option("--by", metavar="NAME", help="who hands them in")] = "",
    together: Annotated[
        bool, typer.Option("--together", help="keep all rows, or none when one is refused")
    ] = False,
    template: Annotated[
        Path | None, typer.Option("--template", metavar="DIR", help="write empty sheets and stop")
    ] = None,
    database: Database = "",
    dry_run: DryRun = False,
    as_json: AsJson = False,
) -> None:
    """Take the clerk's daily sheets into the record: arrivals, moves, removals, tests and more."""
    from pacewright.cli.importing import called_wrongly, run, run_template

    if template is not None:
        run_template(template, as_json)
    elif works is None or not files or not by:
        called_wrongly(as_json)
    else:
        run(works, files, by, database, (together, dry_run), as_json)


def scope(
    works: WorksPath,
    vehicle: Annotated[
        str,
        typer.Argument(
            metavar="VEHICLE", help="number of a vehicle inside; left out: all, briefly"
        ),
    ] = "",
    form: Annotated[
        bool, typer.Option("--form", help="write the inspection form, a daily sheet, as CSV")
    ] = False,
    at: Annotated[
        str, typer.Option(metavar="MOMENT", help="with --form: time of inspection; left out: now")
    ] = "",
    database: Database = "",
    as_json: AsJson = False,
) -> None:
    """Say what a vehicle inside really needs: hours by trade and stage, parts, growth, class."""
    from pacewright.cli.scope import run, run_all, run_form

    number = vehicle.removeprefix("vehicle:")
    if form:
        run_form(works, number, at, database, as_json)
    elif not number:
        run_all(works, database, as_json)
    else:
        run(works, number, database, as_json)
