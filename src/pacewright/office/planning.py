"""Make the whole plan of a works: due windows, programme, line, floats."""

import hashlib
import time
from collections.abc import Iterable
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from datetime import time as clock_time
from functools import cache
from pathlib import Path
from typing import Any

from pacewright import __version__
from pacewright.base.progress import Progress, silent
from pacewright.fleet.windows import DueWindow
from pacewright.office.errors import NoPlanError
from pacewright.plans.line import Line
from pacewright.plans.plan import Plan
from pacewright.plans.programme import Programme
from pacewright.works import Works

JUDGED = (
    "Every rule and figure of programme and line was worked out anew, by checks that do not ask "
    "the planner, and no fault was found."
)
LEFT_OUT = "The works has a record; it was left out, as asked. The plan rests on the tables alone."
FROM_RECORD = "Vehicles inside, releases, odometer readings and floats held are as recorded"
FAULTS_SHOWN = 20
_PLAIN = frozenset({str, float, int, bool, date})


def open_now(
    path: Path, database: str = "", *, with_record: bool = True
) -> tuple[Works, tuple[str, ...]]:
    """Read a works and bring its tables up to its record, when it has one.

    Parameters
    ----------
    path : works folder or workbook.
    database : address of the record; empty: see ``office.record.record_address``.
    with_record : False: as the tables tell, whatever the record says.

    Returns
    -------
    The works from which is to be planned, and what had to be assumed; with a record that names its
    place, digest and moment. The plan starts from the last moment the record tells of, or from
    ``plan.today`` of the settings when that is later, so that the same record gives the same plan.

    Raises
    ------
    WorksFaultyError : with every fault found in the files.
    CallError : the record cannot be opened.
    """
    from pacewright.office.folder import open_works
    from pacewright.office.record import has_record, open_record

    works, notes = open_works(path)
    if not with_record:
        return works, (*notes, LEFT_OUT) if has_record(path, database) else notes
    if not has_record(path, database):
        return works, notes
    from pacewright.control.as_recorded import as_recorded, last_moment

    with open_record(path, database, create=False, read_only=True) as record:
        standing, head = record.standing(), record.head()
    day = datetime.combine(works.settings.plan.today, clock_time())
    now = max(last_moment(standing) or day, day)
    stands = as_recorded(works, standing, now)
    from_record = (
        f"{FROM_RECORD} at event {head.place}, digest {head.digest[:16]}, works time "
        f"{now:%Y-%m-%d %H:%M}."
    )
    return stands.works, (*notes, from_record, *stands.notes)


def where_from(notes: Iterable[str]) -> tuple[str, ...]:
    """Of the notes of ``open_now`` those that say whether the record counts, and up to where."""
    return tuple(one for one in notes if one.startswith((FROM_RECORD, LEFT_OUT)))


def make_plan(works: Works, notes: tuple[str, ...] = (), progress: Progress = silent) -> Plan:
    """Plan the works through every step of the flow, each step reading the paper of the one before.

    Parameters
    ----------
    works : the works, read and cross-checked.
    notes : what had to be assumed when it was read; goes into the assumptions.
    progress : told how far each step is.

    Raises
    ------
    NoPlanError : no programme at all can be made (no working day, no pace), or the judges of
        programme and line find a fault in what was made; it says why.
    """
    from pacewright.callin.problem import NoProgrammeError
    from pacewright.callin.solve import programme
    from pacewright.fleet.due import due_windows
    from pacewright.floats.solve import float_list
    from pacewright.pace.solve import line

    began = time.perf_counter()
    settings = works.settings
    progress("due windows", 0.0)
    windows = due_windows(
        works.vehicles, works.vehicle_types, works.readings, settings.plan, works.horizon_end()
    )
    progress("call-in programme", 0.0)
    try:
        called = programme(works, windows, progress)
    except NoProgrammeError as error:
        raise NoPlanError(str(error)) from error
    progress("pace of every stage, shop and trade", 0.0)
    paced = line(works, called)
    progress("programme and line judged", 0.0)
    _judge(works, windows, called, paced)
    progress("floats", 0.0)
    floats = float_list(works, paced)
    return Plan(
        works_name=settings.name,
        today=settings.plan.today,
        start=settings.plan.start,
        distance_unit=settings.distance_unit,
        inputs_hash=inputs_hash(works),
        version=__version__,
        seconds=time.perf_counter() - began,
        windows=windows,
        programme=called,
        line=paced,
        floats=floats,
        assumptions=(*notes, JUDGED),
    )


def _judge(works: Works, windows: tuple[DueWindow, ...], called: Programme, paced: Line) -> None:
    from pacewright.callin.checks import check_programme
    from pacewright.pace.checks import check_line

    faults = check_programme(works, windows, called) + check_line(works, called, paced)
    if faults:
        shown = "\n".join(faults[:FAULTS_SHOWN])
        raise NoPlanError(
            f"The plan was made but does not pass its judges ({len(faults)} faults), so it is not "
            f"given out. This is a fault of the tool, not of the files; please report it.\n{shown}"
        )


def inputs_hash(works: Works) -> str:
    """SHA-256 of everything that was read, first 16 hex digits.

    The same works gives the same hash from CSV tables and from a workbook, on any machine; what is
    left as it is when a cell is blank does not count, so that a new column changes no hash.
    """
    digest = hashlib.sha256()
    for table in fields(works):
        digest.update(table.name.encode())
        rows = getattr(works, table.name)
        for row in rows if isinstance(rows, tuple) else (rows,):
            digest.update(_told(row).encode())
    return digest.hexdigest()[:16]


def _told(value: Any) -> str:
    kind = type(value)
    if kind is tuple:
        return f"({' '.join([_told(one) for one in value])})"
    if not is_dataclass(kind):
        return repr(value)
    told = [
        f"{name}={cell!r}" if type(cell) in _PLAIN else f"{name}={_told(cell)}"
        for name, usual in _usual(kind)
        if (cell := getattr(value, name)) != usual
    ]
    return f"{kind.__name__}({' '.join(told)})"


@cache
def _usual(model: type) -> tuple[tuple[str, Any], ...]:
    """Each field of a row or setting, and what it is when left blank."""
    return tuple((one.name, one.default) for one in fields(model))
