"""What is promised and what is forecast: the works run on from its record."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from pacewright.base.progress import Progress, silent
from pacewright.office.errors import CallError, NoPlanError

if TYPE_CHECKING:
    from pacewright.control.promises import Moment
    from pacewright.ledger.store import Ledger
    from pacewright.plans.programme import Programme
    from pacewright.plans.promise import PromiseList
    from pacewright.works import Works

LEAST_RUNS = 20


@dataclass(frozen=True, slots=True)
class PromisesAsked:
    """How the forecast is asked for.

    Parameters
    ----------
    database : address of the record; empty: that of the works.
    since : day from whose same hour changes are told; None: the day before.
    compare : False: no changes, and half the time.
    runs : replications, 20 or more.
    seed : of all chance.
    moment : works time to forecast from; None: the last the record tells of.
    threads : how many; None: one a processor.
    """

    database: str = ""
    since: date | None = None
    compare: bool = True
    runs: int = 200
    seed: int = 1
    moment: datetime | None = None
    threads: int | None = None


def promise_list(
    path: Path, asked: PromisesAsked | None = None, progress: Progress = silent
) -> "PromiseList":
    """The forecast of every vehicle inside, at the gate and called in soon.

    Parameters
    ----------
    path : works folder or workbook, with a record.

    Raises
    ------
    WorksFaultyError : with every fault found in the files.
    CallError : there is no record, it is empty, or it cannot be opened; too few runs.
    NoPlanError : no programme can be made, or the works cannot be run through.
    """
    from pacewright.control.promises import Forecaster, PromiseQuestion, promises
    from pacewright.simulate.chains import NoChainError
    from pacewright.simulate.compile_flow import NoPaceError
    from pacewright.simulate.executors import threads

    asked = asked or PromisesAsked()
    if asked.runs < LEAST_RUNS:
        raise CallError(
            f"--runs {asked.runs}: a range of 90 % needs {LEAST_RUNS} runs or more. Ask for more."
        )
    progress("reading the record", 0.0)
    at, before = _moments(path, asked)
    programme = call_in_programme(at.works, progress)
    try:
        with threads(asked.threads) as workers:
            question = PromiseQuestion(runs=asked.runs, seed=asked.seed)
            forecaster = Forecaster(question, programme, workers)
            return promises(at, forecaster, before, progress)
    except (NoChainError, NoPaceError) as error:
        raise NoPlanError(str(error)) from error


def _moments(path: Path, asked: PromisesAsked) -> "tuple[Moment, Moment | None]":
    from pacewright.control.as_recorded import as_recorded, last_moment
    from pacewright.control.promises import Moment
    from pacewright.office.folder import open_works
    from pacewright.office.record import has_record, open_record

    works, _ = open_works(path)
    if not has_record(path, asked.database):
        raise CallError(
            f"{path}: no record, or an empty one. Promises are forecast from where everything "
            "stands. Book or import what happened first, or name its --database."
        )
    with open_record(path, asked.database, create=False, read_only=True) as record:
        standing = record.standing_at(asked.moment) if asked.moment else record.standing()
        now = asked.moment or last_moment(standing)
        if now is None:
            raise CallError("The record tells of no vehicle yet. Book or import arrivals first.")
        at = Moment(as_recorded(works, standing, now).works, standing, now)
        return at, _before(works, record, at, asked)


def _before(
    works: "Works", record: "Ledger", at: "Moment", asked: PromisesAsked
) -> "Moment | None":
    from pacewright.control.as_recorded import as_recorded
    from pacewright.control.promises import Moment

    if not asked.compare:
        return None
    hour = at.now.time()
    then = datetime.combine(asked.since, hour) if asked.since else at.now - timedelta(days=1)
    if then >= at.now:
        raise CallError(
            f"--since {asked.since}: not before the record's last moment, {at.now:%Y-%m-%d %H:%M}. "
            "Changes are told from an earlier day. Give one."
        )
    standing = record.standing_at(then)
    if not standing.events:
        return None
    return Moment(as_recorded(works, standing, then).works, standing, then)


def call_in_programme(works: "Works", progress: Progress = silent) -> "Programme":
    """Who is called in when, of a works brought up to its record.

    Raises
    ------
    NoPlanError : none can be made; it says why.
    """
    from pacewright.callin.problem import NoProgrammeError
    from pacewright.callin.solve import programme
    from pacewright.fleet.due import due_windows

    plan = works.settings.plan
    progress("call-in programme", 0.0)
    windows = due_windows(
        works.vehicles, works.vehicle_types, works.readings, plan, works.horizon_end()
    )
    try:
        return programme(works, windows, progress)
    except NoProgrammeError as error:
        raise NoPlanError(str(error)) from error


def write_promises(made: "PromiseList", out: Path) -> None:
    """Write ``promises.csv``, ``promise_changes.csv`` and ``promises.json`` into ``out``.

    Raises
    ------
    CallError : the folder cannot be written; what stood there still stands.
    """
    import json

    from pacewright.files.whole import write_whole
    from pacewright.reports.csvfile import csv_bytes
    from pacewright.reports.promise_tables import promise_summary, promise_tables

    files = {f"{table.name}.csv": csv_bytes(table) for table in promise_tables(made)}
    said = json.dumps(promise_summary(made), ensure_ascii=False, indent=1)
    try:
        write_whole(out, files | {"promises.json": said.encode()})
    except OSError as error:
        raise CallError(f"{out}: {error}. Nothing was written; choose another folder.") from error
