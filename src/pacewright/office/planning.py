"""Make the whole plan of a works: due windows, programme, line, floats."""

import hashlib
import time
from dataclasses import fields

from pacewright import __version__
from pacewright.base.progress import Progress, silent
from pacewright.office.errors import NoPlanError
from pacewright.plans.plan import Plan
from pacewright.works import Works


def make_plan(works: Works, notes: tuple[str, ...] = (), progress: Progress = silent) -> Plan:
    """Plan the works through every step of the flow, each step reading the paper of the one before.

    Parameters
    ----------
    works : the works, read and cross-checked.
    notes : what had to be assumed when it was read; goes into the assumptions.
    progress : told how far each step is.

    Raises
    ------
    NoPlanError : no programme at all can be made (no working day, no pace); it says why.
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
        assumptions=notes,
    )


def inputs_hash(works: Works) -> str:
    """SHA-256 of everything that was read, first 16 hex digits.

    The same works gives the same hash from CSV tables and from a workbook, on any machine.
    """
    digest = hashlib.sha256()
    for table in fields(works):
        digest.update(table.name.encode())
        rows = getattr(works, table.name)
        for row in rows if isinstance(rows, tuple) else (rows,):
            digest.update(repr(row).encode())
    return digest.hexdigest()[:16]
