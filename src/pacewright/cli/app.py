"""The list of commands. Only this module and the command at work are imported."""

from pathlib import Path
from typing import Annotated

import typer

from pacewright.cli import (
    control_commands,
    floor_commands,
    learn_commands,
    paper_commands,
    promise_commands,
    record_commands,
    serve_commands,
    words_commands,
)
from pacewright.cli.calls import Calls
from pacewright.cli.options import (
    AsJson,
    Cluster,
    Database,
    Of,
    Seed,
    Start,
    Threads,
    Weeks,
    WorksPath,
)

app = typer.Typer(
    name="pacewright",
    cls=Calls,
    help="Plan a works that overhauls a vehicle fleet: who comes in when, what each shop must "
    "carry, how many spare units. The tool plans; licensed people certify.",
    rich_markup_mode=None,
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)

WithRecord = Annotated[
    bool,
    typer.Option("--record/--no-record", help="start from the record, if there is one"),
]


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
    database: Database = "",
    record: WithRecord = True,
    as_json: AsJson = False,
) -> None:
    """Plan the whole overhaul cycle and write the report, the workbook and the tables."""
    from pacewright.cli.plan import run

    run(works, out, (database, record), as_json)


@app.command()
def simulate(  # noqa: PLR0913, PLR0917
    works: WorksPath,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out", metavar="DIR", help="folder for the report; left out: only the answer"
        ),
    ] = None,
    replications: Annotated[
        int | None, typer.Option(min=2, help="runs; with --precision the most [40; 400]")
    ] = None,
    precision: Annotated[
        float | None,
        typer.Option(min=1e-6, max=1, help="run on until half width over mean of --of is this"),
    ] = None,
    of: Of = "output_a_week",
    weeks: Weeks = None,
    start: Start = "now",
    seed: Seed = 1,
    pace: Annotated[
        float | None,
        typer.Option(min=0.01, help="one vehicle every takt at so many a week, no programme"),
    ] = None,
    robbing: Annotated[
        bool | None, typer.Option("--robbing/--no-robbing", help="whether units may be robbed")
    ] = None,
    absence: Annotated[
        bool, typer.Option(help="whether people stay away by chance, or evenly")
    ] = True,
    cluster: Cluster = "",
    threads: Threads = None,
    database: Database = "",
    record: WithRecord = True,
    as_json: AsJson = False,
) -> None:
    """Run the planned works through many times under chance: what comes of it, and how sure."""
    from pacewright.cli.simulate import run
    from pacewright.office.simulating import Asked

    hands = cluster, threads
    asked = Asked(replications, precision, of, weeks, start, seed, pace, robbing, absence, *hands)
    run(works, out, asked, (database, record), as_json)


@app.command()
def compare(  # noqa: PLR0913, PLR0917
    works: WorksPath,
    changes: Annotated[
        list[Path],
        typer.Argument(metavar="CHANGES...", help="change files: TOML that names what differs"),
    ],
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="DIR", help="folder for the page; left out: only the answer"),
    ] = None,
    replications: Annotated[
        int | None,
        typer.Option(min=2, help="runs of each side; with --precision the most [40; 400]"),
    ] = None,
    precision: Annotated[
        float | None,
        typer.Option(min=1e-6, max=1, help="run on until half width of differences over base"),
    ] = None,
    of: Of = "output_a_week",
    weeks: Weeks = None,
    start: Start = "now",
    seed: Seed = 1,
    pace: Annotated[
        float | None,
        typer.Option(min=0.01, help="one vehicle every takt at so many a week, on all sides"),
    ] = None,
    cluster: Cluster = "",
    threads: Threads = None,
    database: Database = "",
    record: WithRecord = True,
    as_json: AsJson = False,
) -> None:
    """Run the works and changed ones through with the same chances: what is really different."""
    from pacewright.cli.compare import run
    from pacewright.office.simulating import Asked

    asked = Asked(
        replications=replications,
        precision=precision,
        of=of,
        weeks=weeks,
        start=start,
        seed=seed,
        pace_a_week=pace,
        cluster=cluster,
        threads=threads,
    )
    run((works, changes), out, asked, (database, record), as_json)


@app.command()
def grow(  # noqa: PLR0913, PLR0917
    works: WorksPath,
    pace: Annotated[float, typer.Option(min=0.01, help="wanted vehicles a full week")],
    turn_days: Annotated[float, typer.Option(min=0.1, help="promised turn time, working days")],
    promise: Annotated[
        float, typer.Option(min=0.01, max=0.999, help="share of vehicles within it")
    ] = 0.9,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="DIR", help="folder; left out: only the answer"),
    ] = None,
    person_cost: Annotated[
        float | None, typer.Option(min=0, help="one person more; without prices all count alike")
    ] = None,
    position_cost: Annotated[
        float | None, typer.Option(min=0, help="one position more, in the same money")
    ] = None,
    bench_cost: Annotated[
        float | None, typer.Option(min=0, help="one bench of a unit shop more, in the same money")
    ] = None,
    hour_cost: Annotated[
        float | None,
        typer.Option(min=0, help="one paid hour more each working day, a person, same money"),
    ] = None,
    inside_cost: Annotated[
        float | None, typer.Option(min=0, help="room for one vehicle more inside, same money")
    ] = None,
    ramp_months: Annotated[
        int, typer.Option(min=0, max=60, help="months from the present pace to the wanted one")
    ] = 0,
    most_steps: Annotated[int, typer.Option(min=1, help="rounds of steps at the most")] = 40,
    replications: Annotated[
        int, typer.Option(min=2, help="runs of each trial; up to 16 times as many where it is near")
    ] = 10,
    seed: Annotated[int, typer.Option(min=0, help="same seed, same path")] = 1,
    database: Database = "",
    record: WithRecord = True,
    as_json: AsJson = False,
) -> None:
    """Find people, positions, units, benches, hours that carry a wanted pace and turn time."""
    from pacewright.cli.grow import run
    from pacewright.simulate.additions import Prices
    from pacewright.simulate.grow import Wanted

    prices = Prices(person_cost, position_cost, bench_cost, hour_cost, inside_cost)
    wanted = Wanted(
        pace,
        turn_days,
        promise,
        prices,
        most_steps,
        replications=replications,
        seed=seed,
        ramp_months=ramp_months,
    )
    run(works, wanted, out, (database, record), as_json)


@app.command()
def example(  # noqa: PLR0913, PLR0917
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="folder to write")],
    vehicles: Annotated[
        int | None,
        typer.Option(min=20, max=1_000_000, help="vehicles; left out: as the kind usually has"),
    ] = None,
    seed: Annotated[int, typer.Option(min=0, help="same seed, same works")] = 1,
    kind: Annotated[str, typer.Option(help="trolleybus or tramway")] = "trolleybus",
    workbook: Annotated[bool, typer.Option(help="one XLSX workbook instead of CSV")] = False,
    record_months: Annotated[
        int, typer.Option(min=0, max=120, help="months of record that come with it; 0: none")
    ] = 0,
    as_json: AsJson = False,
) -> None:
    """Write an invented works of any size, for trials and benchmarks."""
    from pacewright.cli.example import run, run_with_record

    if record_months:
        run_with_record(folder, kind, (vehicles, seed), workbook, record_months, as_json)
    else:
        run(folder, kind, (vehicles, seed), workbook, as_json)


floor_commands.add_to(app)
control_commands.add_to(app)
promise_commands.add_to(app)
record_commands.add_to(app)
learn_commands.add_to(app)
paper_commands.add_to(app)
serve_commands.add_to(app)
words_commands.add_to(app)
