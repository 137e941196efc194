"""The list of commands. Only this module and the command at work are imported."""

from pathlib import Path
from typing import Annotated

import typer

app = typer.Typer(
    name="pacewright",
    help="Plan a works that overhauls a vehicle fleet: who comes in when, what each shop must "
    "carry, how many spare units. The tool plans; licensed people certify.",
    rich_markup_mode=None,
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)

WorksPath = Annotated[
    Path, typer.Argument(metavar="WORKS", help="works folder (works.toml and CSV) or workbook")
]
AsJson = Annotated[bool, typer.Option("--json", help="answer in JSON on standard output")]


def _version(asked: bool) -> None:
    if asked:
        from pacewright import __version__

        print(f"pacewright {__version__}")
        raise typer.Exit


@app.callback()
def _common(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="say the version")
    ] = False,
) -> None:
    """Exit codes: 0 done, 1 faults in the files, 2 wrong call, 3 no plan possible."""


@app.command()
def check(works: WorksPath, as_json: AsJson = False) -> None:
    """Read the works and say every fault in it: file, row, column, found, rule, remedy."""
    from pacewright.cli.check import run

    run(works, as_json)


@app.command()
def plan(
    works: WorksPath,
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="folder for the report")],
    as_json: AsJson = False,
) -> None:
    """Plan the whole overhaul cycle and write the report, the workbook and the tables."""
    from pacewright.cli.plan import run

    run(works, out, as_json)


@app.command()
def example(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="folder to write")],
    vehicles: Annotated[int, typer.Option(min=20, max=1_000_000, help="vehicles")] = 1900,
    seed: Annotated[int, typer.Option(min=0, help="same seed, same works")] = 1,
    kind: Annotated[str, typer.Option(help="trolleybus or tramway")] = "trolleybus",
    workbook: Annotated[bool, typer.Option(help="one XLSX workbook instead of CSV")] = False,
    as_json: AsJson = False,
) -> None:
    """Write an invented works of any size, for trials and benchmarks."""
    from pacewright.cli.example import run

    run(folder, kind, (vehicles, seed), workbook, as_json)
